"""What could be on the table at one meal instead, without solving the week: for a list to choose from.

A page may load this: it never asks the solver. So it says what a choice would ask of its own day and its own meal, not
what the rest of the week would become; that is what a revision is for.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from plans.domain.book import Recipe
from plans.domain.brief import Brief, Meal
from plans.domain.planner.setting import EVE, MAIN_SLOTS, PER_HALF, disliked
from plans.domain.planner.shown import Pot, Shown, eaten_of_pots, show, stock_left
from plans.domain.planner.today import meal_of
from plans.domain.vocabulary import Slot


@dataclass(frozen=True, slots=True)
class Alternative:
    """A recipe that could be at a meal.

    ``cook`` is the key of the pot that is there already and would serve it; none when it has to be cooked, on the day
    ``cook_on``, which takes ``hands_on_min`` there, ``short_min`` more than there are. ``something_else`` are the keys
    of those present whom it does not suit. ``again`` is how often its main is at other meals of the week, for whoever
    has it most. ``stock_short_ml`` is the home-made stock it would need and that no pot has left over.
    """

    recipe: str
    cook: str
    cook_on: date
    hands_on_min: int
    short_min: int
    something_else: tuple[str, ...]
    again: int
    stock_short_ml: int

    @property
    def room(self) -> bool:
        """Whether the day has the minutes."""
        return not self.short_min


def alternatives(brief: Brief, meal: Meal) -> tuple[Alternative, ...]:
    """What could be at a meal of the shown week instead of what is, best first: what suits most of those present, what
    there is time and stock for, what is there already, what is seldom on the table, what is quickest.

    What has gone is not offered. Raises ValueError for a brief without a revision and for a meal that is eaten or not
    in the week.
    """
    shown = show(brief)
    if shown.is_eaten(meal) or meal[0] not in range(brief.days):
        raise ValueError(f"the meal {meal} may not change")
    return tuple(sorted(_found(shown, brief, meal), key=lambda found: _rank(shown, found, meal[1])))


def _rank(shown: Shown, found: Alternative, slot: Slot) -> tuple[int | bool | str, ...]:
    dish = shown.setting.dishes[found.recipe]
    dislikes = sum(len(group.eaters) for group in shown.setting.groups if disliked(dish, group))
    return (
        len(found.something_else),
        not found.room,
        found.stock_short_ml > 0,
        slot in MAIN_SLOTS and found.again >= shown.setting.brief.most_repeats,
        dislikes,
        not found.cook,
        found.again,
        found.hands_on_min,
        found.recipe,
    )


def _found(shown: Shown, brief: Brief, meal: Meal) -> Iterator[Alternative]:
    setting, (day, slot) = shown.setting, meal
    on_the_table = {pot[0] for (_, at), pot in shown.ahead() if at == meal}
    present = [number for number in range(len(setting.groups)) if (number, meal) not in shown.settled]
    work = _work(shown, brief, meal)
    for key in setting.for_slot(slot):
        pot = None if key in on_the_table else _pot(shown, brief, key, meal, present, work)
        if pot is None:
            continue
        suited = [number for number in present if _suits(shown, number, pot, day)]
        there = pot in shown.pots
        minutes = 0 if there else setting.dishes[key].recipe.hands_on_min
        short = work.get(pot[1], 0) + minutes - setting.minutes(pot[1])
        if suited:
            yield Alternative(
                recipe=key,
                cook=shown.pots[pot].key if there else "",
                cook_on=setting.on(pot[1]),
                hands_on_min=minutes,
                short_min=max(0, short) if minutes else 0,
                something_else=_others(shown, brief, present, suited),
                again=_again(shown, setting.dishes[key].recipe, meal),
                stock_short_ml=_stock_short_ml(shown, brief, pot, suited),
            )


def _suits(shown: Shown, number: int, pot: Pot, day: int) -> bool:
    """Whether a group may eat from a pot on a day; one that is cooked lacks no more than it lacks."""
    group = shown.setting.groups[number]
    cooked = shown.past(pot) and pot in shown.pots
    return group.suits(pot[0], day) and (not cooked or shown.holds_for(pot, group, day))


def _others(shown: Shown, brief: Brief, present: list[int], suited: list[int]) -> tuple[str, ...]:
    keys = {
        eater.key
        for number in present
        if number not in suited
        for eater in shown.setting.groups[number].eaters
    }
    return tuple(eater.key for eater in brief.eaters if eater.key in keys)


def _work(shown: Shown, brief: Brief, meal: Meal) -> dict[int, int]:
    """The hands-on minutes of each day, without the pots that only this meal is cooked for."""
    fed: dict[str, set[Meal]] = {}
    for plate in shown.revision.shown.plates:
        fed.setdefault(plate.cook, set()).add(meal_of(brief, plate))
    minutes = {recipe.key: recipe.hands_on_min for recipe in brief.recipes}
    work: dict[int, int] = {}
    for (key, day), cook in shown.pots.items():
        if fed.get(cook.key) != {meal}:
            work[day] = work.get(day, 0) + minutes.get(key, 0)
    return work


def _pot(
    shown: Shown, brief: Brief, key: str, meal: Meal, present: list[int], work: dict[int, int]
) -> Pot | None:
    """The pot a dish would come from: one that is there and has enough, else one to cook, as near to the meal as there
    are minutes, else on its day; None when there is no way."""
    setting, dish = shown.setting, shown.setting.dishes[key]
    days = [day for day in range(meal[0], EVE - 1, -1) if setting.source((key, day), meal)]
    for pot in ((key, day) for day in days):
        ends = shown.ends(pot)
        if pot in shown.pots and (ends is None or meal[0] < ends):
            share = sum(setting.groups[n].share for n in present if _suits(shown, n, pot, meal[0]))
            if share and share <= _spare(shown, brief, pot):
                return pot
    to_cook = [
        day
        for day in days
        if day >= max(0, shown.first)
        and setting.is_at_home(key, day)
        and (key, day) not in shown.pots
        and not shown.gone_base((key, day))
    ]
    in_time = (day for day in to_cook if work.get(day, 0) + dish.recipe.hands_on_min <= setting.minutes(day))
    day = next(in_time, to_cook[0] if to_cook else None)
    return None if day is None else (key, day)


def _spare(shown: Shown, brief: Brief, pot: Pot) -> int:
    """The hundredths of a portion that a shown pot has, or could be cooked with, beyond what is eaten of it."""
    cook = shown.pots[pot]
    eaten = int(eaten_of_pots(brief).get(cook.key, Decimal(0)) * 100)
    if shown.past(pot):
        return int(cook.portions * 100) - eaten
    return 0 if shown.gone_base(pot) else shown.setting.most_halves(pot[0]) * PER_HALF - eaten


def _again(shown: Shown, recipe: Recipe, meal: Meal) -> int:
    """How often whoever has it most has a main at other meals of the kind."""
    slots = MAIN_SLOTS if meal[1] in MAIN_SLOTS else (meal[1],)
    mains = {known.key: known.main for known in shown.setting.brief.recipes}
    times: dict[int, int] = {}
    for (number, at), pot in shown.eaten.items():
        if at != meal and at[1] in slots and mains[pot[0]] == recipe.main:
            times[number] = times.get(number, 0) + 1
    return max(times.values(), default=0)


def _stock_short_ml(shown: Shown, brief: Brief, pot: Pot, suited: list[int]) -> int:
    """The stock that a dish for some would draw beyond what the pots of stock have over or could still be cooked
    with."""
    setting, dish = shown.setting, shown.setting.dishes[pot[0]]
    if not dish.draws_ml or shown.past(pot):
        return 0
    halves = -(-sum(setting.groups[number].share for number in suited) // PER_HALF)
    left = stock_left(setting, brief, shown.pots, eaten_of_pots(brief))
    short = 0
    for food, portion_ml in dish.draws_ml.items():
        there = sum(
            amount + _could_be_more_ml(shown, stock)
            for stock, amount in left.items()
            if setting.dishes[stock[0]].recipe.makes == food and shown.gives(stock, setting.drawn_at(pot))
        )
        short += max(0, -(-portion_ml * halves // 2) - there)
    return short


def _could_be_more_ml(shown: Shown, stock: Pot) -> int:
    if shown.past(stock):
        return 0
    more = shown.setting.most_halves(stock[0]) - int(2 * shown.pots[stock].portions)
    return max(0, more) * shown.setting.dishes[stock[0]].portion_ml // 2
