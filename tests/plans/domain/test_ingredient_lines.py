"""Lines as cooks write them. The lines are made up in the usual manners; common practice, no source."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.book import Food
from plans.domain.filing.fields import MOST_AMOUNT
from plans.domain.filing.lookup import FoodLookup, folded
from plans.domain.ingredient_lines import Doubt, read_ingredient
from plans.domain.records import decimal_of


def food(key: str, *names: str, **fields) -> Food:
    return replace(
        Food(key=key, name=key.replace("-", " "), group="g", aisle="pantry", names=names), **fields
    )


def weights(**grams: int) -> dict[str, Decimal]:
    return {unit: Decimal(weight) for unit, weight in grams.items()}


LOOKUP = FoodLookup(
    [
        food("chicken-thigh", "chicken thighs"),
        food("carrot", "carrots"),
        food("tomatoes-tinned", "tinned tomatoes", "chopped tomatoes", unit_weights_g=weights(can=400)),
        food("garlic", unit_weights_g=weights(clove=3, head=30)),
        food("olive-oil", "extra virgin olive oil", density_g_per_ml=Decimal("0.913")),
        food("salt", unit_weights_g=weights(tsp=6)),
        food("onion", unit_weights_g=weights(piece=110, large=150)),
        food("coconut-milk", density_g_per_ml=Decimal(1)),
        food("milk", density_g_per_ml=Decimal("1.03")),
        food("egg", "eggs", unit_weights_g=weights(piece=50, large=50)),
        food("egg-yolk", unit_weights_g=weights(piece=17)),
        food("celery", unit_weights_g=weights(stalk=40)),
    ]
)
SURE: tuple[Doubt, ...] = (Doubt.NO_FORM,)
GUESS = (Doubt.FOOD_GUESSED, Doubt.NO_FORM)


@pytest.mark.parametrize(
    ("line", "quantity", "unit", "key", "form", "doubts"),
    [
        ("2 1/2 lb bone-in chicken thighs", "2.5", "lb", "chicken-thigh", "", GUESS),
        ("500 g carrots, peeled", "500", "g", "carrot", "peeled", SURE),
        ("500g carrots (peeled), boiled", "500", "g", "carrot", "peeled + boiled", ()),
        ("1 (14 oz) can chopped tomatoes", "1", "can", "tomatoes-tinned", "", GUESS),
        ("3–4 cloves garlic, grated", "3", "clove", "garlic", "grated", (Doubt.RANGE, *GUESS)),
        ("2 to 3 onions", "2", "piece", "onion", "", (Doubt.RANGE, *SURE)),
        ("½ cup extra virgin olive oil", "0.5", "cup", "olive-oil", "", SURE),
        ("1½ tsp. salt", "1.5", "tsp", "salt", "", SURE),
        ("1 ⅓ cups milk", "1.3333", "cup", "milk", "", SURE),
        ("A large onion", "1", "large", "onion", "", SURE),
        ("2 x 400 ml coconut milk", "800", "ml", "coconut-milk", "", SURE),
        ("8 fl. oz. milk", "8", "fl-oz", "milk", "", SURE),
        ("1 tbsp of olive oil", "1", "tbsp", "olive-oil", "", SURE),
        ("1,5 kg carrots", "1.5", "kg", "carrot", "", SURE),
        ("3 large eggs, beaten", "3", "large", "egg", "", SURE),
        ("2 egg yolks", "2", "piece", "egg-yolk", "", SURE),
        ("2 stalks celery", "2", "stalk", "celery", "", GUESS),
        ("Salt to taste", "", "piece", "salt", "", (Doubt.NO_QUANTITY, *GUESS)),
        (
            "a pinch of salt",
            "1",
            "piece",
            "salt",
            "",
            (Doubt.FOOD_GUESSED, Doubt.NOT_WEIGHABLE, Doubt.NO_FORM),
        ),
        ("1 bunch unicorn hair", "1", "", "", "", (Doubt.NO_FOOD, Doubt.NO_FORM)),
        ("1/0 cup milk", "", "cup", "milk", "", (Doubt.NO_QUANTITY, *SURE)),
        ("", "", "", "", "", (Doubt.NO_QUANTITY, Doubt.NO_FOOD, Doubt.NO_FORM)),
    ],
)
def test_a_line_is_read(line, quantity, unit, key, form, doubts) -> None:
    read = read_ingredient(line, LOOKUP)
    assert (read.quantity, read.unit, read.food, read.form) == (quantity, unit, key, form)
    assert read.doubts == doubts
    assert read.line == line


def test_a_longer_name_wins_over_a_shorter_one_inside_it() -> None:
    """Coconut milk is no milk: the wrong one of the two would hide an allergen, or invent one."""
    assert LOOKUP.within("sweet coconut milk in a can") == "coconut-milk"
    assert LOOKUP.within("whole fresh milk") == "milk"


@given(st.text(max_size=400))
def test_any_line_is_read_without_raising(line: str) -> None:
    read = read_ingredient(line, LOOKUP)
    assert read.quantity == "" or 0 < decimal_of(read.quantity) <= MOST_AMOUNT
    assert read.food == "" or read.food in LOOKUP


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Carrots", "carrot"),
        ("egg yolk", "egg-yolk"),
        ("EGG-YOLKS", "egg-yolk"),
        ("olive oyl", "olive-oil"),
        ("unicorn", ""),
    ],
)
def test_a_food_is_found_by_what_people_call_it(name: str, key: str) -> None:
    assert LOOKUP.nearest(name) == key


def test_words_are_folded() -> None:
    assert folded("  Purée, Crème-fraîche ") == "puree creme fraiche"
