"""Ticks on a list: they outlive a change of the week, and more needed means only the difference to get."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from clients.domain.basket import Basket, State, basket
from coaching.domain.units import System
from plans.domain.brief import Cook, Week
from plans.domain.rulebook import RuleBook
from plans.domain.shopping import Lot, shopping_list
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

FOODS = [
    food("chicken", aisle="meat", packs_g=(Decimal(600), Decimal(1000)), density_g_per_ml=None),
    food("carrot", density_g_per_ml=None),
]
BOOK = RuleBook.compile(None, FOODS)
BRIEF = brief((eater("a", BOOK),), BOOK, recipe("soup", line("100 g", "chicken"), line("101 g", "carrot")))


def filled(
    portions: str, ticks: dict[str, str], *house: Lot, system=System.METRIC, since: date | None = None
):
    week = Week(MONDAY, 7, (Cook("pot", "soup", MONDAY, Decimal(portions)),), (), {}, 0.0, 0.0)
    whole = {one.food for one in shopping_list(week, BRIEF).lines()}
    bought = shopping_list(week, BRIEF, house, since=since)
    weights = {key: Decimal(grams) for key, grams in ticks.items()}
    return basket(bought, weights, BRIEF.foods, system, of_the_week=whole)


def line_of(found: Basket, key: str):
    return next(one for _, lines in found.aisles for one in lines if one.line.food == key)


def test_nothing_ticked_is_all_to_get():
    found = filled("1", {})
    assert (found.done, found.total) == (0, 2)
    carrot = line_of(found, "carrot")
    assert (carrot.state, carrot.get_g, carrot.tick_to_g) == (State.OPEN, 150, 150)


def test_more_is_needed_than_was_ticked_and_only_the_difference_is_to_get():
    chicken = line_of(filled("8", {"chicken": "600"}), "chicken")
    assert (chicken.state, chicken.ticked_g) == (State.MORE, 600)
    assert (chicken.packs, chicken.tick_to_g) == (((Decimal(600), 1),), 1200)
    carrot = line_of(filled("4", {"carrot": "200"}), "carrot")
    assert (carrot.get_g, carrot.tick_to_g) == (250, 450)


def test_less_is_needed_than_was_ticked_stays_ticked():
    found = filled("1", {"chicken": "1000", "carrot": "450"})
    assert (found.done, found.total) == (2, 2)
    assert found.not_needed == ()


def test_what_nobody_needs_any_more_is_in_the_house():
    assert filled("1", {"leek": "300"}).not_needed == (("leek", Decimal(300)),)


def test_what_was_cooked_already_was_needed():
    found = filled("1", {"carrot": "150"}, since=date(2026, 6, 3))
    assert (found.total, found.not_needed) == (0, ())


def test_what_the_house_has_enough_of_is_no_line_to_buy():
    found = filled("1", {}, Lot("carrot", Decimal(500)))
    assert [one.food for one in found.in_house] == ["carrot"]
    assert found.total == 1


portions = st.integers(1, 40).map(lambda halves: str(Decimal(halves) / 2))


@given(portions, portions, st.sampled_from(list(System)))
def test_a_tick_is_never_short_of_its_own_line_and_of_a_changed_week_only_by_the_difference(
    now, then, system
):
    ticks = {
        one.line.food: str(one.tick_to_g)
        for _, lines in filled(now, {}, system=system).aisles
        for one in lines
    }
    assert filled(now, ticks, system=system).done == 2
    for _, lines in filled(then, ticks, system=system).aisles:
        for one in lines:
            assert (one.state is State.DONE) == (Decimal(ticks[one.line.food]) >= one.line.short_g)
            if one.state is State.MORE:
                assert one.ticked_g + one.get_g >= one.line.short_g
