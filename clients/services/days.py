"""A day in a household's kitchen, which week stands, and whether its plates still suit everyone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clients.models import Eater, Enrolment, Household
from clients.models import Week as WeekRow
from clients.selectors.cautions import OPEN_STATES
from clients.selectors.instructions import instructions_of
from clients.services.briefs import eater_rules, open_enrolments, rulebooks, rules_on
from clients.services.weeks import week_values
from clients.wording.days import DayWords, day_words
from coaching.domain.units import System
from plans.domain.allowance import day_allowances
from plans.domain.brief import Brief, Week
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
    not_now = _not_now(household, parts, on=on, today=today) if on >= today else {}
    system = System(household.practice.units)
    return DayPage(
        on=on,
        today=today,
        day=day_words(parts, system=system, not_now=not_now),
        day_one=_day_one(household, on),
    )


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
    household: Household, parts: Sequence[tuple[Week, Brief, Day]], *, on: date, today: date
) -> dict[tuple[str, str], tuple[str, ...]]:
    """By eater and pot, the foods of the day's plates that the eater's rules, as they stand today, leave out anew."""
    eaters = list(Eater.objects.filter(household=household))
    enrolments = open_enrolments(eaters)
    instructions = instructions_of(eaters)
    rules = eater_rules(eaters, enrolments, today=today, instructions=instructions)
    foods = foods_of(household.practice)
    books = rulebooks(enrolments.values(), foods)
    given = {
        str(eater.pk): day_allowances(
            books[enrolments[eater.pk].version_id if eater.pk in enrolments else None],
            rules_on(rules[eater.pk], instructions[eater.pk], on),
            on,
        )
        for eater in eaters
    }
    found = {}
    for _week, brief, day in parts:
        recipes = {recipe.key: recipe for recipe in brief.recipes}
        appetites = {eater.key: eater.appetite for eater in brief.eaters}
        for eaten in day.plates():
            plate = eaten.plate
            if plate.eater in given:
                suits = fit(
                    recipes[eaten.cook.recipe], given[plate.eater], foods, appetite=appetites[plate.eater]
                )
                missing = {*suits.blocked, *suits.without} - {*plate.without, *eaten.cook.without}
                if missing:
                    found[plate.eater, plate.cook] = tuple(sorted(missing))
    return found
