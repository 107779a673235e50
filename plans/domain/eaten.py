"""What of a week is eaten at a moment: every meal of the days before, and of today those whose usual hour is over.

Nobody writes down when they eat. So that a change asked for in the afternoon leaves breakfast alone, a meal counts as
eaten from an hour on at which hardly anybody still has it before them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from plans.domain.vocabulary import Slot

EATEN_BY: Mapping[Slot, time] = {
    Slot.BREAKFAST: time(10, 0),
    Slot.MUG: time(12, 0),
    Slot.MIDDAY: time(14, 30),
    Slot.EVENING: time(21, 0),
}
"""The hour, on the clock of the household, from which on a meal counts as eaten; the mug stands between breakfast and
midday (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Past:
    """The eaten meals of a week: all of the days before ``day``, and of that day those at ``slots``."""

    day: int
    slots: frozenset[Slot] = frozenset()

    def __contains__(self, meal: tuple[int, Slot]) -> bool:
        return meal[0] < self.day or (meal[0] == self.day and meal[1] in self.slots)


def past_at(wall: datetime, start: date) -> Past:
    """What of a week from ``start`` is eaten when calendar and clock of the household show ``wall``.

    Its ``day`` is today, or -1, the eve, while all is ahead.
    """
    day = (wall.date() - start).days
    if day < 0:
        return Past(-1)
    return Past(day, frozenset(slot for slot, hour in EATEN_BY.items() if wall.time() >= hour))
