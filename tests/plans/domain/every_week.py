"""The best of all weeks of a small question, found by trying every one of them: two dishes, two days, no stock.

What a week costs is written here once more, from the words of the planner's modules, with exact numbers.
"""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import ceil

from plans.domain.book import Recipe
from plans.domain.brief import WANTS, Brief, BriefEater, Meal, Stored
from plans.domain.planner.goals import (
    A_DISLIKE,
    A_MINUTE_ON_A_BUSY_DAY,
    A_POT,
    A_SECOND_DISH,
    A_THAWED_SERVING,
    FURTHER_MEALS,
    NOVELTY,
    SAME_DAY,
    THE_SAME_MAIN_AGAIN,
)
from plans.domain.planner.nourishing import A_HUNDREDTH_OFF
from plans.domain.planner.setting import novelty
from plans.domain.vocabulary import Slot

Pot = tuple[Recipe, int]
Served = tuple[BriefEater, Meal, Pot]
Parts = dict[str, int]
DAYS = (0, 1)
MEALS = tuple(product(DAYS, (Slot.MIDDAY, Slot.EVENING)))
RAISED = (1, 2, 3, 4, 6, 8)
WANTED = {
    "time": ("cooks", "busy", "thawed"),
    "variety": ("sharing", "repeats", "same_day", "novelty"),
    "stores": ("waste", "stores", "packs"),
    "likes": ("dislikes",),
    "nourishment": ("energy",),
}


def best_week(asked: Brief, *, one_table: bool = False) -> int | None:
    """The cost of the best week, each tried in turn; None when none keeps the rules. With ``one_table`` all who are at
    a meal eat the same there."""
    costs = (
        priced(asked, parts)
        for plates in _every_week(asked)
        if not one_table or _shared(plates)
        if (parts := _parts(asked, plates)) is not None
    )
    return min(costs, default=None)


def priced(asked: Brief, parts: Parts) -> int:
    """What the parts cost in the order of the brief's wants."""
    return sum(raised(asked, want) * measure(parts, want) for want in WANTED)


def raised(asked: Brief, want: str) -> int:
    """By what the prices of a want are multiplied."""
    return RAISED[max(0, WANTS.index(want) - asked.wants.index(want))]


def measure(parts: Parts, want: str) -> int:
    """How badly a week does in a want, at the usual prices."""
    return sum(parts.get(part, 0) for part in WANTED[want])


def _every_week(asked: Brief) -> Iterator[list[Served]]:
    seats = [
        (who, meal, [pot for pot in _pots(asked, meal) if _may_eat(who, pot[0])])
        for who, meal in product(asked.eaters, MEALS)
        if meal not in who.away
    ]
    for chosen in product(*(choices for _, _, choices in seats)):
        yield [(who, meal, pot) for (who, meal, _), pot in zip(seats, chosen, strict=True)]


def _pots(asked: Brief, meal: Meal) -> list[Pot]:
    """The pots a meal can come from."""
    day, slot = meal
    homes = dict(enumerate(asked.kitchen.at_home_min))
    return [
        (dish, cooked)
        for dish, cooked in product(asked.recipes, DAYS)
        if dish.elapsed_min <= homes.get(cooked, dish.elapsed_min)
        if (cooked == day and not (slot is Slot.MIDDAY and day and day in asked.kitchen.out))
        or (cooked < day and _lasts(asked, dish))
    ]


def _lasts(asked: Brief, dish: Recipe) -> bool:
    return dish.batch and (dish.fridge_days >= 1 or (asked.kitchen.freezer and dish.freezer_days >= 1))


def _may_eat(who: BriefEater, dish: Recipe) -> bool:
    return all(who.days[0][row.food].allowance for row in dish.ingredients if row.use.value == "base")


def _shared(plates: list[Served]) -> bool:
    return all(pot == other for (_, meal, pot), (_, at, other) in product(plates, repeat=2) if meal == at)


def _parts(asked: Brief, plates: list[Served]) -> Parts | None:
    """What one week costs, part by part, or None when it breaks a rule."""
    table = {(meal, pot) for _, meal, pot in plates}
    if len({(meal, pot[0].key) for meal, pot in table}) < len(table):
        return None
    if any(
        sum(pot[0].main == dish.main for eater_, _, pot in plates if eater_ is who) > asked.most_repeats
        for who in asked.eaters
        for dish in asked.recipes
    ):
        return None
    pots = {pot for _, pot in table}
    minutes = asked.kitchen.hands_on_min
    if any(sum(dish.hands_on_min for dish, on in pots if on == day) > minutes[day] for day in DAYS):
        return None
    halves = {pot: _halves(plates, pot) for pot in pots}
    if any(200 * half > asked.kitchen.pots_ml[0] for half in halves.values()):
        return None
    parts = dict.fromkeys((part for names in WANTED.values() for part in names), 0)
    parts["cooks"] = A_POT * len(pots)
    for dish, day in pots:
        parts["novelty"] += NOVELTY * novelty(asked, dish.key)
        parts["waste"] += halves[dish, day] * 50 - _eaten(plates, (dish, day))
        busy = A_MINUTE_ON_A_BUSY_DAY * dish.hands_on_min * (max(minutes) - minutes[day]) // max(minutes)
        parts["busy"] += busy
        further = sum(pot == (dish, day) for _, pot in table) - 1
        parts["repeats"] += sum(FURTHER_MEALS[min(number, 2)] for number in range(further))
    for dish in asked.recipes:
        parts["repeats"] += THE_SAME_MAIN_AGAIN * max(0, sum(pot[0] is dish for pot in pots) - 1)
        for day in DAYS:
            twice = sum(pot[0] is dish and meal[0] == day for meal, pot in table) > 1
            parts["same_day"] += SAME_DAY * twice
    for (day, _), (dish, cooked) in table:
        parts["thawed"] += A_THAWED_SERVING * (day > cooked and dish.fridge_days < day - cooked)
    for at in {meal for meal, _ in table}:
        parts["sharing"] += A_SECOND_DISH * (sum(meal == at for meal, _ in table) - 1)
    for who, _, (dish, _) in plates:
        parts["dislikes"] += A_DISLIKE * any(row.food in who.dislikes for row in dish.ingredients)
    parts["stores"] = sum(_left(asked, stored, halves) for stored in asked.stores)
    parts["packs"] = sum(_rest(asked, food, halves) for food in asked.foods)
    parts["energy"] = sum(_energy_off(asked, who, plates) for who in asked.eaters)
    return parts


def _eaten(plates: list[Served], pot: Pot) -> int:
    return int(100 * sum((who.appetite for who, _, of in plates if of == pot), Decimal(0)))


def _halves(plates: list[Served], pot: Pot) -> int:
    return max(2, -(-_eaten(plates, pot) // 50))


def _left(asked: Brief, stored: Stored, halves: dict[Pot, int]) -> int:
    """A hundredth of a lot that goes bad in the week costs one, a twentieth of one that keeps. Base foods only; every
    food of the house comes once."""
    last = asked.days if stored.best_by is None else (stored.best_by - asked.start).days
    used = sum(
        half * row.quantity / 2
        for (dish, day), half in halves.items()
        for row in dish.ingredients
        if row.food == stored.food and row.use.value == "base" and day <= last
    )
    steps = 100 if last < asked.days else 20
    return max(0, ceil(steps * (1 - Fraction(used) / Fraction(stored.amount_g))))


def _rest(asked: Brief, key: str, halves: dict[Pot, int]) -> int:
    """What is left of a fresh food's packs, unless it can be frozen: a twentieth of one costs one. Half portions take
    whole hundredths."""
    food = asked.foods[key]
    if key in {stored.food for stored in asked.stores} or not food.packs_g or food.fridge_days > 7:
        return 0
    if asked.kitchen.freezer and food.freezer_days:
        return 0
    pack = Fraction(min(food.packs_g))
    hundredths = sum(
        half * round(100 * Fraction(row.quantity) / 2 / pack)
        for (dish, _), half in halves.items()
        for row in dish.ingredients
        if row.food == key and row.use.value == "base"
    )
    return ceil(Fraction(-hundredths % 100, 5))


def _energy_off(asked: Brief, who: BriefEater, plates: list[Served]) -> int:
    """Three for each hundredth below the target, or more than a tenth above it; a midday or an evening is to give 35
    hundredths of a day. Where energy is unknown the target of that meal does not count."""
    mine = [dish for eater_, _, (dish, _) in plates if eater_ is who]
    known = [asked.contents[dish.key] for dish in mine if "energy_kcal" in asked.contents.get(dish.key, {})]
    if "energy_kcal" not in who.targets or not mine or not any(asked.contents.values()):
        return 0
    a_meal = Fraction(who.targets["energy_kcal"]) * Fraction(35, 100)
    got = sum((Fraction(amounts["energy_kcal"]) for amounts in known), Fraction(0)) * Fraction(who.appetite)
    aim, whole = a_meal * len(known), a_meal * len(mine)
    off = max(0, ceil(100 * (aim - got) / whole)) + max(0, ceil(100 * (got - aim * Fraction(11, 10)) / whole))
    return A_HUNDREDTH_OFF["energy"] * off
