"""Which meals of the week somebody eats elsewhere, week after week."""

from collections.abc import Collection, Iterable
from datetime import date

from clients.domain.people import WEEKDAYS, WeeklyMeal
from plans.domain.brief import Meal
from plans.domain.vocabulary import Slot

EVERY_MEAL: tuple[WeeklyMeal, ...] = tuple((day, slot) for day in WEEKDAYS for slot in Slot)
"""All meals of a week in the order they come."""


def away_record(away: Collection[WeeklyMeal]) -> list[list[str]]:
    """The meals as they are stored, in the order of the week."""
    return [[day, slot.value] for day, slot in EVERY_MEAL if (day, slot) in away]


def away_from_record(record: Iterable[Iterable[str]]) -> frozenset[WeeklyMeal]:
    """The inverse of ``away_record``. Raises ValueError for a meal there is not."""
    return frozenset((day, Slot(slot)) for day, slot in record)


def away_on(away: Collection[WeeklyMeal], dates: Iterable[date]) -> frozenset[Meal]:
    """The meals on these dates, counted from the first of them."""
    return frozenset(
        (place, slot)
        for place, on in enumerate(dates)
        for slot in Slot
        if (WEEKDAYS[on.weekday()], slot) in away
    )


def nobody_at_home(aways: Iterable[Collection[WeeklyMeal]]) -> bool:
    """Whether everybody eats everything elsewhere, so that there is nothing to plan. Nobody at all is not meant."""
    aways = list(aways)
    return bool(aways) and all(set(away) >= set(EVERY_MEAL) for away in aways)
