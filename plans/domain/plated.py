"""What the plates of one eater hold of each food over a week, in edible grams of the foods as they go in, raw.

These are amounts of a plan. Whether anything was cooked as planned, or eaten, nobody knows.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.fit import out_of_the_pot, portion_grams
from plans.domain.intake_week import ENERGY
from plans.domain.quantities import grams
from plans.domain.vocabulary import Use


@dataclass(frozen=True, slots=True)
class Plated:
    """``grams`` by food over all ``days`` that have a plate; ``meals`` counts the plates.

    ``unweighed`` are foods with an amount that nobody can weigh; what of them can be weighed is in ``grams``.
    """

    grams: Mapping[str, Decimal]
    unweighed: tuple[str, ...]
    days: tuple[date, ...]
    meals: int


def plated(week: Week, brief: Brief, eater: str) -> Plated:
    """What the plates of an eater hold.

    A plate has its portions of all that stays in the dish: no flavours, which are taken out again, nothing left off the
    plate, and nothing that stays out of the whole pot. A dish that makes a food, such as stock, is so much of that
    food: its bones and roots are strained out. Raises KeyError when the week names a recipe that is not in the brief.
    """
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    cooks = {cook.key: cook for cook in week.cooks}
    plates = [plate for plate in week.plates if plate.eater == eater]
    held: dict[str, Decimal] = {}
    unweighed: set[str] = set()
    for plate in plates:
        cook = cooks[plate.cook]
        recipe = recipes[cook.recipe]
        without = _out_of(cook, recipe, week)
        for food, portion_g in _portion(recipe, brief.foods, plate, without):
            if portion_g is None:
                unweighed.add(food)
            else:
                held[food] = held.get(food, Decimal(0)) + portion_g * plate.portions
    return Plated(
        grams=held,
        unweighed=tuple(sorted(unweighed)),
        days=tuple(sorted({plate.on for plate in plates})),
        meals=len(plates),
    )


def mean_kcal(week: Week, brief: Brief, eater: str) -> tuple[int, bool] | None:
    """About how much energy an eater's plates hold on a day that has any, and whether every dish has a figure.

    By the contents of the brief, for a glance: what a plate leaves out is not taken off. None when nothing is known.
    """
    recipes = {cook.key: cook.recipe for cook in week.cooks}
    plates = [plate for plate in week.plates if plate.eater == eater]
    held = [
        (float(plate.portions), brief.contents.get(recipes[plate.cook], {}).get(ENERGY)) for plate in plates
    ]
    known = [portions * kcal for portions, kcal in held if kcal is not None]
    if not known:
        return None
    return round(sum(known) / len({plate.on for plate in plates})), len(known) == len(held)


def _out_of(cook: Cook, recipe: Recipe, week: Week) -> frozenset[str]:
    """The foods that stay out of a whole pot: those it says, and those that any of its plates must do without."""
    left_off = {food for plate in week.plates if plate.cook == cook.key for food in plate.without}
    return out_of_the_pot(recipe, left_off | set(cook.without))


def _portion(
    recipe: Recipe, foods: Mapping[str, Food], plate: Plate, out_of_pot: frozenset[str]
) -> Iterator[tuple[str, Decimal | None]]:
    """Food and grams of each part of an adult portion on this plate; None for what nobody can weigh."""
    if recipe.makes:
        made = foods.get(recipe.makes)
        yield recipe.makes, None if made is None else grams(*recipe.portion, made)
        return
    for ingredient, portion_g in zip(recipe.ingredients, portion_grams(recipe, foods), strict=True):
        left_off = {
            Use.BASE: frozenset(),
            Use.PLATE: plate.without,
            Use.OPTIONAL: out_of_pot,
            Use.FLAVOUR: (ingredient.food,),
        }[ingredient.use]
        if ingredient.food not in left_off:
            yield ingredient.food, portion_g if portion_g.is_finite() else None
