"""What a plan weighs dishes by: the known nutrients of an adult portion, in few digits so that briefs stay small."""

from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal

from plans.domain.book import Food, Recipe
from plans.domain.nutrients import Table, Totals, portion_totals, total
from plans.domain.quantities import grams


def three_digits(amount: Decimal) -> float:
    """An amount with three significant digits: finer than any figure of a food is known."""
    return float(f"{amount:.3g}")


def portion_contents(
    recipes: Iterable[Recipe], foods: Mapping[str, Food], table: Table, nutrients: Collection[str]
) -> dict[str, dict[str, float]]:
    """What is known of these nutrients in an adult portion, by recipe, in the units of the table.

    What is not known is left out, and a figure known for some of the ingredients only counts for so much. A dish that
    makes a food, such as stock, is so much of that food: its bones and roots are strained out. A dish of which nothing
    is known has no entry.
    """
    found = {recipe.key: _known(_totals(recipe, foods, table), nutrients) for recipe in recipes}
    return {recipe: known for recipe, known in found.items() if known}


def _totals(recipe: Recipe, foods: Mapping[str, Food], table: Table) -> Totals:
    if not recipe.makes:
        return portion_totals(recipe, foods, table)
    made = foods.get(recipe.makes)
    weight = None if made is None else grams(*recipe.portion, made)
    return {} if weight is None else total({recipe.makes: weight}, table)


def _known(totals: Totals, nutrients: Collection[str]) -> dict[str, float]:
    return {
        nutrient: three_digits(max(found.value, Decimal(0)))
        for nutrient, found in totals.items()
        if nutrient in nutrients and found.value is not None
    }
