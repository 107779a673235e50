"""Putting an eater on a protocol, deciding about the stage, and the consent that comes before both."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from typing import Any
from uuid import UUID

from crispy_forms.layout import Div
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clients.domain.people import NewConsent, NewEnrolment
from clients.forms.people import date_field, plain_helper
from plans.domain.book import Stage
from plans.models import ProtocolVersion
from plans.selectors import protocol_of


@dataclass(frozen=True, slots=True)
class Place:
    """A stage of a protocol version, as one choice."""

    version: str
    stage: str


def place_choices(versions: Sequence[ProtocolVersion]) -> list[tuple[Any, Any]]:
    """Every stage of every protocol offered, by protocol; the first choice is to follow none."""
    groups = [
        (
            gettext("%(protocol)s, version %(number)s") % {"protocol": v.protocol.title, "number": v.number},
            [(f"{v.pk}:{stage.key}", f"{stage.number}. {stage.title}") for stage in protocol_of(v).stages],
        )
        for v in versions
    ]
    return [("", _("Follows none")), *groups]


class EnrolmentForm(forms.Form):
    """Which stage of which protocol, from which day. ``barred`` says why nobody may start at all, or nothing."""

    place = forms.ChoiceField(
        label=_("Protocol and first stage"),
        required=False,
        help_text=_("Most people begin with a protocol’s first stage."),
    )
    start_on = date_field(label=_("Day one"), required=False)

    def __init__(
        self,
        data=None,
        *,
        choices: list[tuple[Any, Any]],
        today: date,
        barred: str = "",
        required: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.today, self.barred, self.required = today, barred, required
        self.fields["place"].choices = choices
        self.fields["start_on"].widget.attrs["min"] = today.isoformat()
        self.helper = plain_helper("place", Div("start_on", css_class="short"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        place, start_on = cleaned.get("place"), cleaned.get("start_on")
        if place and self.barred:
            self.add_error("place", self.barred)
        if not place and self.required and "place" not in self.errors:
            self.add_error("place", _("Choose a protocol."))
        if place and not start_on and "start_on" not in self.errors:
            self.add_error("start_on", _("Give the first day of the first stage."))
        if place and start_on and start_on < self.today:
            self.add_error("start_on", _("Day one cannot lie in the past. Choose today or a later day."))
        return cleaned

    def enrolment(self) -> NewEnrolment | None:
        """The valid form as a place on a protocol; None for an eater who follows none."""
        if not self.cleaned_data["place"]:
            return None
        version, _sep, stage = self.cleaned_data["place"].partition(":")
        return NewEnrolment(version, stage, self.cleaned_data["start_on"])


class ConsentForm(forms.Form):
    """The client's agreement to what the practice does and does not do.

    ``shown`` says which words were on the page. If the practice has changed them since, the client agrees anew.
    """

    shown = forms.CharField(widget=forms.HiddenInput)
    agreed = forms.BooleanField(label=_("The client has read this and agrees"))
    agreed_on = date_field(label=_("Agreed on"))

    def __init__(self, data=None, *, text: str, today: date, **kwargs: Any) -> None:
        self.text, self.today = text, today
        self.digest = sha256(text.encode()).hexdigest()
        self.changed = data is not None and data.get("shown") not in (None, self.digest)
        if data is not None:
            data = data.copy()
            data["shown"] = self.digest
            if self.changed:
                data.pop("agreed", None)
        super().__init__(data, **kwargs)
        self.fields["shown"].initial = self.digest
        self.fields["agreed_on"].initial = today
        self.fields["agreed_on"].widget.attrs["max"] = today.isoformat()
        if self.changed:
            self.fields["agreed"].error_messages["required"] = _(
                "These words are new. Please read them and agree again."
            )
        self.helper = plain_helper("shown", "agreed", Div("agreed_on", css_class="short"))

    def clean_agreed_on(self) -> date:
        agreed_on = self.cleaned_data["agreed_on"]
        if agreed_on > self.today:
            raise forms.ValidationError(_("This day is still to come. Give the day the client agreed."))
        return agreed_on

    def consent(self) -> NewConsent:
        """The valid form as a consent, with the words that were shown."""
        return NewConsent(self.text, self.cleaned_data["agreed_on"])


MOVE_ON, STEP_BACK, HOLD, RESUME, END = "move-on", "step-back", "hold", "resume", "end"
DECISION = {
    MOVE_ON: _("Move on to the next stage"),
    HOLD: _("Stay: put the stage on hold"),
    RESUME: _("Resume after the hold"),
    STEP_BACK: _("Step back to an earlier stage"),
    END: _("End the protocol for this eater"),
}


class DecisionForm(forms.Form):
    """A coach's decision about one eater's stage, on what the coach saw when deciding (``seen``, a spell)."""

    seen = forms.UUIDField(widget=forms.HiddenInput)
    decision = forms.ChoiceField(label=_("Decision"), widget=forms.RadioSelect)
    stage = forms.ChoiceField(label=_("Back to"), required=False)
    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=300,
        help_text=_(
            "Asked for when staying, stepping back, ending, or moving on before the least days are over."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(
        self, data=None, *, seen: UUID, held: bool, earlier: Sequence[Stage], is_last: bool, **kwargs: Any
    ) -> None:
        super().__init__(data, **kwargs)
        self.fields["seen"].initial = seen
        offered = [RESUME] if held else [] if is_last else [MOVE_ON]
        offered += [] if held else [HOLD]
        offered += [STEP_BACK] if earlier else []
        self.fields["decision"].choices = [(key, DECISION[key]) for key in [*offered, END]]
        if earlier:
            self.fields["stage"].choices = [(s.key, f"{s.number}. {s.title}") for s in reversed(earlier)]
        else:
            del self.fields["stage"]
        self.helper = plain_helper()


class DayOneForm(forms.Form):
    """Another day one, while it lies ahead."""

    start_on = date_field(label=_("Day one"))

    def __init__(self, data=None, *, today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["start_on"].widget.attrs["min"] = today.isoformat()
        self.helper = plain_helper()
