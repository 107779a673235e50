"""What a revision asks for, meal by meal, and what stands in the way of it.

A *lock* keeps the plates of a meal, a *wish* puts a recipe on a table, a *ban* keeps one off it, and a *gap* is a food
that has gone. What can be seen at once is said at once; what only shows in combination comes out of a relaxed model,
which may give up requests and have foods got again.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from ortools.sat.python.cp_model import IntVar

from plans.domain.brief import Meal, Reason
from plans.domain.planner.buying import Clash, Facts
from plans.domain.planner.model import WeekModel
from plans.domain.planner.setting import EVE, Group, Pot, Setting
from plans.domain.planner.shown import Shown
from plans.domain.vocabulary import Slot

A_REQUEST_GIVEN_UP = 100
"""Dearer than an hour and a half of work or a few repeats, cheaper than a meal nobody gets."""


class Kind(StrEnum):
    """What is asked of a meal."""

    LOCK = "lock"
    WISH = "wish"
    BAN = "ban"
    GAP = "gap"


@dataclass(frozen=True, slots=True)
class Request:
    """One request: of a meal or, for a gap, of the days from ``day`` on. A lock has no recipe: every plate stays."""

    kind: Kind
    day: int
    slot: Slot | None = None
    recipe: str = ""
    food: str = ""

    @property
    def meal(self) -> Meal | None:
        """The meal that is asked about."""
        return None if self.slot is None else (self.day, self.slot)


GivenUp = dict[Request, IntVar]
"""For each request the variable that says it is given up; none in a model that keeps them all."""


def requests(shown: Shown) -> tuple[Request, ...]:
    """All that is asked of meals that may change, each once and in one order, and the gaps."""
    asked = shown.revision
    found = {
        *(Request(Kind.LOCK, day, slot) for day, slot in asked.locked),
        *(Request(Kind.WISH, *choice.meal, choice.recipe) for choice in asked.wanted),
        *(Request(Kind.BAN, *choice.meal, choice.recipe) for choice in asked.unwanted),
    }
    first = max(0, shown.first)
    gaps = [Request(Kind.GAP, max(first, day), food=food) for food, day in sorted(asked.gone_foods.items())]
    slots = {slot: place for place, slot in enumerate(Slot)}
    days = shown.setting.brief.days
    meals = [one for one in found if one.day in range(first, days) and not shown.is_eaten(one.meal)]
    meals.sort(key=lambda asked: (asked.day, slots[asked.slot or Slot.BREAKFAST], asked.kind, asked.recipe))
    return (*meals, *gaps)


def keep(week: WeekModel, shown: Shown, asked: Iterable[Request]) -> GivenUp:
    """Have a model do what is asked. A relaxed one may give a request up; the variables that say so are the answer."""
    given_up: GivenUp = {}
    for request in asked:
        kept = list(_kept(week, shown, request))
        if week.relaxed:
            given_up[request] = week.cp.new_bool_var(f"given up {request}")
        for literal in kept:
            week.cp.add_bool_or(
                *([] if literal is None else [literal]),
                *([given_up[request]] if week.relaxed else []),
            )
    return given_up


def _kept(week: WeekModel, shown: Shown, request: Request) -> Iterator[IntVar | None]:
    """What has to be true for a request to be met; None for something that cannot be."""
    match request.kind:
        case Kind.GAP:
            for pot, cooked in week.cooked.items():
                if request.food in shown.gone_base(pot):
                    yield cooked.negated()
        case Kind.LOCK:
            for number, pot in _locked(shown, request):
                yield week.eats.get((number, pot[0], request.meal))
                yield week.served.get((pot, request.meal))
        case Kind.BAN:
            yield from (eats.negated() for eats in _eating(week, request))
        case Kind.WISH:
            yield from _eating(week, request) or [None]


def _eating(week: WeekModel, request: Request) -> list[IntVar]:
    return [eats for seat, eats in week.eats.items() if seat[1:] == (request.recipe, request.meal)]


def _locked(shown: Shown, lock: Request) -> list[tuple[int, Pot]]:
    return [(number, pot) for (number, meal), pot in shown.ahead() if meal == lock.meal]


def at_once(shown: Shown, asked: Iterable[Request]) -> list[Clash]:
    """The requests that collide with a fact, or with one another, whatever the rest of the week is like."""
    by_meal: dict[Meal | None, list[Request]] = {}
    for request in asked:
        by_meal.setdefault(request.meal, []).append(request)
    found: list[Clash] = []
    for together in by_meal.values():
        for request in together:
            if request.kind is Kind.LOCK:
                found += _of_a_lock(shown, request, together)
            elif request.kind is Kind.WISH:
                found += _of_a_wish(shown, request, together)
    return found


def in_the_way(shown: Shown, given_up: Iterable[Request]) -> list[Clash]:
    """The requests that do not go together with the rest of the week."""
    return [_clash(shown, request, _does_not_fit(shown, request)) for request in given_up]


def _does_not_fit(shown: Shown, request: Request) -> Reason:
    facts = _facts(shown, request)
    match request.kind:
        case Kind.LOCK:
            return Reason("lock-in-the-way", facts)
        case Kind.WISH:
            return Reason("wish-in-the-way", facts)
        case Kind.BAN:
            return Reason("ban-in-the-way", facts)
        case Kind.GAP:
            return Reason("food-gone-in-the-way", facts)


def _clash(shown: Shown, request: Request, conflict: Reason) -> Clash:
    """A conflict, and the request to give up for it."""
    facts = _facts(shown, request)
    match request.kind:
        case Kind.LOCK:
            relaxation = Reason("unlock-meal", facts)
        case Kind.WISH:
            relaxation = Reason("drop-wish", facts)
        case Kind.BAN:
            relaxation = Reason("allow-dish", facts)
        case Kind.GAP:
            relaxation = Reason("get-food-again", facts)
    return Clash(conflict, relaxation, A_REQUEST_GIVEN_UP)


def _facts(shown: Shown, request: Request) -> Facts:
    facts: Facts = {"on": shown.setting.on(request.day).isoformat()}
    if request.slot:
        facts["slot"] = request.slot.value
    if request.recipe:
        facts["dish"] = _title(shown, request.recipe)
    if request.food:
        facts["food"] = _food(shown.setting, request.food)
    return facts


def _of_a_lock(shown: Shown, lock: Request, together: Iterable[Request]) -> Iterator[Clash]:
    for number, pot in _locked(shown, lock):
        why = _why_no_plate(shown, shown.setting.groups[number], pot, lock.day) or _asked_otherwise(
            shown, number, pot, together
        )
        if why is not None:
            facts = _facts(shown, lock) | {"dish": _title(shown, pot[0])} | dict(why.facts)
            yield _clash(shown, lock, Reason(why.code, facts))
            return


def _why_no_plate(shown: Shown, group: Group, pot: Pot, day: int) -> Reason | None:
    """Why a group cannot eat from a pot on a day as it is shown."""
    setting, names = shown.setting, ", ".join(eater.name for eater in group.eaters)
    if pot[0] not in setting.dishes:
        return Reason("lock-dish-gone", {})
    ends = shown.ends(pot)
    if ends is not None and ends <= day:
        return Reason("lock-pot-gone", {})
    if gone := shown.gone_base(pot):
        return Reason("lock-food-gone", {"food": _food(setting, gone[0])})
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


def _of_a_wish(shown: Shown, wish: Request, together: Iterable[Request]) -> Iterator[Clash]:
    numbers = [
        number
        for number in range(len(shown.setting.groups))
        if (number, wish.meal) not in shown.settled and _suits(shown, number, wish)
    ]
    facts = _facts(shown, wish)
    if not numbers:
        yield _clash(shown, wish, Reason("wish-suits-nobody", facts))
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
        yield _clash(shown, wish, Reason("wishes-collide", both))
    food = _no_pot_without(shown, wish)
    if food:
        yield _clash(shown, wish, Reason("wish-food-gone", facts | {"food": _food(shown.setting, food)}))


def _suits(shown: Shown, number: int, wish: Request) -> bool:
    dish, (day, slot) = shown.setting.dishes.get(wish.recipe), wish.meal
    return (
        dish is not None
        and slot in dish.recipe.slots
        and shown.setting.groups[number].suits(wish.recipe, day)
    )


def _no_pot_without(shown: Shown, wish: Request) -> str:
    """The food that has gone and keeps every pot of a wish from being cooked; empty when there is a pot."""
    missing = ""
    for day in range(EVE, wish.day + 1):
        pot = wish.recipe, day
        ends = shown.ends(pot)
        if (
            wish.meal is None
            or not shown.setting.source(pot, wish.meal)
            or (shown.past(pot) and pot not in shown.pots)
            or (ends is not None and ends <= wish.day)
        ):
            continue
        gone = shown.gone_base(pot)
        if not gone:
            return ""
        missing = gone[0]
    return missing


def _title(shown: Shown, recipe: str) -> str:
    titles = {known.key: known.title for known in shown.setting.brief.recipes}
    return titles.get(recipe, recipe)


def _food(setting: Setting, food: str) -> str:
    """The name of a food, or the title of a stock."""
    titles = {recipe.key: recipe.title for recipe in setting.brief.recipes}
    return setting.brief.foods[food].name if food in setting.brief.foods else titles.get(food, food)
