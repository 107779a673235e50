"""Batches against the trade's own figures and against what is published."""

import csv
from decimal import Decimal

import pytest

from plans.domain.batch.scaling import Losses, fill_pot
from plans.domain.batch.trade import (
    EVAPORATION_PER_HOUR,
    HELD_BACK_ML_PER_G,
    SIMMER_MIN,
    Kind,
    salt_ml_for,
    water_ml_for,
)
from plans.domain.planner.setting import KEPT_MOST_DAYS
from plans.printables import safety as printed
from plans.selectors import kitchen_safety
from tests.plans.domain.batch_asks import LB, QT
from tests.shipped import DATA

PUBLISHED = {
    # FDA Food Code 2022, 3-501.14(A): from 135 to 70 °F within two hours, to 41 °F within six hours in all.
    "cool_from_f": "135",
    "cool_first_f": "70",
    "cool_first_hours": "2",
    "cool_cold_f": "41",
    "cool_total_hours": "6",
    # Washington State Board of Health, WAC 246-215-03515(1)(a), 2022: no deeper than two inches.
    "shallow_depth_in": "2",
    # HHS and USDA, foodsafety.gov, Safe Minimum Internal Temperatures: leftovers.
    "reheat_f": "165",
    # HHS and USDA, foodsafety.gov, Cold Food Storage Chart: soups and stews 3 to 4 days, 2 to 3 months.
    "fridge_least_days": "3",
    "fridge_most_days": "4",
    "freezer_best_days": "90",
    # National Center for Home Food Preservation, Headspace to Allow, freezing, liquid pack.
    "headspace_wide_pint_in": "0.5",
    "headspace_wide_quart_in": "1",
    "headspace_narrow_pint_in": "0.75",
    "headspace_narrow_quart_in": "1.5",
    # FAO/INFOODS Density Database 1.0, 2011: water 0.998, ice 0.916 g/ml.
    "ice_growth": "0.089",
    # HHS and USDA, Safe Cooking at High Altitudes; USDA FSIS, High Altitude Cooking.
    "altitude_longer_ft": "3000",
    "altitude_quarter_ft": "5000",
    "altitude_more": "0.25",
}


def test_the_shipped_figures_are_the_published_ones():
    shipped = kitchen_safety()
    assert {figure: str(getattr(shipped, figure)) for figure in PUBLISHED} == PUBLISHED
    with (DATA / "kitchen_safety.csv").open(encoding="utf-8", newline="") as file:
        assert {row["figure"] for row in csv.DictReader(file)} == set(PUBLISHED)


def test_batches_weeks_and_printed_sheets_go_by_the_same_figures():
    shipped = kitchen_safety()
    assert shipped.fridge_most_days == printed.FRIDGE_MOST_DAYS == KEPT_MOST_DAYS
    assert shipped.freezer_best_days == printed.FREEZER_BEST_DAYS
    assert shipped.cool_first_hours == printed.CHILL_WITHIN_HOURS
    assert shipped.reheat_f == printed.REHEAT_F


@pytest.mark.parametrize(("pounds", "quarts"), [("2.5", "2.5"), ("8", "8"), ("1", "1")])
def test_a_quart_of_water_to_a_pound_of_meaty_bones(pounds: str, quarts: str):
    """Common practice, no source: 2.5 lb take 2.5 quarts, 8 lb take 8."""
    assert water_ml_for(Decimal(pounds) * LB) == Decimal(quarts) * QT


def test_the_same_ratio_in_metric_is_two_litres_and_a_little_to_the_kilogram():
    """1 quart is 946.352946 ml, 1 lb is 453.59237 g (NIST Handbook 44, Appendix C)."""
    assert round(water_ml_for(Decimal(1000)), 3) == Decimal("2086.351")


def test_a_tablespoon_of_salt_to_begin_with_in_the_first_pot():
    """Common practice, no source: a tablespoon in 2.5 quarts. A tablespoon is 14.78676478125 ml (NIST Handbook 44)."""
    assert salt_ml_for(Decimal("2.5") * QT) == Decimal("14.78676478125")


@pytest.mark.parametrize(
    ("kind", "least", "most"),
    [
        (Kind.POULTRY, 90, 120),
        (Kind.PORK, 240, 360),
        (Kind.BEEF, 240, 360),
        (Kind.LAMB, 240, 360),
        (Kind.GAME, 240, 360),
    ],
)
def test_poultry_simmers_two_hours_at_most_and_red_meat_six(kind: Kind, least: int, most: int):
    """Common practice, no source."""
    assert (SIMMER_MIN[kind].least, SIMMER_MIN[kind].most) == (least, most)


def test_eight_pounds_and_six_quarts_give_about_four_quarts():
    """Culinary Institute of America, Ratio Guide: Stock, 2024: 8 lb of bones, 5 to 6 quarts of water, 4 of stock."""
    hours = SIMMER_MIN[Kind.BEEF].usual / 60
    losses = Losses(EVAPORATION_PER_HOUR.usual * hours, HELD_BACK_ML_PER_G.usual)
    bones_ml = 8 * LB / Decimal("1.05")
    five, six = (fill_pot(bones_ml + quarts * QT, 8 * LB, losses).broth_ml / QT for quarts in (5, 6))
    assert five < 4 < six
    assert round(six, 1) == Decimal("4.1")
