"""What is left over when whole packs were bought, and where it could go: codes and facts, no words.

A left-over opens with the food's first pot. A dish of the same week may take more of it while it keeps, but never
where somebody at that pot has it by the spoon, as a flavour or not at all: more of a food is a question of allowance.
"""

from decimal import Decimal

from plans.domain.book import Food
from plans.domain.brief import Brief, Plate, Reason, Week
from plans.domain.shopping import Line
from plans.domain.vocabulary import Allowance, Use

WORTH_TELLING_G = Decimal(10)
"""Less than this is no left-over (common practice, no source)."""
KEEPS_LONG_DAYS = 60
"""What keeps longer than this waits for a later week and need not go anywhere (common practice, no source)."""
MOST_DISHES = 3
SEASONING = "herbs-spices"
"""The aisle of what nobody wants more of in a dish."""
DISH, FREEZE, USE_WITHIN, KEEPS = "left-dish", "left-freeze", "left-use-within", "left-keeps"


def could_go(line: Line, week: Week, brief: Brief) -> tuple[Reason, ...]:
    """Where the left-over of a bought food could go: later dishes, and else the freezer or the days it keeps."""
    if not line.packs or line.left_g < WORTH_TELLING_G:
        return ()
    food = brief.foods[line.food]
    if food.fridge_days is None or food.fridge_days > KEEPS_LONG_DAYS:
        return (Reason(KEEPS, {}),)
    dishes = () if food.aisle == SEASONING else _dishes(line, food.fridge_days, week, brief)
    return (*dishes, _put_away(food, food.fridge_days, brief.kitchen.freezer))


def _dishes(line: Line, keeps: int, week: Week, brief: Brief) -> tuple[Reason, ...]:
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    opened = line.takings[0].on
    found = []
    for cook in sorted(week.cooks, key=lambda cook: (cook.on, cook.key)):
        recipe = recipes[cook.recipe]
        eaten = any(part.food == line.food and part.use is not Use.FLAVOUR for part in recipe.ingredients)
        later = cook.on > opened and (cook.on - opened).days <= keeps
        plates = [plate for plate in week.plates if plate.cook == cook.key]
        if eaten and later and _may_have_more(line.food, plates, brief):
            found.append(Reason(DISH, {"dish": recipe.title, "on": cook.on.isoformat()}))
    return tuple(found[:MOST_DISHES])


def _may_have_more(food: str, plates: list[Plate], brief: Brief) -> bool:
    """Whether everybody who eats from a pot has the food open, without an amount to keep to, on each of their days."""
    days = {eater.key: eater.days for eater in brief.eaters}
    for plate in plates:
        given = days[plate.eater][(plate.on - brief.start).days].get(food)
        if food in plate.without or given is None:
            return False
        if given.allowance < Allowance.AS_PREPARED or given.most_g is not None:
            return False
    return bool(plates)


def _put_away(food: Food, keeps: int, freezer: bool) -> Reason:
    if food.freezer_days and freezer:
        return Reason(FREEZE, {"days": keeps, "frozen": food.freezer_days})
    return Reason(USE_WITHIN, {"days": keeps})
