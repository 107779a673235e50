"""How long cooked food is kept, against the Cold Food Storage Chart of foodsafety.gov (HHS and USDA)."""

import pytest

from plans.domain.book import Recipe
from plans.domain.planner.setting import KEPT_MOST_DAYS
from tests import shipped

SOUPS_AND_LEFTOVERS_DAYS = 4
"""Soups, stews and cooked meat or poultry: three to four days in the refrigerator."""
SIX_MONTHS = 183
"""Cooked leftovers keep their quality two to six months in the freezer; frozen food stays safe."""


def test_the_planner_keeps_nothing_longer_than_the_chart():
    assert KEPT_MOST_DAYS == SOUPS_AND_LEFTOVERS_DAYS


@pytest.mark.parametrize("recipe", shipped.recipes(), ids=lambda recipe: recipe.key)
def test_no_shipped_recipe_claims_more_than_the_chart(recipe: Recipe):
    assert recipe.fridge_days <= SOUPS_AND_LEFTOVERS_DAYS
    assert recipe.freezer_days <= SIX_MONTHS


@pytest.mark.parametrize("key", [recipe.makes for recipe in shipped.recipes() if recipe.makes])
def test_stock_keeps_no_longer_than_soup(key: str):
    """The current chart gives soups three to four days; an older USDA chart gives meat broth one to two."""
    stock = shipped.rulebook(None).foods[key]
    assert stock.fridge_days is not None and stock.fridge_days <= SOUPS_AND_LEFTOVERS_DAYS
