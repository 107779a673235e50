"""Least core temperatures: foodsafety.gov (USDA and HHS), "Cook to a Safe Minimum Internal Temperature"."""

import pytest

from plans.domain.book import Food
from plans.domain.filing.core_temperature import least_core_temp_f

CHART_F = [
    ("chicken-thigh", "poultry", "meat", "boiled", 165),
    ("chicken-mince", "poultry", "meat", "boiled", 165),
    ("beef-shin", "beef", "meat", "stewed", 145),
    ("beef-mince", "beef", "meat", "fried", 160),
    ("lamb-shoulder", "lamb", "meat", "roasted + minced", 160),
    ("pork-loin", "pork", "meat", "roasted", 145),
    ("venison", "game", "meat", "stewed", 160),
    ("rabbit", "game", "meat", "stewed", 160),
    ("beef-liver", "offal", "meat", "fried", 160),
    ("salmon", "oily fish", "fish", "baked", 145),
    ("egg", "eggs", "eggs-dairy", "baked", 160),
    ("carrot", "soft roots", "vegetables", "boiled", None),
    ("butter", "butterfat", "eggs-dairy", "boiled", None),
    ("cured-ham", "cured meats", "meat", "dried", None),
]


def as_food(key: str, group: str, aisle: str) -> Food:
    families = frozenset({"egg"}) if key == "egg" else frozenset()
    return Food(key=key, name=key, group=group, aisle=aisle, families=families)


@pytest.mark.parametrize(("key", "group", "aisle", "form", "least_f"), CHART_F)
def test_one_food_asks_for_its_row_of_the_chart(key, group, aisle, form, least_f) -> None:
    foods = {key: as_food(key, group, aisle)}
    assert least_core_temp_f([(key, frozenset(form.split(" + ")))], foods) == least_f


def test_a_dish_asks_for_the_highest_of_its_foods() -> None:
    foods = {key: as_food(key, group, aisle) for key, group, aisle, _form, _least in CHART_F}
    dish = [(key, frozenset({"boiled"})) for key in ("carrot", "salmon", "egg", "chicken-thigh")]
    assert least_core_temp_f(dish, foods) == 165


def test_an_unknown_food_asks_for_nothing() -> None:
    assert least_core_temp_f([("nowhere", frozenset({"boiled"}))], {}) is None
