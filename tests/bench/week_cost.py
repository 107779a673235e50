"""What a frozen week costs, reckoned from the week and its brief alone.

Shares no code with the solver: only the price of each thing is read from the goals. Weeks are for a common table.
"""

from collections import Counter
from datetime import date
from decimal import ROUND_CEILING, Decimal
from math import ceil
from zlib import crc32

from coaching.domain.units import millilitres_per
from plans.domain.book import Food, Recipe
from plans.domain.brief import Brief, Cook, Week
from plans.domain.planner import goals
from plans.domain.quantities import grams, millilitres
from plans.domain.vocabulary import Slot, Use

MAIN_MEALS = (Slot.MIDDAY, Slot.EVENING)


def week_cost(asked: Brief, week: Week) -> int:
    """The cost of a week in points."""
    recipes = {recipe.key: recipe for recipe in asked.recipes}
    dish = {cook.key: recipes[cook.recipe] for cook in week.cooks}
    served = sorted({(plate.cook, plate.on, plate.slot) for plate in week.plates})
    return (
        sum(_pot(asked, cook, recipes[cook.recipe]) for cook in week.cooks)
        + _further_meals(dish, Counter(key for key, _, _ in served))
        + _same_mains(dish, served)
        + goals.A_THAWED_SERVING
        * len({(plate.cook, plate.on, plate.slot) for plate in week.plates if plate.source == "thawed"})
        + _left_over(week, dish)
        + _stock_left(asked, week, dish)
        + _packs_left(asked, week, dish)
        + sum(_against(asked, dish[plate.cook], plate.eater, plate.slot) for plate in week.plates)
    )


def _pot(asked: Brief, cook: Cook, recipe: Recipe) -> int:
    minutes, day = asked.kitchen.hands_on_min, (cook.on - asked.start).days
    turn = crc32(f"{asked.start.isoformat()} {recipe.key}".encode()) % 10
    busy = 0 if day < 0 else max(minutes) - minutes[day]
    return (
        goals.A_POT
        + goals.NOVELTY * turn
        + goals.A_MINUTE_ON_A_BUSY_DAY * recipe.hands_on_min * busy // max(minutes)
    )


def _further_meals(dish: dict[str, Recipe], meals: Counter[str]) -> int:
    cost = 0
    for key, count in meals.items():
        prices = goals.FURTHER_BREAKFASTS if Slot.BREAKFAST in dish[key].slots else goals.FURTHER_MEALS
        if not dish[key].makes:
            cost += sum(prices[min(number, len(prices) - 1)] for number in range(count - 1))
    return cost


def _same_mains(dish: dict[str, Recipe], served: list[tuple[str, date, Slot]]) -> int:
    pots = Counter(recipe.main for recipe in dish.values() if not recipe.makes)
    days = Counter((dish[key].main, on) for key, on, slot in served if slot in MAIN_MEALS)
    again = sum(count - 1 for count in pots.values())
    return goals.THE_SAME_MAIN_AGAIN * again + goals.SAME_DAY * sum(count > 1 for count in days.values())


def _left_over(week: Week, dish: dict[str, Recipe]) -> int:
    """A point for each hundredth of a portion of a dish that nobody eats."""
    eaten: Counter[str] = Counter()
    for plate in week.plates:
        eaten[plate.cook] += int((plate.portions * 100).to_integral_value(ROUND_CEILING))
    return sum(int(cook.portions * 100) - eaten[cook.key] for cook in week.cooks if not dish[cook.key].makes)


def _stock_left(asked: Brief, week: Week, dish: dict[str, Recipe]) -> int:
    """A point for each ten millilitres of a stock that is neither drunk nor cooked with, or begun of them."""
    left_ml: Counter[str] = Counter()
    for cook in week.cooks:
        if dish[cook.key].makes:
            left_ml[dish[cook.key].makes] += cook.portions * _portion_ml(dish[cook.key])
    for plate in week.plates:
        if dish[plate.cook].makes:
            drunk = (plate.portions * 100).to_integral_value(ROUND_CEILING) / 100
            left_ml[dish[plate.cook].makes] -= drunk * _portion_ml(dish[plate.cook])
    for cook in week.cooks:
        for food, portion_ml in _drawn(asked, dish[cook.key], left_ml).items():
            left_ml[food] -= _up(_up(portion_ml) / 2) * cook.portions * 2
    return sum(int(_up(max(left, Decimal(0)) / goals.WASTE_ML)) for left in left_ml.values())


def _packs_left(asked: Brief, week: Week, dish: dict[str, Recipe]) -> int:
    """A point for each twentieth of a pack that is left, counted in hundredths, of fresh foods that go bad."""
    taken: Counter[str] = Counter()
    for cook in week.cooks:
        half_g: Counter[str] = Counter()
        for line in dish[cook.key].ingredients:
            food = asked.foods[line.food]
            weight = grams(line.quantity, line.unit, food)
            if weight is not None and line.use is Use.BASE and _goes_bad(asked, food):
                half_g[line.food] += weight / dish[cook.key].servings / food.edible_share / 2
        for key, weight in half_g.items():
            taken[key] += round(100 * weight / min(asked.foods[key].packs_g)) * int(cook.portions * 2)
    return sum(ceil((-hundredths % 100) / 5) for hundredths in taken.values())


def _goes_bad(asked: Brief, food: Food) -> bool:
    fresh = food.fridge_days is not None and food.fridge_days <= 7
    frozen = asked.kitchen.freezer and food.freezer_days
    stored = {lot.food for lot in asked.stores}
    return bool(food.packs_g) and fresh and not frozen and not food.home_made and food.key not in stored


def _portion_ml(recipe: Recipe) -> int:
    quantity, unit = recipe.portion
    return int(quantity * millilitres_per(unit))


def _drawn(asked: Brief, recipe: Recipe, stocks: Counter[str]) -> Counter[str]:
    drawn: Counter[str] = Counter()
    for line in recipe.ingredients:
        if line.food in stocks and not recipe.makes and line.use in (Use.BASE, Use.FLAVOUR):
            drawn[line.food] += (
                millilitres(line.quantity, line.unit, asked.foods[line.food]) / recipe.servings
            )
    return drawn


def _up(amount: Decimal) -> Decimal:
    return amount.to_integral_value(ROUND_CEILING)


def _against(asked: Brief, recipe: Recipe, key: str, slot: Slot) -> int:
    """What it costs to serve somebody what they would rather not have."""
    eater = next(eater for eater in asked.eaters if eater.key == key)
    base = [line for line in recipe.ingredients if line.use is Use.BASE]
    cost = goals.A_DISLIKE * any(line.food in eater.dislikes for line in base)
    if slot is not Slot.MUG and eater.leaning != "none":
        meat = _meat_percent(asked, recipe)
        cost += (100 - meat if eater.leaning == "meat" else meat) // 10
    return cost


def _meat_percent(asked: Brief, recipe: Recipe) -> int:
    meat = total = Decimal(0)
    for line in recipe.ingredients:
        food = asked.foods[line.food]
        weight = grams(line.quantity, line.unit, food)
        if line.use is Use.BASE and weight is not None and food.aisle not in ("drinks", "home-made"):
            total += weight / recipe.servings
            meat += weight / recipe.servings * (food.aisle in ("meat", "fish"))
    return int(100 * meat / total) if total else 0
