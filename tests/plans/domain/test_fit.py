"""Whether a dish suits an eater, and what it has to do without."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import FoodAllowance
from plans.domain.fit import Fit, fit, out_of_the_pot
from plans.domain.vocabulary import Allowance
from tests.plans.domain.hand_made import FREELY, food, form, line, recipe

FOODS = {key: food(key) for key in ("beef", "carrot", "onion", "dill", "celery", "kraut")}
SOUP = recipe(
    "soup",
    line("200 g", "beef"),
    line("100 g", "carrot", "boiled + peeled"),
    line("20 g", "celery", "broth", "flavour"),
    line("30 g", "onion", "boiled", "optional"),
    line("5 g", "dill", "raw", "plate"),
)
OPEN = dict.fromkeys(FOODS, FREELY)


def suits(changes: dict[str, FoodAllowance], dish=SOUP, **how) -> Fit:
    return fit(dish, OPEN | changes, FOODS, **how)


def closed(*keys: str) -> dict[str, FoodAllowance]:
    return dict.fromkeys(keys, FoodAllowance(Allowance.NOT_YET))


def test_a_dish_of_open_foods_suits():
    assert suits({}) == Fit(True)


@pytest.mark.parametrize("key", ["beef", "carrot"])
def test_a_closed_base_stands_in_the_way(key: str):
    assert suits(closed(key)) == Fit(False, blocked=(key,))


def test_closed_plate_and_optional_foods_and_flavours_are_left_out():
    assert suits(closed("dill", "onion", "celery")) == Fit(True, without=("celery", "onion", "dill"))


def test_a_base_must_be_in_an_open_form():
    assert suits(
        {"carrot": FoodAllowance(Allowance.AS_PREPARED, (form("boiled + peeled"), form("pureed")))}
    ).ok
    assert not suits(
        {"carrot": FoodAllowance(Allowance.AS_PREPARED, (form("boiled + peeled + deseeded"),))}
    ).ok


def test_flavour_only_is_for_flavours():
    flavour = FoodAllowance(Allowance.FLAVOUR_ONLY, (form("broth"),))
    assert suits({"celery": flavour}) == Fit(True)
    assert suits({"celery": FoodAllowance(Allowance.FLAVOUR_ONLY, (form("raw"),))}).without == ("celery",)
    assert suits({"carrot": flavour}).blocked == ("carrot",)


def test_forms_that_bind_flavours_leave_a_flavour_out_of_the_pot():
    how = (form("baked"),)
    assert suits({"celery": FoodAllowance(Allowance.AS_PREPARED, how)}) == Fit(True)
    assert suits({"celery": FoodAllowance(Allowance.AS_PREPARED, how, flavour_forms=how)}).without == (
        "celery",
    )


def test_the_pot_lacks_what_one_of_those_who_share_it_lacks_but_nothing_of_a_plate():
    assert out_of_the_pot(SOUP, ("celery", "dill", "beef")) == {"celery"}
    assert out_of_the_pot(SOUP, ()) == frozenset()


def test_a_food_without_an_allowance_is_not_yet():
    assert fit(SOUP, {key: FREELY for key in FOODS if key != "beef"}, FOODS).blocked == ("beef",)


def test_a_first_taste_holds_for_this_eaters_share():
    taste = {"dill": FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal("2.5"))}
    assert suits(taste).without == ("dill",)
    assert suits(taste, appetite=Decimal("0.5")).without == ()


def test_the_first_tastes_of_all_lines_count_together():
    twice = recipe("twice", line("6 g", "kraut", "raw"), line("6 g", "kraut", "raw", "plate"))
    taste = {"kraut": FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(10))}
    assert suits(taste, twice) == Fit(True, without=("kraut",))


def test_what_nobody_can_weigh_is_no_first_taste():
    foods = FOODS | {"kraut": food("kraut", density_g_per_ml=None)}
    dish = recipe("cups", line("1 cup", "kraut", "raw", "plate"))
    taste = {"kraut": FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(999))}
    assert fit(dish, OPEN | taste, foods).without == ("kraut",)
    assert fit(dish, OPEN, foods) == Fit(True)


def test_a_disliked_food_is_left_off_where_it_can_be():
    assert suits({}, dislikes=frozenset({"dill", "onion", "beef"})) == Fit(True, without=("onion", "dill"))


levels = st.dictionaries(st.sampled_from(sorted(FOODS)), st.sampled_from(Allowance)).map(
    lambda given_: {key: FoodAllowance(level) for key, level in given_.items()}
)


@given(levels, st.sampled_from(sorted(FOODS)))
def test_closing_a_food_never_makes_a_dish_fit(changes: dict[str, FoodAllowance], key: str):
    before, after = suits(changes), suits(changes | closed(key))
    assert before.ok or not after.ok
    assert set(before.blocked) <= set(after.blocked)
    assert set(before.without) <= set(after.without)
