"""What a clinician asked an eater to leave out, and the end of it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from crispy_forms.layout import Div
from django import forms
from django.utils.translation import gettext_lazy as _

from clients.domain.naming import FoodName, find_foods
from clients.forms.exclusions import not_in_the_book
from clients.forms.people import date_field, plain_helper


class InstructionForm(forms.Form):
    """Foods by name, who said so, when, and until when. ``foods`` is the practice's book."""

    foods = forms.CharField(
        label=_("Foods to leave out"),
        max_length=600,
        help_text=_("Names from your book, separated by commas. What is made of them is left out too."),
        widget=forms.TextInput(attrs={"list": "foods", "autocomplete": "off"}),
    )
    said_by = forms.CharField(
        label=_("Who said so"),
        max_length=120,
        help_text=_("Name or role, such as the family doctor or the hospital’s dietitian."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    said_on = date_field(label=_("On"))
    until = date_field(
        label=_("Until"), required=False, help_text=_("The day it may come back, if one was named.")
    )
    note = forms.CharField(
        label=_("What they said"), max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, data=None, *, book: Sequence[FoodName], today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.book = book
        self.fields["said_on"].initial = today
        self.fields["said_on"].widget.attrs["max"] = today.isoformat()
        dates = Div("said_on", "until", css_class="field-grid")
        self.helper = plain_helper("foods", "said_by", dates, "note")

    def clean_foods(self) -> tuple[str, ...]:
        found, unknown = find_foods(self.cleaned_data["foods"], self.book)
        if unknown:
            raise forms.ValidationError([not_in_the_book(name) for name in unknown])
        return found

    def values(self) -> dict[str, Any]:
        """The valid form as what an instruction holds."""
        return {name: self.cleaned_data[name] for name in ("foods", "said_by", "said_on", "until", "note")}


class InstructionEndForm(forms.Form):
    """Why an instruction no longer holds."""

    why = forms.CharField(
        label=_("Why it ends"),
        max_length=300,
        help_text=_("Who said so and when. Only a clinician takes back what a clinician asked for."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.helper = plain_helper()
