"""What a planned week takes from one of its pots of stock, as the need of a batch: mugs, and dishes that draw on it."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from plans.domain.batch.asking import Need
from plans.domain.batch.trade import Kind
from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Week
from plans.domain.stock_draws import Draw, StockPot, stock_draws, stock_pots
from plans.domain.takings import decimal_of

_KINDS = {
    Kind.POULTRY: ("chicken", "turkey", "duck", "goose", "poultry"),
    Kind.PORK: ("pork", "ham", "gammon"),
    Kind.BEEF: ("beef", "veal", "ox", "marrow"),
    Kind.LAMB: ("lamb", "mutton"),
    Kind.GAME: ("game", "venison", "rabbit", "hare"),
}


@dataclass(frozen=True, slots=True)
class StockNeed:
    """The need of one pot of stock, with what its recipe says of it and the day it is to be cooked on."""

    recipe: Recipe
    kind: Kind
    on: date
    need: Need


def stock_needs(week: Week, brief: Brief) -> dict[str, StockNeed]:
    """By cook: every pot of stock of bones whose portion can be measured and from which something is taken.

    Mugs name the pot they come from, and ``stock_draws`` decides which one a dish draws on. What no pot of the week can
    give is in no need, so that a need asks no more of a pot than it makes.
    """
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    draws = stock_draws(week, brief)
    pots = (pot for made in stock_pots(week, brief).values() for pot in made)
    found = {}
    for pot in sorted(pots, key=lambda pot: (pot.on, pot.key)):
        recipe = recipes[pot.recipe]
        kind, portions = _kind(recipe, brief.foods), _portions(pot, week, draws)
        if kind is not None and portions:
            found[pot.key] = StockNeed(recipe, kind, pot.on, Need(portions, decimal_of(pot.portion_ml)))
    return found


def _portions(pot: StockPot, week: Week, draws: Iterable[Draw]) -> dict[date, Decimal]:
    """The portions that mugs and dishes take of a pot, by day."""
    taken: Counter[date] = Counter()
    for plate in week.plates:
        if plate.cook == pot.key:
            taken[plate.on] += Fraction(plate.portions)
    for draw in draws:
        if draw.pot == pot.key:
            taken[draw.on] += draw.ml / pot.portion_ml
    return {on: decimal_of(portions) for on, portions in sorted(taken.items()) if portions}


def _kind(recipe: Recipe, foods: Mapping[str, Food]) -> Kind | None:
    """The animal, from the names of what is boiled out; None for a stock without one."""
    for line in recipe.ingredients:
        food = foods.get(line.food)
        if food is None or food.aisle not in ("meat", "fish"):
            continue
        if food.aisle == "fish":
            return Kind.FISH
        words = {*food.key.split("-"), *food.name.lower().replace(",", " ").split()}
        for kind, names in _KINDS.items():
            if words & set(names):
                return kind
    return None
