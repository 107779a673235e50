"""What a week has to reckon with, as facts that can be taken away one at a time.

A fact is a limit of the brief, or a meal that is wanted. Taking a limit away makes a brief in which it does not hold:
endless minutes, a pot that holds everything, an eater who may eat all there is. So whether facts collide is a question
to the same model that plans weeks, and a new limit of the brief needs no more than a line in ``LIMITS`` here.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from plans.domain.brief import Brief, BriefEater, FoodAllowance
from plans.domain.planner.setting import Setting
from plans.domain.vocabulary import Allowance, Slot

ENDLESS_MIN = 24 * 60
MUCH_ML = 10**6
BOUGHT = "bought"
"""Stock that need not be cooked goes by the name of the stock and this word."""

Eaters = tuple[tuple[str, ...], ...]
"""The keys of the eaters of every group."""


@dataclass(frozen=True, slots=True, order=True)
class Fact:
    """A limit, by its kind and the day or the group it is about, or the wanted ``meal`` of a group.

    ``food`` is set where one food's allowance is looked at apart from all others.
    """

    kind: str
    day: int = -1
    group: int = -1
    slot: str = ""
    food: str = ""


def meals(setting: Setting) -> Iterator[Fact]:
    """Every meal of everyone, the last day first."""
    for day in reversed(setting.days):
        for slot in setting.slots:
            for number, group in enumerate(setting.groups):
                if any((day, slot) not in eater.away for eater in group.eaters):
                    yield Fact("meal", day, number, slot.value)


def limits(setting: Setting) -> Iterator[Fact]:
    """Every limit of a question, in the order in which it is asked whether the conflict can do without it."""
    kitchen = setting.brief.kitchen
    for number, group in enumerate(setting.groups):
        if any(given.most_g is not None for day in group.head.days for given in day.values()):
            yield Fact("tastes", group=number)
    made = {recipe.makes for recipe in setting.brief.recipes if recipe.makes}
    if any(line.food in made for recipe in setting.brief.recipes for line in recipe.ingredients):
        yield Fact("stock")
    if made:
        yield Fact("eve")
    yield Fact("pot")
    for day in setting.days:
        if day and day in kitchen.out:
            yield Fact("out", day)
        if day < len(kitchen.at_home_min):
            yield Fact("home", day)
    yield Fact("repeats")
    if not kitchen.freezer:
        yield Fact("freezer")
    for day in reversed(setting.days):
        yield Fact("minutes", day)
    for number in range(len(setting.groups)):
        yield Fact("allowed", group=number)


def without(brief: Brief, facts: Iterable[Fact], eaters: Eaters) -> Brief:
    """The brief in which some limits do not hold."""
    for fact in facts:
        brief = LIMITS[fact.kind](brief, fact, eaters)
    return brief


def with_minutes(brief: Brief, day: int, minutes: int) -> Brief:
    """The brief with other hands-on minutes on a day."""
    given = brief.kitchen.hands_on_min
    padded = [given[on] if on < len(given) else 0 for on in range(brief.days)]
    padded[day] = minutes
    return replace(brief, kitchen=replace(brief.kitchen, hands_on_min=tuple(padded)))


def with_time_at_home(brief: Brief, day: int, minutes: int) -> Brief:
    """The brief with another longest time at home on a day."""
    given = list(brief.kitchen.at_home_min)
    given[day] = minutes
    return replace(brief, kitchen=replace(brief.kitchen, at_home_min=tuple(given)))


def with_open(brief: Brief, eaters: Iterable[str], foods: Iterable[str]) -> Brief:
    """The brief in which some eaters may have some foods in any form and amount. With a stock comes what it is made of:
    once it is open, it must suit whoever may have it."""
    foods = set(foods)
    for recipe in brief.recipes:
        if recipe.makes in foods:
            foods |= {line.food for line in recipe.ingredients}
    opened = dict.fromkeys(sorted(foods), FoodAllowance(Allowance.FREELY))

    def changed(eater: BriefEater) -> BriefEater:
        return replace(eater, days=tuple({**day, **opened} for day in eater.days))

    return _changed(brief, eaters, changed)


def with_freezer(brief: Brief) -> Brief:
    """The brief with a freezer."""
    return replace(brief, kitchen=replace(brief.kitchen, freezer=True))


def with_pot(brief: Brief, pot_ml: int) -> Brief:
    """The brief with another pot."""
    return replace(brief, kitchen=replace(brief.kitchen, pots_ml=(*brief.kitchen.pots_ml, pot_ml)))


def with_repeats(brief: Brief, times: int) -> Brief:
    """The brief in which a main may come more often."""
    return replace(brief, most_repeats=times)


def with_meal_out(brief: Brief, eaters: Iterable[str], day: int, slot: Slot) -> Brief:
    """The brief in which some eaters are away from a meal."""
    return _changed(brief, eaters, lambda eater: replace(eater, away=eater.away | {(day, slot)}))


def with_midday_at_home(brief: Brief, day: int) -> Brief:
    """The brief in which midday can be cooked on a day."""
    return replace(brief, kitchen=replace(brief.kitchen, out=brief.kitchen.out - {day}))


def _changed(brief: Brief, eaters: Iterable[str], change: Callable[[BriefEater], BriefEater]) -> Brief:
    keys = frozenset(eaters)
    return replace(
        brief, eaters=tuple(change(eater) if eater.key in keys else eater for eater in brief.eaters)
    )


def _tastes_without_end(brief: Brief, fact: Fact, eaters: Eaters) -> Brief:
    def changed(eater: BriefEater) -> BriefEater:
        days = ({food: replace(given, most_g=None) for food, given in day.items()} for day in eater.days)
        return replace(eater, days=tuple(days))

    return _changed(brief, eaters[fact.group], changed)


def _stock_at_hand(brief: Brief, fact: Fact, eaters: Eaters) -> Brief:
    """Dishes get their stock out of a shop; what it is and who may have it stays."""
    made = {recipe.makes for recipe in brief.recipes if recipe.makes and recipe.makes in brief.foods}
    named = {food: f"{food} {BOUGHT}" for food in made}
    recipes = tuple(
        recipe
        if recipe.makes
        else replace(
            recipe,
            ingredients=tuple(
                replace(line, food=named.get(line.food, line.food)) for line in recipe.ingredients
            ),
        )
        for recipe in brief.recipes
    )
    foods = {**brief.foods, **{named[food]: replace(brief.foods[food], key=named[food]) for food in made}}

    def changed(eater: BriefEater) -> BriefEater:
        days = ({**day, **{named[food]: day[food] for food in made if food in day}} for day in eater.days)
        dislikes = eater.dislikes | {named[food] for food in made & eater.dislikes}
        return replace(eater, days=tuple(days), dislikes=dislikes)

    asked = replace(brief, recipes=recipes, foods=foods)
    return _changed(asked, (eater.key for eater in brief.eaters), changed)


def _everything_open(brief: Brief, fact: Fact, eaters: Eaters) -> Brief:
    foods = {line.food for recipe in brief.recipes for line in recipe.ingredients}
    return with_open(brief, eaters[fact.group], {*foods, *brief.foods})


LIMITS: Mapping[str, Callable[[Brief, Fact, Eaters], Brief]] = {
    "tastes": _tastes_without_end,
    "stock": _stock_at_hand,
    "eve": lambda brief, fact, eaters: brief,
    "pot": lambda brief, fact, eaters: with_pot(brief, MUCH_ML),
    "out": lambda brief, fact, eaters: with_midday_at_home(brief, fact.day),
    "home": lambda brief, fact, eaters: with_time_at_home(brief, fact.day, ENDLESS_MIN),
    "repeats": lambda brief, fact, eaters: with_repeats(brief, len(Slot) * brief.days),
    "freezer": lambda brief, fact, eaters: with_freezer(brief),
    "minutes": lambda brief, fact, eaters: with_minutes(brief, fact.day, ENDLESS_MIN),
    "allowed": _everything_open,
    "closed": lambda brief, fact, eaters: with_open(brief, eaters[fact.group], (fact.food,)),
}
"""How to do without a limit. The one pot of stock on the eve is no part of a brief, but of its setting."""
