"""A week as plain text, for people at a terminal."""

from collections.abc import Iterator

from clients.models import Week
from clients.services.weeks import week_values
from clients.wording.weeks import conflict_words, offers, quality_words, relaxation_words
from coaching.domain.units import System
from plans.domain.brief import NoWeek
from plans.printables.facts import SlotMeals, WeekDay
from plans.printables.week import week_sheet


def week_lines(row: Week) -> list[str]:
    """A planned week: who eats what on each day, what is cooked, and how good the plan is."""
    week, brief = week_values(row)
    sheet = week_sheet(week=week, brief=brief, system=System(row.household.practice.units))
    days = [day for day in (sheet.before, *sheet.days) if day is not None]
    lines = [f"{row.household.name}, {sheet.period}", ""]
    for day in days:
        lines += [*_day_lines(day), ""]
    return [*lines, quality_words(week.gap)]


def no_week_lines(answer: NoWeek) -> list[str]:
    """Why there is no week, and what would help, the smallest change first."""
    lines = ["No week fits. What stands in the way:"]
    lines += [f"  - {words}" for words in conflict_words(answer.conflicts)]
    if answer.relaxations:
        lines.append("What would help, the smallest change first:")
        lines += [
            f"  {place}. {relaxation_words(offer)}"
            for place, offer in enumerate(offers(answer.relaxations), start=1)
        ]
    return lines


def _day_lines(day: WeekDay) -> Iterator[str]:
    yield f"{day.name} {day.date}"
    for line in day.cooks:
        yield f"  Cook       {line}"
    for line in day.freezer:
        yield f"  Freezer    {line}"
    for slot in day.slots:
        yield from _slot_lines(slot)


def _slot_lines(slot: SlotMeals) -> Iterator[str]:
    for meal in slot.meals:
        who = f"{meal.eaters}: " if meal.eaters else ""
        source = f" ({meal.source})" if meal.source else ""
        notes = f". {'. '.join(meal.plate_notes)}" if meal.plate_notes else ""
        yield f"  {slot.slot:<10} {who}{meal.dish}{source}{notes}"
