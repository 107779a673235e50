"""A day in a household's kitchen, which week stands, and whether its plates still suit everyone."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clients.models import Eater, Enrolment, Household
from clients.models import Week as WeekRow
from clients.selectors.cautions import OPEN_STATES
from clients.selectors.instructions import instructions_of
from clients.services.briefs import eater_rules, open_enrolments, rulebooks, rules_on
from clients.services.weeks import week_values
from clients.wording.days import DayWords, day_line, day_words
from coaching.domain.units import System
from plans.domain.allowance import day_allowances
from plans.domain.book import Recipe
from plans.domain.brief import Brief, Cook, FoodAllowance, Plate, Week
from plans.domain.day import Day, day_of
from plans.domain.fit import fit
from plans.selectors import foods_of

DAYS_A_WEEK = 7
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DayPage:
    """A date in the kitchen. Without ``day`` nothing is planned; ``next_on`` is then the next day that something is.

    ``day_one`` is the first day one that lies ahead, if any: until then there is the lead-in.
    """

    on: date
    today: date
    day: DayWords | None
    next_on: date | None = None
    day_one: date | None = None

    @property
    def is_today(self) -> bool:
        """It is the household's own today."""
        return self.on == self.today

    @property
    def before(self) -> date:
        """The day before."""
        return self.on - ONE_DAY

    @property
    def after(self) -> date:
        """The day after."""
        return self.on + ONE_DAY


def day_page(household: Household, *, on: date, today: date) -> DayPage:
    """What there is to cook, to eat, to freeze and to thaw on a date, in a number of queries that does not grow."""
    parts = [(week, brief, day_of(week, brief, on)) for week, brief in _standing(household, on)]
    if not any(_is_something(day) for _week, _brief, day in parts):
        return DayPage(
            on=on, today=today, day=None, next_on=_next_on(household, on), day_one=_day_one(household, on)
        )
    not_now = _not_now(household, parts, today=today) if on >= today else {}
    system = System(household.practice.units)
    return DayPage(
        on=on,
        today=today,
        day=day_words(parts, system=system, not_now=not_now),
        day_one=_day_one(household, on),
    )


def day_at_a_glance(household: Household, *, on: date) -> str:
    """The work of a date in one line, in two queries; nothing when nothing is planned."""
    days = [day_of(week, brief, on) for week, brief in _standing(household, on)]
    return day_line(days) if any(map(_is_something, days)) else ""


def _is_something(day: Day) -> bool:
    return bool(day.cooks or day.meals or day.freeze or day.take_out)


def _standing(household: Household, on: date) -> list[tuple[Week, Brief]]:
    """The week that stands on a date, and the one that begins on the next day and may be cooked ahead for.

    Of one start the newest plan stands; of weeks that overlap the one that began last.
    """
    rows = WeekRow.objects.filter(
        household=household,
        state=WeekRow.State.PLANNED,
        start__gt=on - timedelta(days=DAYS_A_WEEK),
        start__lte=on + ONE_DAY,
    ).order_by("-start", "-asked_at")
    chosen = []
    for pk, start in rows.values_list("pk", "start"):
        if start > on and not chosen:
            chosen.append(pk)
        elif start <= on:
            chosen.append(pk)
            break
    found = {row.pk: row for row in WeekRow.objects.filter(pk__in=chosen)}
    return [week_values(found[pk]) for pk in reversed(chosen)]


def _next_on(household: Household, on: date) -> date | None:
    """The next start of a planned week."""
    rows = WeekRow.objects.filter(household=household, state=WeekRow.State.PLANNED, start__gt=on)
    return rows.order_by("start").values_list("start", flat=True).first()


def _day_one(household: Household, on: date) -> date | None:
    """The first day one that lies ahead."""
    rows = Enrolment.objects.filter(
        eater__household=household, state__in=OPEN_STATES, start_on__gt=on
    ).order_by("start_on")
    return rows.values_list("start_on", flat=True).first()


def _not_now(
    household: Household, parts: Sequence[tuple[Week, Brief, Day]], *, today: date
) -> dict[tuple[str, str], tuple[str, ...]]:
    """By eater and pot, the foods of a plate that the eater's rules, as they stand today, leave out anew.

    Looked at are the plates of the day, and those that a pot of the day is cooked for.
    """
    eaters = list(Eater.objects.filter(household=household))
    enrolments = open_enrolments(eaters)
    instructions = instructions_of(eaters)
    rules = eater_rules(eaters, enrolments, today=today, instructions=instructions)
    foods = foods_of(household.practice)
    books = rulebooks(enrolments.values(), foods)
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for eater in eaters:
        book = books[enrolments[eater.pk].version_id if eater.pk in enrolments else None]
        given: dict[date, Mapping[str, FoodAllowance]] = {}
        for plate, cook, recipe in _plates_of(parts, str(eater.pk)):
            if plate.on not in given:
                held = rules_on(rules[eater.pk], instructions[eater.pk], plate.on)
                given[plate.on] = day_allowances(book, held, plate.on)
            suits = fit(recipe, given[plate.on], foods, appetite=plate.portions)
            missing = {*suits.blocked, *suits.without} - {*plate.without, *cook.without}
            if missing:
                found[plate.eater, plate.cook] = tuple(sorted(missing))
    return found


def _plates_of(parts: Sequence[tuple[Week, Brief, Day]], eater: str) -> Iterator[tuple[Plate, Cook, Recipe]]:
    """An eater's plates of the day, and those from the pots of the day."""
    for _week, brief, day in parts:
        recipes = {recipe.key: recipe for recipe in brief.recipes}
        plates = [(eaten.plate, eaten.cook) for eaten in day.plates()]
        plates += [(plate, one.cook) for one in day.cooks for plate in one.later]
        for plate, cook in plates:
            if plate.eater == eater:
                yield plate, cook, recipes[cook.recipe]
