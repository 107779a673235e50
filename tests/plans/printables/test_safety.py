"""Safety figures on paper against what is published.

Temperatures: HHS and USDA, foodsafety.gov, Cook to a Safe Minimum Internal Temperature. Storing times: foodsafety.gov,
Cold Food Storage Chart. Two hours: USDA FSIS, Danger Zone (40 to 140 °F). Cooling: FDA Food Code 2022, 3-501.14(A).
"""

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from plans.domain.book import Recipe
from plans.printables import safety
from plans.printables.cards import cooling_words, core_words, keeping_words
from plans.printables.cautions import cautions
from tests.plans.printables.shipped import foods, recipes

CHART = {
    "poultry": (165, 74),
    "ground": (160, 71),
    "whole cuts": (145, 63),
    "fish": (145, 63),
    "egg": (160, 71),
}
REST_MINUTES = 3
SOUP_FRIDGE_DAYS = 4
SOUP_FREEZER_DAYS = 92
"""Two to three months."""
COOKED = date(2026, 12, 7)


def least_fahrenheit(recipe: Recipe) -> int | None:
    """What the chart asks of a recipe, by its strictest ingredient; None for one without meat, fish or egg."""
    found = []
    for line in recipe.ingredients:
        food = foods()[line.food]
        minced = "minced" in line.form or "mince" in food.key
        if food.group == "poultry" or food.key in {"chicken-carcass", "turkey-carcass", "chicken-feet"}:
            found.append(CHART["poultry"][0])
        elif food.group == "game" or (food.aisle == "meat" and minced):
            found.append(CHART["ground"][0])
        elif food.group == "eggs":
            found.append(CHART["egg"][0])
        elif food.aisle == "meat" and food.group != "bones":
            found.append(CHART["whole cuts"][0])
        elif food.aisle == "fish" and food.group != "fish oils":
            found.append(CHART["fish"][0])
    return max(found, default=None)


@pytest.mark.parametrize("recipe", recipes(), ids=lambda recipe: recipe.key)
def test_a_card_never_prints_less_than_the_chart(recipe: Recipe):
    least = least_fahrenheit(recipe)
    said = core_words(recipe, foods())
    if least is None:
        return
    printed = re.match(r"(\d+) °F \((\d+) °C\)", said)
    assert printed, f"no temperature on the card of {recipe.key}"
    assert int(printed[1]) >= least
    assert (int(printed[1]), int(printed[2])) in CHART.values()


def test_whole_cuts_rest_and_fish_does_not():
    by_key = {recipe.key: recipe for recipe in recipes()}
    whole_cut = next(
        recipe
        for recipe in recipes()
        if recipe.core_temp_f == 145
        and any(foods()[line.food].group == "lamb" for line in recipe.ingredients)
    )
    fish = next(
        recipe
        for recipe in by_key.values()
        if recipe.core_temp_f == 145
        and {foods()[line.food].aisle for line in recipe.ingredients} & {"fish"}
        and not {foods()[line.food].aisle for line in recipe.ingredients} & {"meat"}
    )
    assert f"then {REST_MINUTES} minutes of rest" in core_words(whole_cut, foods())
    assert "rest" not in core_words(fish, foods())


@pytest.mark.parametrize("recipe", recipes(), ids=lambda recipe: recipe.key)
def test_a_card_never_keeps_food_longer_than_the_chart(recipe: Recipe):
    said = " ".join(keeping_words(recipe, [COOKED], freezer=True))
    allowed = {
        f"eat by {on:%A} {on.day} {on:%B}"
        for on in (COOKED + timedelta(days=day) for day in range(SOUP_FRIDGE_DAYS + 1))
    }
    eaten_by = re.search(r"eat by \w+ \d+ \w+", said)
    assert eaten_by is None or eaten_by[0] in allowed
    best = re.search(r"best by (\d+) (\w+) (\d+)", said)
    if best:
        last = COOKED + timedelta(days=SOUP_FREEZER_DAYS)
        months = {"December": 12, "January": 1, "February": 2, "March": 3}
        assert date(int(best[3]), months[best[2]], int(best[1])) <= last


def test_a_recipe_that_claims_more_is_cut_to_the_chart():
    bold = replace(recipes()[0], fridge_days=9, freezer_days=400)
    said = " ".join(keeping_words(bold, [COOKED], freezer=True))
    assert "eat by Friday 11 December" in said
    assert "best by 7 March 2027" in said


def test_every_card_carries_the_two_hour_clock():
    assert "within 2 hours" in cooling_words()
    assert safety.CHILL_WITHIN_HOURS == 2


def test_the_cautions_page_prints_the_chart():
    page = cautions(notes=(), care=())
    printed = {(row.fahrenheit, row.celsius) for row in page.core}
    assert printed == set(CHART.values())
    rested = [row.food for row in page.core if row.rest]
    assert rested == ["Beef, pork, veal and lamb in whole cuts"]
    assert "foodsafety.gov" in page.core_source
    assert [(row.fridge, row.freezer) for row in page.keep if row.food == "Soups and stews"] == [
        ("3 to 4 days", "2 to 3 months")
    ]
    kitchen = " ".join(page.kitchen)
    assert "within 2 hours" in kitchen
    assert "within 1 hour when the room is above 90 °F (32 °C)" in kitchen
    assert "From 135 to 70 °F (57 to 21 °C) within 2 hours, to 41 °F (5 °C) within 6 hours" in kitchen
