"""Whether a dish suits an eater on a day, and what to leave off the plate so that it does.

A base ingredient must be open in its form. All else is left out when it is not open, or not liked: a plate food off
this plate, an optional food or a flavour (which must be open as a flavour) out of the whole pot. A plate food never
goes into the shared pot, whoever may eat it. Home-made foods, such as stock, go by the rules of their own key.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import FoodAllowance
from plans.domain.quantities import grams
from plans.domain.tighten import NOTHING, permits
from plans.domain.vocabulary import Use

OUT_OF_THE_POT = (Use.OPTIONAL, Use.FLAVOUR)
"""What stays out of a whole pot when one who eats from it must do without."""
_ENDLESS = Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Fit:
    """How a dish suits: ``without`` are the foods left off, ``blocked`` those in the way, both in recipe order."""

    ok: bool
    without: tuple[str, ...] = ()
    blocked: tuple[str, ...] = ()


def fit(
    recipe: Recipe,
    day_allowances: Mapping[str, FoodAllowance],
    foods: Mapping[str, Food],
    *,
    appetite: Decimal = Decimal(1),
    dislikes: frozenset[str] = frozenset(),
) -> Fit:
    """How a recipe suits an eater with these allowances. A food without an allowance is *not yet*."""
    return fit_amounts(
        recipe, portion_grams(recipe, foods), day_allowances, appetite=appetite, dislikes=dislikes
    )


def portion_grams(recipe: Recipe, foods: Mapping[str, Food]) -> tuple[Decimal, ...]:
    """What one adult portion holds of each ingredient, in grams. An amount nobody can weigh is without end, so that
    no first taste can contain it."""
    return tuple(_portion(ingredient, foods) / recipe.servings for ingredient in recipe.ingredients)


def fit_amounts(
    recipe: Recipe,
    amounts_g: tuple[Decimal, ...],
    day_allowances: Mapping[str, FoodAllowance],
    *,
    appetite: Decimal,
    dislikes: frozenset[str],
) -> Fit:
    """``fit`` with the grams of an adult portion at hand, for callers that ask often."""
    without: list[str] = []
    blocked: list[str] = []
    eaten_g: dict[str, Decimal] = {}
    base_first = sorted(
        zip(recipe.ingredients, amounts_g, strict=True), key=lambda line: line[0].use is not Use.BASE
    )
    for ingredient, amount_g in base_first:
        food, use = ingredient.food, ingredient.use
        total_g = eaten_g.get(food, Decimal(0)) + amount_g * appetite
        unwanted = use is not Use.BASE and (food in dislikes or food in without)
        if not unwanted and permits(day_allowances.get(food, NOTHING), ingredient.form, use, total_g):
            if use is not Use.FLAVOUR:
                eaten_g[food] = total_g
        else:
            (blocked if use is Use.BASE else without).append(food)
    return Fit(not blocked, tuple(dict.fromkeys(without)), tuple(dict.fromkeys(blocked)))


def out_of_the_pot(recipe: Recipe, without: Iterable[str]) -> frozenset[str]:
    """What stays out of a shared pot: every optional food or flavour that somebody who eats from it must do without."""
    leavable = {line.food for line in recipe.ingredients if line.use in OUT_OF_THE_POT}
    return frozenset(leavable.intersection(without))


def _portion(ingredient: Ingredient, foods: Mapping[str, Food]) -> Decimal:
    food = foods.get(ingredient.food)
    weight = None if food is None else grams(ingredient.quantity, ingredient.unit, food)
    return _ENDLESS if weight is None else weight
