"""What a week takes to the shop: edible grams needed, what to buy for them, and what is left over.

A pot takes its base in full; a flavour or an optional ingredient unless the pot does without it; a plate ingredient
once for each plate that has it. A home-made food that a pot of the week makes is not bought. Foods sold in packs are
bought in whole packs, foods sold loose in steps of 50 g. Nothing here is rounded but upwards, to what a shop sells.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal
from math import gcd

from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.fit import OUT_OF_THE_POT
from plans.domain.quantities import grams
from plans.domain.vocabulary import AISLES, Use

LOOSE_STEP_G = Decimal(50)
FROM_THE_TAP = frozenset(("water",))
TENTH_G = Decimal("0.1")
"""Pack sizes are compared in whole tenths of a gram, downwards."""


@dataclass(frozen=True, slots=True)
class Taking:
    """What one pot takes of a food, in edible grams."""

    cook: str
    on: date
    need_g: Decimal


@dataclass(frozen=True, slots=True)
class Line:
    """One food to buy. ``need_g`` is edible, ``gross_g`` as bought, ``buy_g`` what is sold, ``left_g`` what remains.

    ``packs`` are (grams, how many), smallest first; a food sold loose has none. ``makeable`` says that the kitchen
    could make it, though no pot of this week does.
    """

    food: str
    need_g: Decimal
    gross_g: Decimal
    buy_g: Decimal
    packs: tuple[tuple[Decimal, int], ...]
    takings: tuple[Taking, ...]
    makeable: bool = False

    @property
    def left_g(self) -> Decimal:
        """What is bought and not used, as bought."""
        return self.buy_g - self.gross_g


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """Lines by aisle, in the order of the shop; ``unweighed`` are foods of which an amount could not be weighed."""

    aisles: tuple[tuple[str, tuple[Line, ...]], ...]
    unweighed: tuple[str, ...] = ()

    def lines(self) -> Iterator[Line]:
        """Every line."""
        for _, lines in self.aisles:
            yield from lines


def shopping_list(week: Week, brief: Brief) -> ShoppingList:
    """What to buy for a week. Raises KeyError when the week names a recipe that is not in the brief."""
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    made = {recipes[cook.recipe].makes for cook in week.cooks}
    takings: dict[str, dict[str, Taking]] = {}
    unweighed: dict[str, None] = {}
    for cook in week.cooks:
        plates = [plate for plate in week.plates if plate.cook == cook.key]
        for ingredient, need_g in _needs(cook, recipes[cook.recipe], plates, brief.foods):
            food = ingredient.food
            if food in made or food in FROM_THE_TAP:
                continue
            if need_g is None:
                unweighed[food] = None
            elif need_g:
                of_food = takings.setdefault(food, {})
                so_far = of_food[cook.key].need_g if cook.key in of_food else Decimal(0)
                of_food[cook.key] = Taking(cook.key, cook.on, so_far + need_g)
    lines = [_line(brief.foods[food], tuple(of_food.values())) for food, of_food in sorted(takings.items())]
    by_aisle = {
        aisle: tuple(line for line in lines if brief.foods[line.food].aisle == aisle) for aisle in AISLES
    }
    return ShoppingList(tuple((aisle, found) for aisle, found in by_aisle.items() if found), tuple(unweighed))


def fewest_extra(packs_g: tuple[Decimal, ...], gross_g: Decimal) -> tuple[tuple[Decimal, int], ...]:
    """The whole packs that cover ``gross_g`` with the fewest grams over, and of those the fewest packs.

    Taking any pack away falls short, since a cover with a pack less would have had fewer grams over.
    """
    tenths = {int(pack / TENTH_G): pack for pack in packs_g}
    unit = gcd(*tenths)
    need = int((gross_g / TENTH_G / unit).to_integral_value(ROUND_CEILING))
    last_pack: dict[int, tuple[int, int]] = {0: (0, 0)}
    total = 0
    while total < need or total not in last_pack:
        total += 1
        before = [total - tenth // unit for tenth in tenths]
        reached = [
            (last_pack[rest][0] + 1, tenth)
            for rest, tenth in zip(before, tenths, strict=True)
            if rest < need and rest in last_pack
        ]
        if reached:
            last_pack[total] = min(reached)
    counts: dict[Decimal, int] = {}
    while total:
        tenth = last_pack[total][1]
        counts[tenths[tenth]] = counts.get(tenths[tenth], 0) + 1
        total -= tenth // unit
    return tuple(sorted(counts.items()))


def _line(food: Food, takings: tuple[Taking, ...]) -> Line:
    need_g = sum((taking.need_g for taking in takings), Decimal(0))
    gross_g = need_g / food.edible_share
    packs = fewest_extra(food.packs_g, gross_g) if food.packs_g else ()
    if packs:
        buy_g = sum((size * count for size, count in packs), Decimal(0))
    else:
        buy_g = (gross_g / LOOSE_STEP_G).to_integral_value(ROUND_CEILING) * LOOSE_STEP_G
    return Line(food.key, need_g, gross_g, buy_g, packs, takings, food.home_made)


def _needs(
    cook: Cook, recipe: Recipe, plates: list[Plate], foods: Mapping[str, Food]
) -> Iterator[tuple[Ingredient, Decimal | None]]:
    """What a pot and its plates take of each ingredient in edible grams; None where an amount cannot be weighed."""
    for ingredient in recipe.ingredients:
        having = [plate for plate in plates if ingredient.food not in plate.without]
        if ingredient.use is Use.PLATE:
            portions = sum((plate.portions for plate in having), Decimal(0))
        elif ingredient.use in OUT_OF_THE_POT and (
            ingredient.food in cook.without or len(having) < len(plates)
        ):
            portions = Decimal(0)
        else:
            portions = cook.portions
        weight = grams(ingredient.quantity, ingredient.unit, foods[ingredient.food])
        yield ingredient, None if weight is None else weight * portions / recipe.servings
