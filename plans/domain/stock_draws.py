"""Which pot of stock a dish draws on, and whether that stock was kept or has to be thawed.

Mugs name the pot they come from; what a pot's mugs leave is free for dishes. A dish takes what stands in the
refrigerator before what would have to be thawed, and the older pot before the newer one, so that the planner's promise
(in any run of days no more is drawn than the pots that still keep hold) always works out. Amounts are millilitres,
exact, as fractions.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.planner.setting import FRESH, KEPT, KEPT_MOST_DAYS, THAWED
from plans.domain.quantities import millilitres, room_ml
from plans.domain.vocabulary import Slot, Use

ORDER = {slot: place for place, slot in enumerate(Slot)}


@dataclass(frozen=True, slots=True)
class StockPot:
    """One pot of stock of a week: what it makes, and the last days from the refrigerator and from the freezer.

    Without a freezer, or for a recipe that is not cooked ahead, ``frozen_until`` is the cooking day.
    """

    key: str
    recipe: str
    food: str
    on: date
    use_by: date
    frozen_until: date
    made_ml: Fraction
    portion_ml: Fraction

    def source(self, on: date, slot: Slot = Slot.EVENING) -> str | None:
        """How some of it comes to the stove for a meal of a day; None when it cannot. What is cooked on the day is not
        ready for breakfast."""
        if on == self.on:
            return None if slot is Slot.BREAKFAST else FRESH
        if self.on < on <= self.use_by:
            return KEPT
        return THAWED if self.use_by < on <= self.frozen_until else None


@dataclass(frozen=True, slots=True)
class Draw:
    """What the pot ``cook`` takes of a stock on the day it is cooked, for the meal ``slot``.

    ``pot`` and ``source`` are empty for what no pot of the week can give.
    """

    cook: str
    food: str
    pot: str
    on: date
    slot: Slot
    ml: Fraction
    source: str


def use_by(cook: Cook, recipe: Recipe) -> date:
    """The last day to eat a pot from the refrigerator: the recipe's days, never more than the published chart's."""
    return cook.on + timedelta(days=min(recipe.fridge_days, KEPT_MOST_DAYS))


def stock_pots(week: Week, brief: Brief) -> dict[str, tuple[StockPot, ...]]:
    """The pots of stock of a week by the food they make, the oldest first; none whose portion cannot be measured."""
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    found: dict[str, list[StockPot]] = {}
    for cook in sorted(week.cooks, key=lambda cook: (cook.on, cook.key)):
        recipe = recipes[cook.recipe]
        portion = room_ml(recipe)
        if recipe.makes and portion:
            freezes = recipe.freezer_days if recipe.batch and brief.kitchen.freezer else 0
            found.setdefault(recipe.makes, []).append(
                StockPot(
                    key=cook.key,
                    recipe=recipe.key,
                    food=recipe.makes,
                    on=cook.on,
                    use_by=use_by(cook, recipe),
                    frozen_until=cook.on + timedelta(days=freezes),
                    made_ml=Fraction(cook.portions) * Fraction(portion),
                    portion_ml=Fraction(portion),
                )
            )
    return {food: tuple(pots) for food, pots in sorted(found.items())}


def stock_draws(week: Week, brief: Brief) -> tuple[Draw, ...]:
    """What the dishes of a week draw on its pots of stock, in the order of days and meals."""
    pots = stock_pots(week, brief)
    mugs = _mugs(week)
    free = {
        pot.key: max(Fraction(0), pot.made_ml - mugs.get(pot.key, 0) * pot.portion_ml)
        for made in pots.values()
        for pot in made
    }
    draws: list[Draw] = []
    for cook, food, wanted in _wanted(week, brief, pots):
        slot = first_meal(cook, week)
        for pot in _nearest_first(pots[food], cook.on, slot):
            taken = min(wanted, free[pot.key])
            if taken:
                free[pot.key] -= taken
                wanted -= taken
                source = pot.source(cook.on, slot) or ""
                draws.append(Draw(cook.key, food, pot.key, cook.on, slot, taken, source))
        if wanted:
            draws.append(Draw(cook.key, food, "", cook.on, slot, wanted, ""))
    return tuple(draws)


def draws_ml(recipe: Recipe, foods: Mapping[str, Food]) -> dict[str, Decimal]:
    """Millilitres of home-made food that one portion takes from a pot; a stock takes none."""
    drawn: Counter[str] = Counter()
    for line in recipe.ingredients:
        if not recipe.makes and line.food in foods and line.use in (Use.BASE, Use.FLAVOUR):
            volume_ml = millilitres(line.quantity, line.unit, foods[line.food])
            if volume_ml is not None and foods[line.food].home_made:
                drawn[line.food] += volume_ml / recipe.servings
    return dict(drawn)


def first_meal(cook: Cook, week: Week) -> Slot:
    """The first meal a pot is eaten at on the day it is cooked; the evening for one that is cooked for later days."""
    slots = [plate.slot for plate in week.plates if plate.cook == cook.key and plate.on == cook.on]
    return min(slots, key=ORDER.__getitem__, default=Slot.EVENING)


def is_thawed(plate: Plate, cook: Cook) -> bool:
    """Whether a plate was frozen when its pot was cooked and has to be thawed for its day."""
    return plate.source == THAWED and plate.on > cook.on


def _mugs(week: Week) -> dict[str, Fraction]:
    mugs: dict[str, Fraction] = {}
    for plate in week.plates:
        mugs[plate.cook] = mugs.get(plate.cook, Fraction(0)) + Fraction(plate.portions)
    return mugs


def _wanted(
    week: Week, brief: Brief, pots: Mapping[str, tuple[StockPot, ...]]
) -> Iterator[tuple[Cook, str, Fraction]]:
    """The dishes that draw on a stock the week makes, in order, with how much of which."""
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    for cook in sorted(week.cooks, key=lambda cook: (cook.on, ORDER[first_meal(cook, week)], cook.key)):
        for food, portion in sorted(draws_ml(recipes[cook.recipe], brief.foods).items()):
            if food in pots and food not in cook.without:
                yield cook, food, Fraction(portion) * Fraction(cook.portions)


def _nearest_first(pots: tuple[StockPot, ...], on: date, slot: Slot) -> list[StockPot]:
    """The pots a meal can draw on: from the refrigerator before from the freezer, then the oldest first."""
    able = [pot for pot in pots if pot.source(on, slot) is not None]
    return sorted(able, key=lambda pot: (pot.source(on) == THAWED, pot.on, pot.key))
