"""The day of a revision, of which some is eaten already while the rest may change.

Unlike a day behind it goes by the rules and minutes of today. What was had of it is taken off what is left: the pots
that somebody ate from are cooked, and an amount of a first taste that was eaten is not there for the evening.
"""

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from plans.domain.book import Recipe
from plans.domain.brief import Brief, BriefEater, FoodAllowance, Meal, Plate, Revision
from plans.domain.fit import portion_grams
from plans.domain.planner.setting import Pot
from plans.domain.vocabulary import Slot, Use

TASTED = (Use.BASE, Use.PLATE)
"""What counts towards the amount of a first taste: a flavour is taken out again."""


def meal_of(brief: Brief, plate: Plate) -> Meal:
    """The meal of a plate, in days of the brief."""
    return (plate.on - brief.start).days, plate.slot


def eaten_plates(brief: Brief, within: Container[Meal] | None = None) -> Iterator[Plate]:
    """The shown plates of some meals, or of all. None without a revision."""
    for plate in brief.revision.shown.plates if brief.revision else ():
        if within is None or meal_of(brief, plate) in within:
            yield plate


def cooked_already(brief: Brief, revision: Revision) -> frozenset[Pot]:
    """The shown pots that are cooked: those of days behind, those of today that an eaten meal came from, and the stock
    of today that one of these may have drawn on. Raises KeyError when one has a recipe the brief does not know."""
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    fed = {plate.cook for plate in eaten_plates(brief, revision.past)}
    pots = {(cook.recipe, (cook.on - brief.start).days): cook.key for cook in revision.shown.cooks}
    cooked = {pot for pot, key in pots.items() if pot[1] < revision.from_day or key in fed}
    drawn = {
        line.food
        for recipe in (recipes[key] for key, day in cooked if day == revision.from_day)
        if not recipe.makes and Slot.BREAKFAST not in recipe.slots
        for line in recipe.ingredients
    }
    stock = {pot for pot in pots if pot[1] == revision.from_day and _makes(recipes, pot) in drawn}
    return frozenset(cooked | stock)


def _makes(recipes: Mapping[str, Recipe], pot: Pot) -> str | None:
    recipe = recipes.get(pot[0])
    return recipe.makes or None if recipe else None


def tastes_left(brief: Brief, revision: Revision, eater: BriefEater) -> Mapping[str, FoodAllowance]:
    """What is open to an eater on the day of the revision, first tastes less what was eaten of them that day."""
    day = eater.days[revision.from_day]
    capped = {food for food, given in day.items() if given.most_g is not None}
    if not capped:
        return day
    left = dict(day)
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    dishes = {cook.key: recipes.get(cook.recipe) for cook in revision.shown.cooks}
    for plate in eaten_plates(brief, revision.past):
        recipe = dishes[plate.cook]
        if recipe and plate.eater == eater.key and meal_of(brief, plate)[0] == revision.from_day:
            for food, amount_g in _tasted(brief, recipe, plate):
                if food in capped:
                    most_g = left[food].most_g or Decimal(0)
                    left[food] = replace(left[food], most_g=max(Decimal(0), most_g - amount_g))
    return left


def is_a_taste(recipe: Recipe, day: Mapping[str, FoodAllowance]) -> bool:
    """Whether a dish holds a food of which only a first taste is open."""
    return any(
        line.use in TASTED and line.food in day and day[line.food].most_g is not None
        for line in recipe.ingredients
    )


def _tasted(brief: Brief, recipe: Recipe, plate: Plate) -> Iterable[tuple[str, Decimal]]:
    """What a plate holds of each food that counts, in grams; without end where nobody can weigh it."""
    for line, amount_g in zip(recipe.ingredients, portion_grams(recipe, brief.foods), strict=True):
        if line.use in TASTED and line.food not in plate.without:
            yield line.food, amount_g * plate.portions
