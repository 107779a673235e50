"""Asking for a batch: what it is for, when to cook it, and with what. Nothing of it is stored."""

from datetime import date, datetime, time, timedelta
from decimal import ROUND_CEILING, Decimal
from typing import Any

from crispy_forms.layout import HTML, Div, Fieldset
from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from clients.domain.people import KitchenFacts
from clients.forms.kitchen import JARS, POTS, StoveForm, plain_number
from clients.forms.people import date_field, number_field, plain_helper
from clients.services.batch_facts import BatchTable
from clients.services.brief_facts import POT_SHARE
from clients.wording.batch import KIND
from coaching.domain.calendar import moment_of, wall_clock
from coaching.domain.units import METRES_PER_FOOT, System, convert, grams_per, millilitres_per
from plans.domain.batch.asking import Ask, Assumed, Chilling, Need, Stove, Table, check
from plans.domain.batch.jars import COMMON_JARS, JarStock
from plans.domain.batch.trade import SIMMER_MIN, Kind
from plans.domain.batch.week_need import StockNeed
from plans.selectors import kitchen_safety

DAYS = 7
PORTIONS = tuple(f"portions_{day}" for day in range(DAYS))
USUAL_DAYS = 4
"""The day of cooking and the three it keeps for in the refrigerator."""
USUAL_START = time(10, 0)
MOST_DAYS_AHEAD = 366
MOST_DAYS_BEFORE = 7
MOST_DAYS_AFTER = 90
"""How far the days it is for may lie from the day it is cooked on; nothing is at its best any longer."""
MOST_DAYS_AT_THE_STOVE = 2
BROTH_UNIT = {System.METRIC: "ml", System.US: "cup"}
SOLID_UNIT = {System.METRIC: "g", System.US: "oz"}
BONES_UNIT = {System.METRIC: "kg", System.US: "lb"}
USUAL_BROTH = {System.METRIC: Decimal(250), System.US: Decimal(1)}
UNIT_LABEL = {
    "ml": _("millilitres"),
    "cup": _("cups"),
    "g": _("grams"),
    "oz": _("ounces"),
    "kg": _("kilograms"),
    "lb": _("pounds"),
}


def time_field(**kwargs: Any) -> forms.TimeField:
    """A time of day by the device's own clock."""
    return forms.TimeField(widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"), **kwargs)


class BatchForm(StoveForm):
    """One batch. ``table`` says by whose clock it is cooked and who eats it."""

    kind = forms.ChoiceField(label=_("Made of"), choices=[(kind.value, name) for kind, name in KIND.items()])
    cuts = forms.CharField(
        label=_("Cuts"),
        max_length=120,
        required=False,
        help_text=_("Feet, tails, hocks and necks set firmest."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    first_day = date_field(
        label=_("Day 1 falls on"), required=False, help_text=_("Empty: the day it is cooked on.")
    )
    start_on = date_field(label=_("Cooked on"))
    start_at = time_field(label=_("Begin at"))
    finish_at = time_field(label=_("Done by"), required=False, help_text=_("Off the heat; may stay empty."))
    finish_on = date_field(label=_("Done on"), required=False, help_text=_("Empty: the same day."))
    simmer_min = number_field(
        _("Simmer, minutes"),
        least="1",
        most="600",
        step="1",
        help_text=_("Empty: the usual time for what it is made of."),
    )
    fridge_days = number_field(
        _("Days in the refrigerator"),
        least="1",
        most="4",
        step="1",
        help_text=_("The recipe’s own figure. Empty: 3; never more than 4."),
    )
    loose_stools = forms.BooleanField(label=_("Somebody has loose stools now"), required=False)
    garlic_badly_borne = forms.BooleanField(label=_("Garlic is badly borne"), required=False)
    small_child = forms.BooleanField(label=_("A child under five eats along"), required=False)

    def __init__(self, data=None, *, units: str, table: BatchTable, **kwargs: Any) -> None:
        super().__init__(data, units=units, **kwargs)
        self.table = table
        self._add_amounts()
        self.helper = plain_helper(*self._parts())

    def _add_amounts(self) -> None:
        system = self.units
        for day, name in enumerate(PORTIONS, start=1):
            self.fields[name] = number_field(_("Day %(n)d") % {"n": day}, least="0", most="200", step="0.1")
        broth, solid = UNIT_LABEL[BROTH_UNIT[system]], UNIT_LABEL[SOLID_UNIT[system]]
        most_broth, most_solid = ("8", "35") if system is System.US else ("2000", "1000")
        self.fields["broth"] = number_field(
            _("Broth in a portion, %(unit)s") % {"unit": broth}, least="0.1", most=most_broth, step="0.01"
        )
        self.fields["meat"] = number_field(
            _("Meat in a portion, %(unit)s") % {"unit": solid},
            least="0",
            most=most_solid,
            step="0.1",
            help_text=_("Cooked and picked off."),
        )
        self.fields["vegetables"] = number_field(
            _("Vegetables in a portion, %(unit)s") % {"unit": solid},
            least="0",
            most=most_solid,
            step="0.1",
            help_text=_("With vegetables it is a soup."),
        )
        self.fields["bones"] = number_field(
            _("Bones at hand, %(unit)s") % {"unit": UNIT_LABEL[BONES_UNIT[system]]},
            least="0.1",
            most="100",
            step="0.01",
            help_text=_("Empty: as much as the portions ask for."),
        )

    def _parts(self) -> tuple[Fieldset, ...]:
        portions_note = format_html('<p class="form-text">{}</p>', _("Adult portions on each day."))
        return (
            Fieldset(_("Bones"), Div("kind", "cuts", "bones", css_class="field-grid")),
            Fieldset(
                _("What it is for"),
                "first_day",
                HTML(portions_note),
                Div(*PORTIONS, css_class="field-grid portion-grid"),
                Div("broth", "meat", "vegetables", css_class="field-grid"),
            ),
            Fieldset(
                _("When"),
                Div("start_on", "start_at", "finish_at", "finish_on", css_class="field-grid"),
                Div("simmer_min", "fridge_days", css_class="field-grid"),
            ),
            Fieldset(_("Pots and burners"), Div(*POTS, "burners", "elevation", css_class="field-grid")),
            Fieldset(_("Jars"), Div(*JARS.values(), css_class="field-grid"), "freezer"),
            Fieldset(_("Cooling a pot fast"), "shallow", "iced_water"),
            Fieldset(_("At the table"), "loose_stools", "garlic_badly_borne", "small_child"),
        )

    def clean_start_on(self) -> date:
        """A day within reach."""
        start = self.cleaned_data["start_on"]
        if not -1 <= (start - self.table.today) / timedelta(days=1) <= MOST_DAYS_AHEAD:
            raise forms.ValidationError(_("Choose a day from yesterday up to a year from now."))
        return start

    def clean_simmer_min(self) -> Decimal | None:
        """The household's own time, within the range of practice for what the stock is made of."""
        own, kind = self.cleaned_data["simmer_min"], self.cleaned_data.get("kind")
        if own is None or kind is None:
            return own
        usual = SIMMER_MIN[Kind(kind)]
        try:
            return usual.of(own)
        except ValueError as error:
            words = _("%(kind)s: write %(least)d to %(most)d minutes, or leave it empty for %(usual)d.")
            figures = {"least": usual.least, "most": usual.most, "usual": usual.usual}
            raise forms.ValidationError(words, params={"kind": KIND[Kind(kind)], **figures}) from error

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if (
            not self._has_portions()
            and not cleaned.get("bones")
            and not {*PORTIONS, "bones"} & {*self.errors}
        ):
            self.add_error("bones", _("Give the bones there are, or portions below."))
        if self._has_portions() and cleaned.get("broth") is None and "broth" not in self.errors:
            self.add_error("broth", _("Say how much broth goes into a portion."))
        if cleaned.get("finish_on") and not cleaned.get("finish_at") and "finish_at" not in self.errors:
            self.add_error("finish_at", _("Give the time as well, or clear the day."))
        self._check_days(cleaned)
        if not self.errors:
            self._check_ask()
        return cleaned

    def _check_days(self, cleaned: dict[str, Any]) -> None:
        start = cleaned.get("start_on")
        if start is None:
            return
        first, done = cleaned.get("first_day") or start, cleaned.get("finish_on") or start
        if not -MOST_DAYS_BEFORE <= (first - start).days <= MOST_DAYS_AFTER:
            self.add_error("first_day", _("Choose a day near the one it is cooked on."))
        if not 0 <= (done - start).days <= MOST_DAYS_AT_THE_STOVE:
            self.add_error("finish_on", _("Choose the day it is cooked on, or one of the next two."))

    def _check_ask(self) -> None:
        ask = self.ask()
        if ask.finish_by is not None and ask.finish_by <= ask.starts_at:
            self.add_error("finish_at", _("This is before the batch begins. Choose a later time or day."))
        try:
            check(ask)
        except ValueError:
            self.add_error(
                None, _("Nothing can be cooked of this. Look at the pots, the burners and the portions.")
            )

    def _has_portions(self) -> bool:
        return any(self.cleaned_data.get(name) for name in PORTIONS)

    def ask(self) -> Ask:
        """The valid form as what is asked of a batch; pots count as far as they can be filled."""
        data, stove = self.cleaned_data, self.stove()
        bones = data["bones"]
        sizes = {size.key: size for size in COMMON_JARS}
        metres = stove["elevation_m"] or Decimal(0)
        return Ask(
            kind=Kind(data["kind"]),
            starts_at=moment_of(data["start_on"], data["start_at"], self.table.zone),
            zone=self.table.zone,
            stove=Stove(tuple(pot * 1000 * POT_SHARE for pot in stove["pots_l"]), stove["burners"]),
            need=self._need(),
            bones_g=None if bones is None else bones * grams_per(BONES_UNIT[self.units]),
            jars=tuple(JarStock(sizes[key], count) for key, count in stove["jar_sizes"].items()),
            freezer=stove["freezer"],
            finish_by=self._finish_by(),
            table=Table(data["loose_stools"], data["garlic_badly_borne"], data["small_child"]),
            chilling=Chilling(stove["shallow_l"] * 1000, stove["iced_water"]),
            assumed=Assumed(simmer_min=data["simmer_min"]),
            elevation_ft=metres / METRES_PER_FOOT,
            fridge_days=None if data["fridge_days"] is None else int(data["fridge_days"]),
        )

    def _need(self) -> Need | None:
        data = self.cleaned_data
        if not self._has_portions():
            return None
        first = data["first_day"] or data["start_on"]
        gram = grams_per(SOLID_UNIT[self.units])
        return Need(
            portions={
                first + timedelta(days=day): data[name] for day, name in enumerate(PORTIONS) if data[name]
            },
            broth_ml=data["broth"] * millilitres_per(BROTH_UNIT[self.units]),
            meat_g=(data["meat"] or Decimal(0)) * gram,
            vegetables_g=(data["vegetables"] or Decimal(0)) * gram,
        )

    def _finish_by(self) -> datetime | None:
        data, zone = self.cleaned_data, self.table.zone
        if data["finish_at"] is None:
            return None
        return wall_clock(moment_of(data["finish_on"] or data["start_on"], data["finish_at"], zone), zone)

    def pots_full_ml(self) -> tuple[Decimal, ...]:
        """The pots of the valid form up to the brim, in the order of the ask."""
        return tuple(pot * 1000 for pot in self.stove()["pots_l"])

    @classmethod
    def initial_from(
        cls, kitchen: KitchenFacts, table: BatchTable, units: str, wanted: StockNeed | None = None
    ) -> dict[str, Any]:
        """Initial values: a household's kitchen and table, from tomorrow at ten, or what a week wants of a stock."""
        tomorrow = table.today + timedelta(days=1)
        initial = cls.stove_initial(kitchen, units) | {
            "start_on": tomorrow,
            "start_at": USUAL_START,
            "broth": USUAL_BROTH[System(units)],
            "loose_stools": table.table.loose_stools,
            "small_child": table.table.small_child,
        }
        if wanted is None:
            return initial | dict.fromkeys(PORTIONS[:USUAL_DAYS], _tenths_up(table.portions or None))
        portions = wanted.need.portions
        first = min(portions)
        broth = convert(wanted.need.broth_ml, "ml", BROTH_UNIT[System(units)])
        return initial | {
            "kind": wanted.kind.value,
            "start_on": max(wanted.on, table.today),
            "first_day": first,
            "broth": plain_number(broth),
            "fridge_days": min(wanted.recipe.fridge_days, int(kitchen_safety().fridge_most_days)) or None,
            **{
                name: _tenths_up(portions.get(first + timedelta(days=day)))
                for day, name in enumerate(PORTIONS)
            },
        }


def _tenths_up(portions: Decimal | None) -> Decimal | None:
    """Portions for a field, rounded up to tenths: better a sip too much."""
    return None if portions is None else plain_number((portions * 10).to_integral_value(ROUND_CEILING) / 10)
