"""Changes of a standing week: which overrule which, what goes on holding, and what the planner is told."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.revising import (
    LASTING,
    Change,
    Kind,
    added,
    away_of,
    change_from_record,
    change_record,
    dish_at,
    dishes_at,
    meal_of,
    meal_text,
    overrules,
    revision_of,
    together,
)
from plans.domain.brief import Choice, Cook, Plate, Week
from plans.domain.eaten import Past
from plans.domain.vocabulary import Slot

START = date(2026, 6, 15)
MONDAY, TUESDAY, FRIDAY = (0, Slot.EVENING), (1, Slot.EVENING), (4, Slot.MIDDAY)

keys = st.sampled_from(("a", "b", "c"))
meals = st.tuples(st.integers(0, 6), st.sampled_from(tuple(Slot)))
changes = st.one_of(
    st.builds(Change, kind=st.sampled_from((Kind.WANTED, Kind.UNWANTED)), meal=meals, recipe=keys),
    st.builds(Change, kind=st.just(Kind.EXCHANGE), meal=meals, other=meals),
    st.builds(
        Change, kind=st.just(Kind.AWAY), meal=meals, eaters=st.lists(keys, max_size=2, unique=True).map(tuple)
    ),
    st.builds(Change, kind=st.just(Kind.GONE_FOOD), food=keys, day=st.integers(0, 6)),
    st.builds(Change, kind=st.just(Kind.GONE_COOK), cook=keys, day=st.integers(0, 6)),
)


def week_of(*dishes: tuple[tuple[int, Slot], str, str]) -> Week:
    """A week by (meal, eater, recipe), each with a pot of its own day."""
    cooks: dict[str, Cook] = {}
    plates = []
    for (day, slot), eater, recipe in dishes:
        on = START + timedelta(days=day)
        cook = cooks.setdefault(f"{recipe} {day}", Cook(f"{recipe} {day}", recipe, on, Decimal(2)))
        plates.append(Plate(on, slot, eater, cook.key, Decimal(1)))
    return Week(START, 7, tuple(cooks.values()), tuple(plates), {}, 0.0, 0.0)


WEEK = week_of(
    (MONDAY, "ann", "soup"), (MONDAY, "ben", "soup"), (MONDAY, "cai", "stew"), (TUESDAY, "ann", "pie")
)


@given(changes, st.booleans())
def test_records_keep_a_change_whole(change, back):
    change = replace(change, back=back)
    assert change_from_record(change_record(change)) == change


@given(meals)
def test_a_meals_text_names_that_meal(meal):
    assert meal_of(meal_text(meal)) == meal


@pytest.mark.parametrize("text", ["", "2", "evening", "2-supper", "-1-evening", "²-evening", "1000-evening"])
def test_a_text_that_names_no_meal_is_refused(text):
    with pytest.raises(ValueError, match=r"no meal|not a valid Slot"):
        meal_of(text)


@given(st.lists(changes, max_size=6), changes)
def test_the_newest_change_always_waits_and_nothing_beside_it_is_overruled(earlier, new):
    held: tuple[Change, ...] = ()
    for change in (*earlier, new):
        held = added(held, change)
    assert held[-1] == new
    assert not any(overrules(held[j], held[i]) for j in range(len(held)) for i in range(j))


def test_a_new_wish_for_a_meal_takes_the_place_of_an_exchange_it_was_in():
    exchange = Change(Kind.EXCHANGE, meal=MONDAY, other=TUESDAY)
    wish = Change(Kind.WANTED, meal=TUESDAY, recipe="pie")
    assert added((exchange,), wish) == (wish,)


def test_two_dishes_can_be_unwanted_at_one_meal_and_a_wish_overrules_both():
    soup, stew = (Change(Kind.UNWANTED, meal=MONDAY, recipe=key) for key in ("soup", "stew"))
    assert added((soup,), stew) == (soup, stew)
    wish = Change(Kind.WANTED, meal=MONDAY, recipe="pie")
    assert added((soup, stew), wish) == (wish,)


def test_a_dish_is_wanted_beside_somebody_being_out_but_not_when_everyone_is():
    wish = Change(Kind.WANTED, meal=MONDAY, recipe="pie")
    one, everyone = Change(Kind.AWAY, meal=MONDAY, eaters=("ann",)), Change(Kind.AWAY, meal=MONDAY)
    assert added((wish,), one) == (wish, one)
    assert added((wish, one), everyone) == (everyone,)


@given(st.lists(changes, max_size=5), st.lists(changes, max_size=5))
def test_of_earlier_revisions_only_what_lasts_goes_on(earlier, new):
    held = together(earlier, new)
    assert all(change in new or change.kind in LASTING for change in held)


def test_a_lasting_change_can_be_over():
    out = Change(Kind.AWAY, meal=MONDAY)
    gone = Change(Kind.GONE_FOOD, food="leek", day=2)
    assert together((out, gone), (replace(out, back=True),)) == (gone,)
    assert together((out, gone), (replace(gone, back=True),)) == (out,)


def test_the_dish_of_a_meal_is_the_one_most_have():
    assert dish_at(WEEK, MONDAY) == "soup"
    assert dishes_at(WEEK, MONDAY) == {"soup", "stew"}
    assert dish_at(WEEK, FRIDAY) is None


def test_an_exchange_wants_each_dish_at_the_other_meal():
    revision = revision_of(
        (Change(Kind.EXCHANGE, meal=MONDAY, other=TUESDAY),), WEEK, past=Past(-1), locks=()
    )
    assert set(revision.wanted) == {Choice(MONDAY, "pie"), Choice(TUESDAY, "soup")}


def test_what_is_eaten_meanwhile_is_no_longer_asked_for():
    asked = (
        Change(Kind.WANTED, meal=MONDAY, recipe="pie"),
        Change(Kind.UNWANTED, meal=TUESDAY, recipe="pie"),
        Change(Kind.GONE_FOOD, food="leek", day=0),
        Change(Kind.GONE_COOK, cook="soup 0", day=1),
        Change(Kind.GONE_COOK, cook="a pot that is gone from the plan", day=1),
    )
    revision = revision_of(asked, WEEK, past=Past(1), locks=(MONDAY, FRIDAY))
    assert (revision.wanted, revision.unwanted) == ((), (Choice(TUESDAY, "pie"),))
    assert (dict(revision.gone_foods), dict(revision.gone_cooks)) == ({"leek": 0}, {"soup 0": 1})
    assert (revision.locked, revision.from_day, revision.shown) == ({FRIDAY}, 1, WEEK)
    assert revision.eaten == frozenset()


def test_what_is_eaten_today_is_no_longer_asked_for_either():
    noon = (1, Slot.MIDDAY)
    asked = (
        Change(Kind.WANTED, meal=noon, recipe="pie"),
        Change(Kind.EXCHANGE, meal=FRIDAY, other=noon),
        Change(Kind.UNWANTED, meal=TUESDAY, recipe="pie"),
    )
    past = Past(1, frozenset({Slot.BREAKFAST, Slot.MIDDAY}))
    revision = revision_of(asked, WEEK, past=past, locks=(noon, TUESDAY))
    assert (revision.wanted, revision.unwanted) == ((), (Choice(TUESDAY, "pie"),))
    assert (revision.locked, revision.past) == ({TUESDAY}, past)


def test_nobody_named_as_out_means_everyone():
    away = away_of(
        (Change(Kind.AWAY, meal=MONDAY), Change(Kind.AWAY, meal=FRIDAY, eaters=("ann",))), ("ann", "ben")
    )
    assert away == {"ann": {MONDAY, FRIDAY}, "ben": {MONDAY}}
