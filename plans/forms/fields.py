"""Plain fields for what is typed as in a file. Nothing is required here: the readers of files say what is missing."""

from typing import Any

from django import forms

MOST_TEXT = 2_000
MOST_LINES = 5_000


def text_field(label: Any, help_text: Any = "", *, most: int = MOST_TEXT, **attrs: Any) -> forms.CharField:
    """One line of text."""
    return _field(label, help_text, most, forms.TextInput(attrs={"autocomplete": "off", **attrs}))


def number_field(label: Any, help_text: Any = "") -> forms.CharField:
    """A number as it is typed."""
    return text_field(label, help_text, inputmode="numeric")


def lines_field(label: Any, help_text: Any = "", *, rows: int = 3, most: int = MOST_LINES) -> forms.CharField:
    """A few lines of text."""
    return _field(label, help_text, most, forms.Textarea(attrs={"rows": rows, "autocomplete": "off"}))


def _field(label: Any, help_text: Any, most: int, widget: forms.Widget) -> forms.CharField:
    return forms.CharField(label=label, required=False, max_length=most, help_text=help_text, widget=widget)
