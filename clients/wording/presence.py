"""Meals eaten elsewhere, in words."""

from collections.abc import Collection

from django.utils.translation import gettext as _

from clients.domain.people import WEEKDAYS, WeeklyMeal
from clients.wording.weekdays import WEEKDAY
from plans.domain.vocabulary import Slot
from plans.wording import SLOT

LEAST_RUN = 3
"""So many days one after the other are said as a span."""


def away_words(away: Collection[WeeklyMeal]) -> list[str]:
    """A line for each slot: ``Midday: Monday to Friday``."""
    lines = []
    for slot in Slot:
        days = [day for day in WEEKDAYS if (day, slot) in away]
        if days:
            lines.append(_("%(meal)s: %(days)s") % {"meal": SLOT[slot], "days": _days(days)})
    return lines


def _days(days: list[str]) -> str:
    if len(days) == len(WEEKDAYS):
        return _("every day")
    runs: list[list[str]] = []
    for day in days:
        if runs and WEEKDAYS.index(day) == WEEKDAYS.index(runs[-1][-1]) + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    return _(", ").join(word for run in runs for word in _run(run))


def _run(run: list[str]) -> list[str]:
    if len(run) < LEAST_RUN:
        return [str(WEEKDAY[day]) for day in run]
    return [_("%(first)s to %(last)s") % {"first": WEEKDAY[run[0]], "last": WEEKDAY[run[-1]]}]
