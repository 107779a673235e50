"""What a brief knows beside the rules: who is at home, what is in the house, what days are to hold, what is wanted."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from clients.domain.people import WEEKDAYS, KitchenFacts
from clients.domain.questions import Person, answers_from_record
from clients.domain.screening import screen
from clients.domain.targets import AIMED_FOR, targets_on
from clients.models import Eater, Household
from clients.selectors.cautions import standing_rules
from clients.selectors.measures import latest_measures_of
from clients.selectors.stores import is_past, stores_of
from plans.domain.brief import Kitchen, Stored
from plans.domain.contents import portion_contents
from plans.domain.nutrients import table_for
from plans.selectors import Book, nutrient_table, reference_intakes

POT_SHARE = Decimal("0.875")
"""The usable part of a pot: a quart of room at the top of an eight-quart pot (common practice, no source)."""
ALWAYS_MIN = 7 * 24 * 60
"""A day without a limit among days that have one: longer than anything takes."""


def kitchen_on(household: Household, dates: Sequence[date]) -> Kitchen:
    """The kitchen day by day. Without a single limit of time at home there is none."""
    facts = KitchenFacts.from_record(household.kitchen)
    days = [WEEKDAYS[on.weekday()] for on in dates]
    is_limited = not facts.at_home_min.keys().isdisjoint(days)
    return Kitchen(
        hands_on_min=tuple(facts.hands_on_min.get(day, 0) for day in days),
        pots_ml=tuple(int(pot * 1000 * POT_SHARE) for pot in facts.pots_l),
        jars=facts.jars,
        freezer=facts.freezer,
        at_home_min=tuple(facts.at_home_min.get(day, ALWAYS_MIN) for day in days) if is_limited else (),
        out=frozenset(place for place, day in enumerate(days) if day in facts.out),
    )


def stored_in(household: Household, foods: Iterable[str], start: date, *, today: date) -> tuple[Stored, ...]:
    """What is in the house of these foods, in one query: not used up, and good on the first day of cooking."""
    known = set(foods)
    eve = max(today, start - timedelta(days=1))
    rows = [
        row
        for row in stores_of(household)
        if row.food in known and row.amount_g > 0 and not is_past(row, eve)
    ]
    rows.sort(key=lambda row: (row.food, row.best_by or date.max, row.place, row.amount_g))
    return tuple(Stored(row.food, row.amount_g, row.place, row.best_by) for row in rows)


def day_targets(eaters: Sequence[Eater], on: date) -> dict[UUID, dict[str, float]]:
    """What each eater's days are to hold, in two queries: measures and the cautions that stand."""
    measures, cautions = latest_measures_of(eaters), standing_rules(eaters)
    return {
        eater.pk: targets_on(
            on,
            born=eater.born,
            sex=eater.sex,
            answers=eater.answers,
            cautions=cautions[eater.pk] | _raised(eater, on),
            measures=measures.get(eater.pk),
            references=reference_intakes(),
        )
        for eater in eaters
    }


def contents_of(book: Book) -> Mapping[str, Mapping[str, float]]:
    """What is known of an adult portion of each recipe, in the nutrients that dishes are chosen by."""
    return portion_contents(book.recipes, book.foods, table_for(book.foods, nutrient_table()), AIMED_FOR)


def _raised(eater: Eater, on: date) -> set[str]:
    """The rules that the answers raise on a day, whether or not their cautions were written down."""
    answers = answers_from_record(eater.answers)
    return {caution.rule for caution in screen(Person(eater.born, eater.sex), answers, on)}
