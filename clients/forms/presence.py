"""Meals of the week that somebody eats elsewhere: a tick for each."""

from collections.abc import Collection, Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from clients.domain.people import WEEKDAYS, WeeklyMeal
from clients.domain.presence import EVERY_MEAL
from clients.wording.weekdays import WEEKDAY
from plans.domain.vocabulary import Slot
from plans.wording import SLOT

_MEALS = {f"{day}-{slot.value}": (day, slot) for day, slot in EVERY_MEAL}


class PresenceForm(forms.Form):
    """One tick for each meal of the week; drawn as a table of days and meals."""

    away = forms.MultipleChoiceField(
        label=_("Meals eaten elsewhere"),
        required=False,
        choices=[
            (name, _("%(day)s, %(meal)s") % {"day": WEEKDAY[day], "meal": SLOT[slot]})
            for name, (day, slot) in _MEALS.items()
        ],
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": _("“%(value)s” is no meal of the week. Tick the meals in the table.")
        },
    )

    def __init__(self, data=None, *, away: Collection[WeeklyMeal] = (), **kwargs: Any) -> None:
        now = [name for name, meal in _MEALS.items() if meal in away]
        super().__init__(data, initial={"away": now}, **kwargs)

    def meals(self) -> frozenset[WeeklyMeal]:
        """The meals ticked in the valid form."""
        return frozenset(_MEALS[name] for name in self.cleaned_data["away"])

    @property
    def slots(self) -> list[Any]:
        """The headings of the columns."""
        return [SLOT[slot] for slot in Slot]

    def rows(self) -> Iterator[dict[str, Any]]:
        """The days, each with the ticks of its meals."""
        ticks = list(self["away"].subwidgets)
        for place, day in enumerate(WEEKDAYS):
            yield {"day": WEEKDAY[day], "ticks": ticks[place * len(Slot) : (place + 1) * len(Slot)]}
