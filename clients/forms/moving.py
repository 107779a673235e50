"""Moving eaters to another version: what was seen of each, and a stage where the version lacks theirs."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from plans.domain.book import Stage

SHOWN = ("version", "spell", "shown")


class MoveForm(forms.Form):
    """One eater's move. ``version`` and ``spell`` are what the page showed of the enrolment, ``shown`` the stage.

    With ``choices``, the stages offered in the place of a missing one, whoever chooses another than the one shown looks
    at its changes before anything is moved. A form that comes back holds what is shown now; ``posted`` is what was.
    """

    version = forms.CharField(widget=forms.HiddenInput)
    spell = forms.CharField(widget=forms.HiddenInput)
    shown = forms.CharField(widget=forms.HiddenInput)
    stage = forms.ChoiceField(
        label=_("Stage in the version to move to"),
        help_text=_("When you choose another, you see what it changes before anything is moved."),
    )
    reason = forms.CharField(
        label=_("Why this stage"),
        max_length=300,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        prefix: str,
        version: UUID,
        spell: UUID,
        shown: str,
        choices: Sequence[Stage] = (),
    ) -> None:
        now = {"version": str(version), "spell": str(spell), "shown": shown}
        self.posted: dict[str, str] = {}
        if data is not None:
            self.posted = {name: data.get(f"{prefix}-{name}", "") for name in SHOWN}
            data = data.copy()
            data.update({f"{prefix}-{name}": value for name, value in now.items()})
        super().__init__(data, prefix=prefix, initial={**now, "stage": shown})
        if choices:
            self.fields["stage"].choices = [
                (stage.key, f"{stage.number}. {stage.title}") for stage in choices
            ]
        else:
            del self.fields["stage"], self.fields["reason"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("stage") and cleaned["stage"] != self.posted.get("shown"):
            self.add_error(
                "stage",
                _("You see now what changes in the stage you chose. Look at it, then move."),
            )
        return cleaned

    def seen(self) -> tuple[UUID, UUID] | None:
        """The version and the spell the coach decided on; None when what came is neither."""
        try:
            return UUID(self.posted["version"]), UUID(self.posted["spell"])
        except ValueError:
            return None
