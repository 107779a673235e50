"""What a revision asks for, meal by meal, and what stands in the way of it.

A *lock* keeps the plates of a meal, a *wish* puts a recipe on a table, a *ban* keeps one off it. What can be seen at
once is said at once; what only shows in combination comes out of a relaxed model, which may give up requests.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from ortools.sat.python.cp_model import IntVar

from plans.domain.brief import Meal, Reason
from plans.domain.planner.conflicts import Collision, Facts
from plans.domain.planner.model import Pot, WeekModel
from plans.domain.planner.setting import EVE, Group, Setting
from plans.domain.planner.shown import Shown

A_REQUEST_GIVEN_UP = 100
"""Dearer than an hour and a half of work or a few repeats, cheaper than a meal nobody gets."""


class Kind(StrEnum):
    """What is asked of a meal."""

    LOCK = "lock"
    WISH = "wish"
    BAN = "ban"


@dataclass(frozen=True, slots=True)
class Request:
    """One request. A lock has no recipe: every plate stays as it is shown."""

    kind: Kind
    meal: Meal
    recipe: str = ""


def requests(shown: Shown) -> tuple[Request, ...]:
    """All that is asked of meals that may change, each once and in one order."""
    asked = shown.revision
    found = [
        *(Request(Kind.LOCK, meal) for meal in asked.locked),
        *(Request(Kind.WISH, choice.meal, choice.recipe) for choice in asked.wanted),
        *(Request(Kind.BAN, choice.meal, choice.recipe) for choice in asked.unwanted),
    ]
    days = range(max(0, shown.first), shown.setting.brief.days)
    open_meals = {request for request in found if request.meal[0] in days}
    return tuple(sorted(open_meals, key=lambda request: (request.meal, request.kind, request.recipe)))


def keep(week: WeekModel, shown: Shown, asked: Iterable[Request]) -> dict[Request, IntVar]:
    """Have a model do what is asked. A relaxed one may give a request up; the variables that say so are the answer."""
    given_up: dict[Request, IntVar] = {}
    for request in asked:
        kept = [*_kept(week, shown, request)]
        if week.relaxed:
            given_up[request] = week.cp.new_bool_var(f"given up {request}")
        for literal in kept:
            week.cp.add_bool_or(
                *([literal] if literal is not None else []),
                *([given_up[request]] if week.relaxed else []),
            )
    return given_up


def _kept(week: WeekModel, shown: Shown, request: Request) -> Iterator[IntVar | None]:
    """What has to be true for a request to be met; None for something that cannot be."""
    meal = request.meal
    if request.kind is Kind.LOCK:
        for number, pot in _locked(shown, meal):
            yield week.eats.get((number, pot[0], meal))
            yield week.served.get((pot, meal))
        return
    seats = [week.eats[seat] for seat in week.eats if seat[1:] == (request.recipe, meal)]
    if request.kind is Kind.BAN:
        yield from (eats.negated() for eats in seats)
    else:
        yield from seats or [None]


def _locked(shown: Shown, meal: Meal) -> list[tuple[int, Pot]]:
    return [(number, pot) for (number, at), pot in shown.ahead() if at == meal]


def _present(shown: Shown, meal: Meal) -> list[Group]:
    return [group for number, group in enumerate(shown.setting.groups) if (number, meal) not in shown.settled]


def at_once(shown: Shown, asked: Iterable[Request]) -> list[Collision]:
    """The requests that collide with a fact, or with one another, whatever the rest of the week is like."""
    by_meal: dict[Meal, list[Request]] = {}
    for request in asked:
        by_meal.setdefault(request.meal, []).append(request)
    found: list[Collision] = []
    for together in by_meal.values():
        for request in together:
            if request.kind is Kind.LOCK:
                found += _of_a_lock(shown, request, together)
            elif request.kind is Kind.WISH:
                found += _of_a_wish(shown, request, together)
    return found


def in_the_way(shown: Shown, given_up: Iterable[Request]) -> list[Collision]:
    """The requests that do not go together with the rest of the week."""
    return [_collision(shown, request, _does_not_fit(shown, request)) for request in given_up]


def _does_not_fit(shown: Shown, request: Request) -> Reason:
    facts = _facts(shown, request)
    match request.kind:
        case Kind.LOCK:
            return Reason("lock-in-the-way", facts)
        case Kind.WISH:
            return Reason("wish-in-the-way", facts)
        case Kind.BAN:
            return Reason("ban-in-the-way", facts)


def _collision(shown: Shown, request: Request, conflict: Reason) -> Collision:
    """A conflict, and the request to give up for it."""
    facts = _facts(shown, request)
    match request.kind:
        case Kind.LOCK:
            relaxation = Reason("unlock-meal", facts)
        case Kind.WISH:
            relaxation = Reason("drop-wish", facts)
        case Kind.BAN:
            relaxation = Reason("allow-dish", facts)
    return Collision(conflict, relaxation, A_REQUEST_GIVEN_UP)


def _facts(shown: Shown, request: Request) -> Facts:
    day, slot = request.meal
    when: Facts = {"slot": slot.value, "on": shown.setting.on(day).isoformat()}
    return when | ({"dish": _title(shown, request.recipe)} if request.recipe else {})


def _of_a_lock(shown: Shown, lock: Request, together: Iterable[Request]) -> Iterator[Collision]:
    for number, pot in _locked(shown, lock.meal):
        why = _why_no_plate(shown, shown.setting.groups[number], pot, lock.meal[0]) or _asked_otherwise(
            shown, number, pot, together
        )
        if why is not None:
            facts = _facts(shown, lock) | {"dish": _title(shown, pot[0])} | dict(why.facts)
            yield _collision(shown, lock, Reason(why.code, facts))
            return


def _why_no_plate(shown: Shown, group: Group, pot: Pot, day: int) -> Reason | None:
    """Why a group cannot eat from a pot on a day as it is shown."""
    setting, names = shown.setting, ", ".join(eater.name for eater in group.eaters)
    if pot[0] not in setting.dishes:
        return Reason("lock-dish-gone", {})
    ends = shown.ends(pot)
    if ends is not None and ends <= day:
        return Reason("lock-pot-gone", {})
    if not shown.past(pot) and (food := shown.gone_base(pot)):
        return Reason("lock-food-gone", {"food": _food(setting, food)})
    if not group.suits(pot[0], day):
        blocked = group.fits[pot[0], day].blocked
        return Reason("lock-not-open", {"eater": names, "food": _food(setting, blocked[0])})
    if shown.past(pot) and (food := shown.holds_too_much(pot, group, day)):
        return Reason("lock-not-open", {"eater": names, "food": _food(setting, food)})
    return None


def _asked_otherwise(shown: Shown, number: int, pot: Pot, together: Iterable[Request]) -> Reason | None:
    """What else is asked of a locked meal."""
    for request in together:
        if request.kind is Kind.BAN and request.recipe == pot[0]:
            return Reason("lock-unwanted", {})
        if request.kind is Kind.WISH and request.recipe != pot[0] and _suits(shown, number, request):
            return Reason("lock-against-wish", {"wanted": _title(shown, request.recipe)})
    return None


def _of_a_wish(shown: Shown, wish: Request, together: Iterable[Request]) -> Iterator[Collision]:
    numbers = [
        number
        for number in range(len(shown.setting.groups))
        if (number, wish.meal) not in shown.settled and _suits(shown, number, wish)
    ]
    facts = _facts(shown, wish)
    if not numbers:
        yield _collision(shown, wish, Reason("wish-suits-nobody", facts))
        return
    others = [
        other
        for other in together
        if other.kind is Kind.WISH
        and other.recipe > wish.recipe
        and any(_suits(shown, number, other) for number in numbers)
    ]
    if others:
        both = facts | {"wanted": _title(shown, others[0].recipe)}
        yield _collision(shown, wish, Reason("wishes-collide", both))
    food = _no_pot_without(shown, wish)
    if food:
        yield _collision(shown, wish, Reason("wish-food-gone", facts | {"food": _food(shown.setting, food)}))


def _suits(shown: Shown, number: int, wish: Request) -> bool:
    dish, (day, slot) = shown.setting.dishes.get(wish.recipe), wish.meal
    return (
        dish is not None
        and slot in dish.recipe.slots
        and shown.setting.groups[number].suits(wish.recipe, day)
    )


def _no_pot_without(shown: Shown, wish: Request) -> str:
    """The food that has gone and keeps every pot of a wish from being cooked; empty when there is a pot."""
    dish, missing = shown.setting.dishes[wish.recipe], ""
    for day in range(EVE, wish.meal[0] + 1):
        pot = wish.recipe, day
        if not dish.source(day, wish.meal[0]) or (shown.past(pot) and pot not in shown.pots):
            continue
        ends = shown.ends(pot)
        if ends is not None and ends <= wish.meal[0]:
            continue
        food = shown.gone_base(pot)
        if not food:
            return ""
        missing = food
    return missing


def _title(shown: Shown, recipe: str) -> str:
    titles = {known.key: known.title for known in shown.setting.brief.recipes}
    return titles.get(recipe, recipe)


def _food(setting: Setting, food: str) -> str:
    """The name of a food, or the title of a stock."""
    titles = {recipe.key: recipe.title for recipe in setting.brief.recipes}
    return setting.brief.foods[food].name if food in setting.brief.foods else titles.get(food, food)
