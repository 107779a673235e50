"""What the pots and plates of a week take of each food, in edible grams, exact.

A pot takes its base in full; a flavour or an optional ingredient unless the pot does without it; a plate ingredient
once for each plate that has it. Amounts of recipes are of raw food, so no cooked yield comes in. Sums are fractions
until they are shown: a third of a pack three times over is a pack and not a crumb more.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.fit import OUT_OF_THE_POT, fit
from plans.domain.quantities import grams
from plans.domain.vocabulary import Use

FROM_THE_TAP = frozenset(("water",))


@dataclass(frozen=True, slots=True)
class Taking:
    """What one pot takes of a food: ``need`` edible grams, exact."""

    cook: str
    on: date
    need: Fraction

    @property
    def need_g(self) -> Decimal:
        """Edible grams."""
        return decimal_of(self.need)


class Takings:
    """Takings by food as they are gathered; ``unweighed`` are foods of which an amount could not be weighed."""

    def __init__(self) -> None:
        self._by_food: dict[str, dict[str, Taking]] = {}
        self._unweighed: set[str] = set()

    def add(self, food: str, cook: str, on: date, need: Fraction | None) -> None:
        """One more need of a pot, None when it cannot be weighed. Water comes from the tap."""
        if food in FROM_THE_TAP:
            return
        if need is None:
            self._unweighed.add(food)
        elif need:
            of_food = self._by_food.setdefault(food, {})
            so_far = of_food[cook].need if cook in of_food else Fraction(0)
            of_food[cook] = Taking(cook, on, so_far + need)

    def foods(self) -> list[str]:
        """The foods taken, by key."""
        return sorted(self._by_food)

    def of(self, food: str) -> tuple[Taking, ...]:
        """A food's takings, the earliest first."""
        return tuple(sorted(self._by_food[food].values(), key=lambda taking: (taking.on, taking.cook)))

    def unweighed(self) -> tuple[str, ...]:
        """The foods with an amount that could not be weighed, by key."""
        return tuple(sorted(self._unweighed))


def decimal_of(exact: Fraction) -> Decimal:
    """A fraction as a decimal, exact where there is one and to 28 digits otherwise."""
    return Decimal(exact.numerator) / Decimal(exact.denominator)


def pots_take(week: Week, brief: Brief, recipes: Mapping[str, Recipe], since: date | None = None) -> Takings:
    """What all pots of a week take, or those cooked ``since`` a day. A home-made food that any pot of the week makes is
    not counted: its pot's own ingredients are. Raises KeyError when the week names a recipe that is not in the brief.
    """
    made = {recipes[cook.recipe].makes for cook in week.cooks}
    takings = Takings()
    for cook in week.cooks:
        if since is not None and cook.on < since:
            continue
        plates = [plate for plate in week.plates if plate.cook == cook.key]
        for ingredient, need in _needs(cook, recipes[cook.recipe], plates, brief.foods):
            if ingredient.food not in made:
                takings.add(ingredient.food, cook.key, cook.on, need)
    return takings


def made_at_home(
    food: str, amount: Fraction, maker: Recipe, on: date, brief: Brief
) -> dict[str, Fraction | None]:
    """What ``amount`` grams of a home-made food take by its own recipe; flavours and the like only where everybody at
    the table may have them. Nothing when a portion of it cannot be weighed."""
    quantity, unit = maker.portion
    portion = grams(quantity, unit, brief.foods[food])
    if not portion:
        return {}
    portions = amount / Fraction(portion)
    left_out = _left_out(maker, on, brief)
    taken: dict[str, Fraction | None] = {}
    for ingredient in maker.ingredients:
        if ingredient.use is not Use.BASE and ingredient.food in left_out:
            continue
        need = _scaled(ingredient, portions / Fraction(maker.servings), brief.foods)
        so_far = taken.get(ingredient.food, Fraction(0))
        taken[ingredient.food] = None if need is None or so_far is None else so_far + need
    return taken


def makers_of(recipes: Iterable[Recipe]) -> dict[str, Recipe]:
    """The recipe that makes each home-made food; of several the first by key."""
    return {
        recipe.makes: recipe
        for recipe in sorted(recipes, key=lambda recipe: recipe.key, reverse=True)
        if recipe.makes
    }


def _left_out(recipe: Recipe, on: date, brief: Brief) -> frozenset[str]:
    day = min(max((on - brief.start).days, 0), brief.days - 1)
    return frozenset(
        food
        for eater in brief.eaters
        for food in fit(
            recipe, eater.days[day], brief.foods, appetite=eater.appetite, dislikes=eater.dislikes
        ).without
    )


def _needs(
    cook: Cook, recipe: Recipe, plates: list[Plate], foods: Mapping[str, Food]
) -> Iterator[tuple[Ingredient, Fraction | None]]:
    """What a pot and its plates take of each ingredient; None where an amount cannot be weighed."""
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
        yield ingredient, _scaled(ingredient, Fraction(portions) / Fraction(recipe.servings), foods)


def _scaled(ingredient: Ingredient, times: Fraction, foods: Mapping[str, Food]) -> Fraction | None:
    weight = grams(ingredient.quantity, ingredient.unit, foods[ingredient.food])
    return None if weight is None else Fraction(weight) * times
