"""Handing in a file of the book: as a file, or as its text in a box."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coaching.domain.errors import Problem
from plans.domain.filing.findings import Findings
from plans.domain.filing.opening import MOST_BYTES, decoded


class UploadForm(forms.Form):
    """One of a file or a text. ``problems`` holds what keeps a file from being read as text."""

    file = forms.FileField(
        label=_("A file"),
        required=False,
        allow_empty_file=True,
        help_text=_("YAML or CSV, up to 1 MB. A spreadsheet is saved as “CSV UTF-8”."),
        widget=forms.ClearableFileInput(attrs={"accept": ".yaml,.yml,.csv,.txt"}),
    )
    text = forms.CharField(
        label=_("Or its text"),
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        help_text=_("Paste the whole file. You can correct it here and check again."),
        widget=forms.Textarea(
            attrs={"rows": 14, "class": "mono", "spellcheck": "false", "autocomplete": "off", "wrap": "off"}
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.problems: tuple[Problem, ...] = ()

    def clean(self) -> dict[str, Any]:
        """The text to read and the name of its file; a file wins over the box."""
        values = super().clean()
        file = values.get("file")
        if file is None:
            if not values.get("text", "").strip() and not self.errors:
                self.add_error("text", _("Choose a file, or paste its text here."))
            return values | {"filename": ""}
        findings = Findings()
        content = decoded(file.read(MOST_BYTES + 1), findings)
        self.problems = findings.problems()
        return values | {"text": content, "filename": file.name}


class JsonLdForm(UploadForm):
    """A recipe from elsewhere."""

    file = forms.FileField(
        label=_("A file"),
        required=False,
        allow_empty_file=True,
        help_text=_("JSON-LD, or a saved web page that carries it, up to 1 MB."),
        widget=forms.ClearableFileInput(attrs={"accept": ".json,.jsonld,.html,.htm,.txt"}),
    )
    text = forms.CharField(
        label=_("Or its text"),
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        help_text=_("Paste the JSON-LD, from the first { to the last }."),
        widget=forms.Textarea(
            attrs={"rows": 10, "class": "mono", "spellcheck": "false", "autocomplete": "off"}
        ),
    )
