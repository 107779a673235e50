"""Putting what a household wants of its weeks in order: one press of a button is one step."""

from django import forms
from django.utils.translation import gettext_lazy as _

from clients.domain.wants import DOWN, UP
from plans.domain.brief import WANTS

AS_USUAL = "as-usual"


class WantsForm(forms.Form):
    """``step`` is a want and a way, such as ``time-up``, or the way back to the usual order."""

    step = forms.ChoiceField(
        choices=[(AS_USUAL, AS_USUAL), *((f"{want}-{way}",) * 2 for want in WANTS for way in (UP, DOWN))],
        error_messages={
            name: _("Nothing was moved. Press one of the buttons below.")
            for name in ("required", "invalid_choice")
        },
    )

    def is_as_usual(self) -> bool:
        """Whether the valid form asks for the usual order."""
        return self.cleaned_data["step"] == AS_USUAL

    def move(self) -> tuple[str, str]:
        """The want to move and the way, of a valid form that asks for a move."""
        want, _dash, way = self.cleaned_data["step"].rpartition("-")
        return want, way
