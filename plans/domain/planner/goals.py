"""What makes one week better than another, as costs. A pot is 100; the rest is set against that.

``cooks`` every pot. ``busy`` its hands-on minutes on days with little time. ``sharing`` every second dish at a meal.
``repeats`` each further meal from a pot, and each further pot of the same main. ``same_day`` the same main at midday
and in the evening. ``waste`` what is cooked and not eaten. ``thawed`` what has to be frozen and thawed. ``dislikes``
and ``leaning`` what an eater would rather not have. ``novelty`` a small number by dish and week, so that equal choices
do not come out alike every week. ``stores`` what is in the house and not used up in time (``larder``). ``packs``
what is left of those that are opened (``opened``). ``energy``,
``protein`` and ``micronutrients`` what eaters are off their targets (``targets``, ``nourishing``): three for each
hundredth of an eater's energy or protein in the week, one for each hundredth of a vitamin or mineral.

Each part belongs to a want, and an order of wants that is not the usual one multiplies prices (``wants``).

A pot feeds two meals cheaply, so that leftovers are the rule; a third is dear, because variety is wanted. Putting that
on the pot, not on the eater, is what lets the solver prove much: see ``solve``.
"""

from collections.abc import Iterator

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.brief import Meal
from plans.domain.planner.model import WeekModel, drawn_ml, eaten_of
from plans.domain.planner.nourishing import off_target
from plans.domain.planner.packs_left import left_of_packs
from plans.domain.planner.setting import (
    MAIN_SLOTS,
    PER_HALF,
    THAWED,
    Dish,
    Group,
    Pot,
    Setting,
    disliked,
    novelty,
)
from plans.domain.planner.using_up import cook_no_more_than_is_eaten, left
from plans.domain.vocabulary import Slot

A_POT = 100
A_MINUTE_ON_A_BUSY_DAY = 8
A_SECOND_DISH = 300
A_SECOND_MUG = 100
FURTHER_MEALS = (15, 75, 90)
FURTHER_BREAKFASTS = (0, 20, 20, 80)
"""The price of a pot's second, third … meal; the last price holds for every meal after."""
THE_SAME_MAIN_AGAIN = 60
SAME_DAY = 80
A_THAWED_SERVING = 15
A_DISLIKE = 250
NOVELTY = 2
WASTE_ML = 10
"""Leftover stock costs one for so many millilitres, a leftover portion one for each hundredth."""

A_MINUTE_SHORT = 1
A_REPEAT_MORE = 20
A_MEAL_UNPLANNED = 200

Cost = LinearExpr | int


def parts(week: WeekModel) -> dict[str, Cost]:
    """The costs of a week by part, each a linear expression over the model."""
    meals_of: dict[Pot, list[IntVar]] = {}
    for (pot, _), served in week.served.items():
        meals_of.setdefault(pot, []).append(served)
    if week.setting.lots or week.setting.packs:
        cook_no_more_than_is_eaten(week)
    costs: dict[str, Cost] = {
        "cooks": A_POT * LinearExpr.sum(list(week.cooked.values())),
        "busy": _sum(_busy(week)),
        "sharing": _sum(_sharing(week)),
        "repeats": _sum(_further_meals(week, meals_of)) + _sum(_further_pots(week)),
        "same_day": _sum(_same_day(week)),
        "waste": _sum(_waste(week)),
        "thawed": _sum(_thawed(week)),
        "dislikes": _sum(_dislikes(week)),
        "leaning": _sum(_leaning(week)),
        "novelty": _sum(
            NOVELTY * novelty(week.setting.brief, key) * pot for (key, _), pot in week.cooked.items()
        ),
        "stores": _sum(left(week)),
        "packs": _sum(left_of_packs(week)),
        "energy": _sum(off_target(week, "energy")),
        "protein": _sum(off_target(week, "protein")),
        "micronutrients": _sum(off_target(week, "micronutrients")),
    }
    weights = week.setting.weights
    return {part: cost if weights[part] == 1 else weights[part] * cost for part, cost in costs.items()}


def minutes_price(setting: Setting, pot: Pot) -> int:
    """What the hands-on minutes of a pot cost on its day; the day before the week is never busy."""
    key, day = pot
    most = max(setting.brief.kitchen.hands_on_min, default=0)
    if not most or day < 0:
        return 0
    minutes = setting.dishes[key].recipe.hands_on_min
    return A_MINUTE_ON_A_BUSY_DAY * minutes * (most - setting.minutes(day)) // most


def dislike_price(dish: Dish, group: Group) -> int:
    """What it costs to serve a group a dish it dislikes."""
    return A_DISLIKE * len(group.eaters) if disliked(dish, group) else 0


def leaning_price(dish: Dish, group: Group, slot: Slot) -> int:
    """One for every ten hundredths of meat, or of all else, on a plate that leans the other way."""
    if slot is Slot.MUG:
        return 0
    against = {"meat": 100 - dish.meat_percent, "vegetables": dish.meat_percent}.get(group.head.leaning, 0)
    return against // 10 * len(group.eaters)


def _busy(week: WeekModel) -> Iterator[Cost]:
    for pot, cooked in week.cooked.items():
        yield minutes_price(week.setting, pot) * cooked


def _sharing(week: WeekModel) -> Iterator[Cost]:
    tables: dict[Meal, list[IntVar]] = {}
    for (_, meal), served in week.served.items():
        tables.setdefault(meal, []).append(served)
    for (day, slot), dishes in tables.items():
        parties = len(week.seated((day, slot)))
        if parties > 1:
            extra = week.cp.new_int_var(0, parties, f"extra dishes {day} {slot}")
            week.cp.add(extra >= LinearExpr.sum(dishes) - 1)
            yield (A_SECOND_MUG if slot is Slot.MUG else A_SECOND_DISH) * extra


def _further_meals(week: WeekModel, meals_of: dict[Pot, list[IntVar]]) -> Iterator[Cost]:
    """Each pot is cooked for one meal; each step more has its price and needs the step before it."""
    for pot, meals in meals_of.items():
        recipe = week.setting.dishes[pot[0]].recipe
        if recipe.makes or len(meals) < 2:
            continue
        prices = FURTHER_BREAKFASTS if Slot.BREAKFAST in recipe.slots else FURTHER_MEALS
        fed = LinearExpr.sum(meals) - week.cooked[pot]
        before = week.cooked[pot]
        for number, price in enumerate(prices[:-1]):
            step = week.cp.new_bool_var(f"meal {number + 2} of {pot}")
            week.cp.add_implication(step, before)
            fed, before = fed - step, step
            yield price * step
        rest = week.cp.new_int_var(0, len(meals), f"more meals of {pot}")
        week.cp.add(rest <= len(meals) * before)
        week.cp.add(fed <= rest)
        yield prices[-1] * rest


def _further_pots(week: WeekModel) -> Iterator[Cost]:
    pots: dict[str, list[IntVar]] = {}
    for (key, _), cooked in week.cooked.items():
        if not week.setting.dishes[key].recipe.makes:
            pots.setdefault(week.setting.dishes[key].recipe.main, []).append(cooked)
    for main, cooked in pots.items():
        further = week.cp.new_int_var(0, len(cooked), f"further pots of {main}")
        week.cp.add(further >= LinearExpr.sum(cooked) - 1)
        yield THE_SAME_MAIN_AGAIN * further


def _same_day(week: WeekModel) -> Iterator[Cost]:
    meals: dict[tuple[str, int], list[IntVar]] = {}
    for ((key, _), (day, slot)), served in week.served.items():
        if slot in MAIN_SLOTS:
            meals.setdefault((week.setting.dishes[key].recipe.main, day), []).append(served)
    for (main, day), served in meals.items():
        twice = week.cp.new_bool_var(f"twice {main} {day}")
        week.cp.add(LinearExpr.sum(served) <= 1 + len(served) * twice)
        yield SAME_DAY * twice


def _waste(week: WeekModel) -> Iterator[Cost]:
    for pot, halves in week.halves.items():
        if not week.setting.dishes[pot[0]].recipe.makes:
            yield PER_HALF * halves - eaten_of(week, pot)
    for food, makers in week.setting.makers.items():
        spare: list[Cost] = [
            -100 * drawn for drawn in drawn_ml(week, food, range(2 * week.setting.brief.days))
        ]
        for pot in (pot for key in makers for pot in week.pots_of(key)):
            portion_ml = week.setting.dishes[pot[0]].portion_ml
            spare.append(portion_ml * (PER_HALF * week.halves[pot] - eaten_of(week, pot)))
        left = week.cp.new_int_var(0, 10**6, f"left of {food}")
        week.cp.add(100 * WASTE_ML * left >= LinearExpr.sum(spare))
        yield left


def _thawed(week: WeekModel) -> Iterator[Cost]:
    for ((key, cooked), (day, _)), served in week.served.items():
        if week.setting.dishes[key].source(cooked, day) == THAWED:
            yield A_THAWED_SERVING * served


def _dislikes(week: WeekModel) -> Iterator[Cost]:
    for (seat, key, meal), eats in week.eats.items():
        groups = week.groups_at(seat, meal)
        price = sum(dislike_price(week.setting.dishes[key], group) for group in groups)
        if price:
            yield price * eats


def _leaning(week: WeekModel) -> Iterator[Cost]:
    for (seat, key, meal), eats in week.eats.items():
        groups = week.groups_at(seat, meal)
        price = sum(leaning_price(week.setting.dishes[key], group, meal[1]) for group in groups)
        if price:
            yield price * eats


def _sum(costs: Iterator[Cost]) -> Cost:
    return LinearExpr.sum(list(costs))
