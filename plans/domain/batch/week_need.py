"""What a planned week takes from one of its pots of stock, as the need of a batch: mugs, and dishes that draw on it."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from coaching.domain.units import MASS, VOLUME, grams_per, millilitres_per
from plans.domain.batch.asking import Need
from plans.domain.batch.trade import Kind
from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Cook, Week
from plans.domain.quantities import millilitres
from plans.domain.vocabulary import Use

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

    Mugs name the pot they come from. A dish draws on the newest pot of its stock that is cooked by then.
    """
    by_key = {recipe.key: recipe for recipe in brief.recipes}
    cooks = sorted(week.cooks, key=lambda cook: (cook.on, cook.key))
    recipes = {cook.key: by_key[cook.recipe] for cook in cooks}
    taken: dict[str, Counter[date]] = {cook.key: Counter() for cook in cooks}
    for plate in week.plates:
        taken[plate.cook][plate.on] += plate.portions * (room_ml(recipes[plate.cook]) or 0)
    for cook in cooks:
        for food, drawn_ml in draws_ml(recipes[cook.key], brief.foods).items():
            pot = _pot_of(food, cook.on, cooks, recipes)
            if pot is not None and food not in cook.without:
                taken[pot][cook.on] += cook.portions * drawn_ml
    found = ((cook.key, _need(cook, recipes[cook.key], brief, taken[cook.key])) for cook in cooks)
    return {key: need for key, need in found if need is not None}


def _need(cook: Cook, recipe: Recipe, brief: Brief, taken_ml: Mapping[date, Decimal]) -> StockNeed | None:
    kind, portion_ml = _kind(recipe, brief.foods), room_ml(recipe)
    portions = {on: ml / portion_ml for on, ml in sorted(taken_ml.items()) if ml} if portion_ml else {}
    if not recipe.makes or kind is None or not portions:
        return None
    return StockNeed(recipe, kind, cook.on, Need(portions, portion_ml))


def room_ml(recipe: Recipe) -> Decimal | None:
    """The room of one portion. A gram takes a millilitre; a portion by the piece is not known."""
    quantity, unit = recipe.portion
    if unit in VOLUME:
        return quantity * millilitres_per(unit)
    return quantity * grams_per(unit) if unit in MASS else None


def draws_ml(recipe: Recipe, foods: Mapping[str, Food]) -> dict[str, Decimal]:
    """Millilitres of home-made food that one portion takes from a pot; a stock takes none."""
    drawn: Counter[str] = Counter()
    for line in recipe.ingredients:
        if not recipe.makes and line.food in foods and line.use in (Use.BASE, Use.FLAVOUR):
            volume_ml = millilitres(line.quantity, line.unit, foods[line.food])
            if volume_ml is not None and foods[line.food].home_made:
                drawn[line.food] += volume_ml / recipe.servings
    return dict(drawn)


def _pot_of(food: str, on: date, cooks: list[Cook], recipes: Mapping[str, Recipe]) -> str | None:
    """The newest pot of a stock by a day, else the first one after it."""
    pots = [cook for cook in cooks if recipes[cook.key].makes == food]
    by_then = [cook for cook in pots if cook.on <= on]
    chosen = by_then[-1:] or pots[:1]
    return chosen[0].key if chosen else None


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
