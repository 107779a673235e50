"""Known nutrients of an adult portion in few digits: what is strained out or unknown does not count."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.contents import portion_contents, three_digits
from plans.domain.nutrients import NutrientRow, portion_totals
from plans.domain.records import food_from_record, recipe_from_record
from plans.selectors import nutrient_table
from tests import shipped

FOODS = {
    row["key"]: food_from_record({"group": "roots", "aisle": "vegetables", **row})
    for row in (
        {"key": "carrot", "name": "Carrot"},
        {"key": "nettle", "name": "Nettle"},
        {"key": "bones", "name": "Bones"},
        {"key": "stock", "name": "Stock", "density": 1},
    )
}
TABLE = {
    key: NutrientRow(key, key, "x", figures)
    for key, figures in (
        ("carrot", {"energy_kcal": Decimal(41), "carb_g": Decimal("-0.1")}),
        ("bones", {"energy_kcal": Decimal(200)}),
        ("stock", {"energy_kcal": Decimal(6)}),
    )
}


def recipe(key: str, ingredients: list[tuple[str, int]], **fields):
    return recipe_from_record(
        {
            "key": key,
            "title": key,
            "kind": "main",
            "slots": ["midday"],
            "main": key,
            "servings": 2,
            "portion": "250 ml",
            "ingredients": [
                {"quantity": grams, "unit": "g", "food": food, "form": "boiled"}
                for food, grams in ingredients
            ],
            "steps": ["Boil."],
            "hands_on_min": 5,
            "elapsed_min": 30,
            "fridge_days": 3,
            "freezer_days": 0,
            "batch": True,
            **fields,
        }
    )


def contents(*recipes, nutrients=("energy_kcal", "carb_g")):
    return portion_contents(recipes, FOODS, TABLE, nutrients)


def test_a_portion_holds_its_share_of_what_is_known():
    found = contents(recipe("soup", [("carrot", 500), ("nettle", 200)]))
    assert found == {"soup": {"energy_kcal": 102.0, "carb_g": 0.0}}


def test_of_a_stock_only_the_stock_counts():
    stock = recipe("pot", [("bones", 1000)], kind="stock", makes="stock")
    assert contents(stock) == {"pot": {"energy_kcal": 15.0}}


def test_a_dish_of_which_nothing_is_known_has_no_entry():
    assert contents(recipe("soup", [("nettle", 200)])) == {}
    assert contents(recipe("pot", [("bones", 9)], kind="stock", makes="brew")) == {}
    assert contents(recipe("soup", [("carrot", 200)]), nutrients=["iron_mg"]) == {}


@pytest.mark.parametrize(
    ("amount", "short"), [("0", 0.0), ("0.0012345", 0.00123), ("1234.5", 1230.0), ("99.96", 100.0)]
)
def test_three_digits_are_kept(amount, short):
    assert three_digits(Decimal(amount)) == short


@given(st.decimals(0, 100_000, places=4))
def test_rounding_takes_half_a_percent_at_most_and_only_once(amount):
    short = three_digits(amount)
    assert abs(Decimal(str(short)) - amount) <= amount / 200
    assert three_digits(Decimal(str(short))) == short


def test_the_shipped_book_is_known_by_its_portions():
    foods, recipes = (
        {food.key: food for food in shipped.foods()},
        [held for held in shipped.recipes() if not held.makes],
    )
    found = portion_contents(recipes, foods, nutrient_table(), ("energy_kcal",))
    for held in recipes[::20]:
        known = portion_totals(held, foods, nutrient_table())["energy_kcal"].value
        assert found[held.key]["energy_kcal"] == three_digits(known)
