"""What a cup of this and a piece of that weighs."""

from decimal import Decimal
from fractions import Fraction

import pytest

from coaching.domain.units import Shown, System
from plans.domain.book import Food
from plans.domain.quantities import density_of, grams, millilitres, shown

CARROT = Food(
    key="carrot",
    name="Carrot",
    group="soft roots",
    aisle="vegetables",
    unit_weights_g={"piece": Decimal(61), "cup": Decimal(128)},
)
OIL = Food(key="oil", name="Olive oil", group="fats", aisle="fats", density_g_per_ml=Decimal("0.913"))
SALT = Food(
    key="salt",
    name="Salt",
    group="salt",
    aisle="pantry",
    unit_weights_g={"tsp": Decimal(6), "cup": Decimal(292)},
)
BARE = Food(key="bare", name="Bare", group="any", aisle="pantry")


@pytest.mark.parametrize(
    ("quantity", "unit", "food", "weight"),
    [
        ("2", "lb", BARE, "907.18474"),
        ("3", "piece", CARROT, "183"),
        ("0.5", "cup", CARROT, "64"),
        ("100", "ml", OIL, "91.3"),
        ("1", "l", OIL, "913"),
        ("1", "tbsp", CARROT, "8"),
        ("2", "tsp", SALT, "12"),
    ],
)
def test_grams(quantity: str, unit: str, food: Food, weight: str) -> None:
    """Pounds by NIST Handbook 44; carrot, oil and salt weights from USDA FoodData Central, SR Legacy portions."""
    assert grams(Decimal(quantity), unit, food) == Decimal(weight)


@pytest.mark.parametrize(("unit", "food"), [("piece", BARE), ("ml", BARE), ("clove", CARROT), ("piece", OIL)])
def test_what_a_food_does_not_say_stays_unknown(unit: str, food: Food) -> None:
    assert grams(Decimal(1), unit, food) is None


def test_millilitres_of_what_is_weighed_and_what_is_poured() -> None:
    assert millilitres(Decimal("91.3"), "g", OIL) == 100
    assert millilitres(Decimal(2), "l", BARE) == 2000
    assert millilitres(Decimal(1), "g", BARE) is None
    assert millilitres(Decimal(1), "piece", OIL) is None


def test_density_comes_from_the_largest_volume_that_is_weighed() -> None:
    assert density_of(OIL) == Decimal("0.913")
    assert density_of(BARE) is None
    assert density_of(SALT).quantize(Decimal("0.001")) == Decimal("1.234")


@pytest.mark.parametrize(
    ("quantity", "unit", "food", "system", "expected"),
    [
        ("500", "g", CARROT, System.METRIC, [Shown(Decimal(500), "g")]),
        ("500", "g", CARROT, System.US, [Shown(Fraction(1), "lb"), Shown(Fraction(2), "oz")]),
        ("2", "cup", CARROT, System.METRIC, [Shown(Decimal(260), "g")]),
        ("2", "cup", CARROT, System.US, [Shown(Fraction(2), "cup")]),
        ("1", "cup", OIL, System.METRIC, [Shown(Decimal(240), "ml")]),
        ("4", "g", SALT, System.US, [Shown(Fraction(2, 3), "tsp")]),
        ("4", "g", SALT, System.METRIC, [Shown(Decimal(4), "g")]),
        ("3", "clove", CARROT, System.US, [Shown(Fraction(3), "clove")]),
        ("1", "tbsp", OIL, System.METRIC, [Shown(Fraction(1), "tbsp")]),
        ("1", "l", None, System.US, [Shown(Fraction(17, 4), "cup")]),
        ("5", "g", None, System.US, [Shown(Decimal(5), "g")]),
    ],
)
def test_shown(quantity: str, unit: str, food: Food | None, system: System, expected: list[Shown]) -> None:
    assert list(shown(Decimal(quantity), unit, food, system)) == expected
