"""Forms about who a household is: the client, each eater, the kitchen."""

from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from clients.domain.people import MOST_POTS, WEEKDAYS, KitchenFacts
from clients.models import Eater
from clients.wording.weekdays import WEEKDAY
from coaching.domain.units import convert
from coaching.practice.forms import zone_field

USUAL_MINUTES = {day: 90 if day in ("sat", "sun") else 45 for day in WEEKDAYS}
POT_UNIT = {"metric": "l", "us": "quart"}
POT_LABEL = {"metric": _("litres"), "us": _("quarts")}
POT_PLACES = 4


def plain_helper(*layout: Any) -> FormHelper:
    """A form drawn inside a form tag that is already there."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    if layout:
        helper.layout = Layout(*layout)
    return helper


def date_field(**kwargs: Any) -> forms.DateField:
    """A date by the device's own calendar."""
    return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)


def _number(
    label: Any, *, least: str, most: str, step: str, required: bool = False, **kwargs: Any
) -> forms.DecimalField:
    inputmode = "numeric" if step == "1" else "decimal"
    return forms.DecimalField(
        label=label,
        min_value=Decimal(least),
        max_value=Decimal(most),
        required=required,
        widget=forms.NumberInput(attrs={"inputmode": inputmode, "step": step, "autocomplete": "off"}),
        **kwargs,
    )


class ClientForm(forms.Form):
    """How a client is called and reached. Used for somebody else, so the browser fills in nothing by itself."""

    name = forms.CharField(
        label=_("Client’s name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    email = forms.EmailField(
        label=_("E-mail address"),
        widget=forms.EmailInput(attrs={"autocomplete": "off", "inputmode": "email"}),
    )
    phone = forms.CharField(
        label=_("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off", "inputmode": "tel"}),
    )
    language = forms.ChoiceField(label=_("Language"), choices=lambda: settings.LANGUAGES, initial="en")
    time_zone = zone_field(help_text=_("Reminders come by this clock."))

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        if len(settings.LANGUAGES) == 1:
            self.fields["language"].widget = forms.HiddenInput()
        self.helper = plain_helper()

    def values(self) -> dict[str, Any]:
        """The valid form as fields of a client."""
        return {name: self.cleaned_data[name] for name in ("name", "email", "phone", "language", "time_zone")}


class HouseholdForm(ClientForm):
    """The client and what their household is called."""

    household = forms.CharField(
        label=_("Household"),
        max_length=120,
        help_text=_("What you call it in lists, often the family name."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.order_fields(["name", "household", "email", "phone", "time_zone", "language"])


class HouseholdNameForm(forms.Form):
    """What a household is called."""

    name = forms.CharField(
        label=_("Household"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, data=None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.helper = plain_helper()


class EaterForm(forms.Form):
    """One person at the table."""

    name = forms.CharField(
        label=_("Name"), max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    born = date_field(label=_("Born"))
    sex = forms.ChoiceField(
        label=_("Sex"),
        choices=Eater.Sex,
        initial=Eater.Sex.UNSTATED,
        help_text=_("Needed for nutrient intakes and a few questions."),
    )
    appetite = _number(
        _("Appetite"),
        least="0.1",
        most="3",
        step="0.05",
        required=True,
        initial=Decimal(1),
        max_digits=3,
        decimal_places=2,
        help_text=_("1 is an adult portion, 0.5 half of one."),
    )
    leaning = forms.ChoiceField(label=_("Leaning"), choices=Eater.Leaning, initial=Eater.Leaning.NONE)

    def __init__(self, data=None, *, today: date, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.today = today
        self.fields["born"].widget.attrs["max"] = today.isoformat()
        self.helper = plain_helper("name", Div("born", "sex", "appetite", "leaning", css_class="field-grid"))

    def clean_born(self) -> date:
        born = self.cleaned_data["born"]
        if born > self.today:
            raise forms.ValidationError(_("This day is still to come. Check the year."))
        if self.today.year - born.year > 120:
            raise forms.ValidationError(_("This is more than 120 years ago. Check the year."))
        return born

    def values(self) -> dict[str, Any]:
        """The valid form as fields of an eater."""
        return {name: self.cleaned_data[name] for name in ("name", "born", "sex", "appetite", "leaning")}


class KitchenForm(forms.Form):
    """What the household cooks with and when. Pots are typed in the practice's own unit and kept in litres."""

    jars = _number(_("Jars for stock and ferments"), least="0", most="500", step="1", initial=0)
    freezer = forms.BooleanField(
        label=_("There is a freezer with room for pots of soup"), required=False, initial=True
    )
    busy = forms.MultipleChoiceField(
        label=_("Busy days"),
        help_text=_("On these days the plan avoids cooking from scratch."),
        choices=list(WEEKDAY.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data=None, *, units: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.units = units
        for place in range(1, POT_PLACES + 1):
            self.fields[f"pot_{place}"] = _number(
                self._pot_label(place), least="0.5", most="100", step="0.25", required=place == 1
            )
        for day in WEEKDAYS:
            self.fields[f"min_{day}"] = _number(
                WEEKDAY[day], least="0", most="600", step="1", required=True, initial=USUAL_MINUTES[day]
            )
        pots = [f"pot_{place}" for place in range(1, POT_PLACES + 1)]
        minutes = [f"min_{day}" for day in WEEKDAYS]
        self.helper = plain_helper(
            Fieldset(_("Pots and jars"), Div(*pots, "jars", css_class="field-grid"), "freezer"),
            Fieldset(_("Minutes of hands-on cooking a day"), Div(*minutes, css_class="field-grid"), "busy"),
        )

    def _pot_label(self, place: int) -> Any:
        unit = POT_LABEL[self.units]
        return (
            _("Largest pot, %(unit)s") % {"unit": unit}
            if place == 1
            else _("Another pot, %(unit)s") % {"unit": unit}
        )

    def facts(self) -> KitchenFacts:
        """The valid form as a kitchen, the largest pot first."""
        data = self.cleaned_data
        typed = [data[f"pot_{place}"] for place in range(1, POT_PLACES + 1)]
        pots = [convert(pot, POT_UNIT[self.units], "l") for pot in typed if pot is not None]
        return KitchenFacts(
            pots_l=tuple(sorted(pots, reverse=True)[:MOST_POTS]),
            jars=int(data["jars"] or 0),
            hands_on_min={day: int(data[f"min_{day}"]) for day in WEEKDAYS},
            busy=tuple(data["busy"]),
            freezer=data["freezer"],
        )

    @staticmethod
    def initial_from(facts: KitchenFacts, units: str) -> dict[str, Any]:
        """Initial values that show a kitchen again, in the practice's unit."""
        pots = [round(convert(pot, "l", POT_UNIT[units]), 2) for pot in facts.pots_l[:POT_PLACES]]
        initial: dict[str, Any] = {f"pot_{place}": pot.normalize() for place, pot in enumerate(pots, start=1)}
        initial |= {f"min_{day}": minutes for day, minutes in facts.hands_on_min.items()}
        return initial | {"jars": facts.jars, "busy": list(facts.busy), "freezer": facts.freezer}
