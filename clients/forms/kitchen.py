"""The kitchen: what there is to cook with and when. Amounts are typed in the practice's units and kept in metric."""

from decimal import Decimal
from typing import Any

from crispy_forms.bootstrap import InlineCheckboxes
from crispy_forms.layout import HTML, Div, Fieldset
from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from clients.domain.people import (
    JAR_SIZES,
    MOST_AT_HOME_MIN,
    MOST_BURNERS,
    MOST_ELEVATION_M,
    MOST_POTS,
    USUAL_BURNERS,
    WEEKDAYS,
    KitchenFacts,
)
from clients.forms.people import number_field, plain_helper
from clients.wording.jars import JAR
from clients.wording.weekdays import WEEKDAY
from coaching.domain.units import METRES_PER_FOOT, System, convert

USUAL_MINUTES = {day: 90 if day in ("sat", "sun") else 45 for day in WEEKDAYS}
POT_UNIT = {System.METRIC: "l", System.US: "quart"}
POT_LABEL = {System.METRIC: _("litres"), System.US: _("quarts")}
HEIGHT_LABEL = {System.METRIC: _("metres"), System.US: _("feet")}
POT_PLACES = 4
POTS = tuple(f"pot_{place}" for place in range(1, POT_PLACES + 1))
AT_HOME = {day: f"home_{day}" for day in WEEKDAYS}
HOUR_MIN = 60
JARS = {size: f"jars_{size}" for size in JAR_SIZES}


class StoveForm(forms.Form):
    """What a pot of stock is cooked, cooled and kept with."""

    freezer = forms.BooleanField(
        label=_("There is a freezer with room for pots of soup"), required=False, initial=True
    )
    iced_water = forms.BooleanField(
        label=_("A pot can stand in iced water and be stirred until it is cool"), required=False
    )

    def __init__(self, data=None, *, units: str, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.units = System(units)
        for place, name in enumerate(POTS, start=1):
            self.fields[name] = number_field(
                self._pot_label(place), least="0.5", most="100", step="0.25", required=place == 1
            )
        self.fields["burners"] = number_field(
            _("Burners for pots"), least="1", most=str(MOST_BURNERS), step="1", initial=USUAL_BURNERS
        )
        for size, name in JARS.items():
            self.fields[name] = number_field(JAR[size], least="0", most="500", step="1")
        self.fields["shallow"] = number_field(
            _("Shallow dishes hold, %(unit)s") % {"unit": POT_LABEL[self.units]},
            least="0",
            most="100",
            step="0.25",
            help_text=_("All together, filled no deeper than 2 inches (5 cm)."),
        )
        self.fields["elevation"] = number_field(
            _("Height above the sea, %(unit)s") % {"unit": HEIGHT_LABEL[self.units]},
            least="0",
            most=str(self._high(Decimal(MOST_ELEVATION_M))),
            step="1",
            help_text=_("Water boils cooler high up. Leave it empty lower than 3,000 feet (900 metres)."),
        )

    def _pot_label(self, place: int) -> Any:
        unit = POT_LABEL[self.units]
        return (
            _("Largest pot, %(unit)s") % {"unit": unit}
            if place == 1
            else _("Another pot, %(unit)s") % {"unit": unit}
        )

    def _high(self, metres: Decimal) -> int:
        return int(metres / METRES_PER_FOOT if self.units is System.US else metres)

    def stove(self) -> dict[str, Any]:
        """The valid form as fields of a kitchen, the largest pot first."""
        data = self.cleaned_data
        pots = [convert(data[name], POT_UNIT[self.units], "l") for name in POTS if data[name] is not None]
        high = data["elevation"]
        metres = high if high is None or self.units is System.METRIC else high * METRES_PER_FOOT
        return {
            "pots_l": tuple(sorted(pots, reverse=True)[:MOST_POTS]),
            "freezer": data["freezer"],
            "burners": int(data["burners"] or USUAL_BURNERS),
            "jar_sizes": {size: int(data[name]) for size, name in JARS.items() if data[name]},
            "shallow_l": convert(data["shallow"] or Decimal(0), POT_UNIT[self.units], "l"),
            "iced_water": data["iced_water"],
            "elevation_m": metres,
        }

    @classmethod
    def stove_initial(cls, facts: KitchenFacts, units: str) -> dict[str, Any]:
        """Initial values that show what there is to cook with again, in the practice's unit."""
        initial: dict[str, Any] = {
            name: _shown(pot, units) for name, pot in zip(POTS, facts.pots_l, strict=False)
        }
        initial |= {JARS[size]: count for size, count in facts.jar_sizes.items() if size in JARS}
        if facts.shallow_l:
            initial["shallow"] = _shown(facts.shallow_l, units)
        if facts.elevation_m is not None:
            feet = System(units) is System.US
            initial["elevation"] = round(facts.elevation_m / METRES_PER_FOOT if feet else facts.elevation_m)
        return initial | {
            "freezer": facts.freezer,
            "burners": facts.burners,
            "iced_water": facts.iced_water,
        }


def _shown(litres: Decimal, units: str) -> Decimal:
    return plain_number(convert(litres, "l", POT_UNIT[System(units)]))


def plain_number(value: Decimal) -> Decimal:
    """A number for a field: two decimals at most, no zeros at the end, never with an exponent."""
    return Decimal(f"{round(value, 2).normalize():f}")


class KitchenForm(StoveForm):
    """What the household cooks with and when."""

    jars = number_field(
        _("Jars in all"),
        least="0",
        most="500",
        step="1",
        initial=0,
        help_text=_("For stock and ferments, those below too."),
    )
    busy = forms.MultipleChoiceField(
        label=_("Busy days"),
        help_text=_("On these days the plan avoids cooking from scratch."),
        choices=list(WEEKDAY.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    out = forms.MultipleChoiceField(
        label=_("Nobody cooks at midday"),
        help_text=_("Everybody is out of the house then: that meal comes from a pot of another day."),
        choices=list(WEEKDAY.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data=None, *, units: str, **kwargs: Any) -> None:
        super().__init__(data, units=units, **kwargs)
        for day in WEEKDAYS:
            self.fields[f"min_{day}"] = number_field(
                WEEKDAY[day], least="0", most="600", step="1", required=True, initial=USUAL_MINUTES[day]
            )
        for day, name in AT_HOME.items():
            self.fields[name] = number_field(
                WEEKDAY[day],
                least="0",
                most=str(MOST_AT_HOME_MIN // HOUR_MIN),
                step="0.25",
                decimal_places=2,
            )
        minutes = [f"min_{day}" for day in WEEKDAYS]
        home_note = format_html(
            '<p class="form-text">{}</p>',
            _("Hours in one go. No pot takes longer on that day. Leave a day empty when it does not matter."),
        )
        self.helper = plain_helper(
            Fieldset(_("Pots and burners"), Div(*POTS, "burners", "elevation", css_class="field-grid")),
            Fieldset(_("Jars"), Div("jars", *JARS.values(), css_class="field-grid"), "freezer"),
            Fieldset(_("Cooling a pot fast"), "shallow", "iced_water"),
            Fieldset(
                _("Minutes of hands-on cooking a day"),
                Div(*minutes, css_class="field-grid"),
                InlineCheckboxes("busy"),
            ),
            Fieldset(
                _("The longest time somebody is at home"),
                HTML(home_note),
                Div(*AT_HOME.values(), css_class="field-grid"),
                InlineCheckboxes("out"),
            ),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        sized, jars = sum(cleaned.get(name) or 0 for name in JARS.values()), cleaned.get("jars")
        if jars and sized > jars:
            words = _("The jars by size add up to %(sized)d. Write at least so many, or leave this empty.")
            self.add_error("jars", words % {"sized": sized})
        return cleaned

    def facts(self) -> KitchenFacts:
        """The valid form as a kitchen. Jars nobody counted are those given by size."""
        data, stove = self.cleaned_data, self.stove()
        return KitchenFacts(
            jars=int(data["jars"] or sum(stove["jar_sizes"].values())),
            hands_on_min={day: int(data[f"min_{day}"]) for day in WEEKDAYS},
            busy=tuple(data["busy"]),
            at_home_min={
                day: round(data[name] * HOUR_MIN) for day, name in AT_HOME.items() if data[name] is not None
            },
            out=tuple(data["out"]),
            **stove,
        )

    @classmethod
    def initial_from(cls, facts: KitchenFacts, units: str) -> dict[str, Any]:
        """Initial values that show a kitchen again, in the practice's unit."""
        minutes = {f"min_{day}": minutes for day, minutes in facts.hands_on_min.items()}
        home = {
            AT_HOME[day]: plain_number(Decimal(minutes) / HOUR_MIN)
            for day, minutes in facts.at_home_min.items()
        }
        named = {"jars": facts.jars, "busy": list(facts.busy), "out": list(facts.out)}
        return cls.stove_initial(facts, units) | minutes | home | named
