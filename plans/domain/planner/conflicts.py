"""A collision of facts as reasons: what is wanted, what is given, and what it would take.

A collision of a usual shape, such as a day too short for a meal, is one reason. Any other begins with the meals it is
about and gives a reason for each limit. After either come the foods in the way, each with the engine's own reason.
"""

from collections.abc import Iterator, Mapping, Sequence

from plans.domain.book import Recipe
from plans.domain.brief import Reason
from plans.domain.planner.changes import BETWEEN
from plans.domain.planner.core import Collision, Question
from plans.domain.planner.facts import Fact
from plans.domain.planner.setting import PER_HALF, Setting
from plans.domain.vocabulary import Slot

Facts = dict[str, str | int]
MOST_FOODS = 4
"""More foods than this are no longer read."""


def said(
    question: Question,
    found: Collision,
    closing: Mapping[int, tuple[str, ...]],
    alike: Sequence[Fact],
) -> Iterator[Reason]:
    """A collision as reasons. ``alike`` are the meals it is about."""
    kinds = {fact.kind for fact in found.facts} - {"meal", "allowed"}
    usual = _usual(question, found, kinds, closing, alike)
    if usual is not None:
        yield usual
        if kinds == {"minutes", "stock"}:
            yield _stock(question, found)
    else:
        yield from _meals(question.setting, found.of("meal"))
        for fact in sorted(found.facts):
            yield from _limit(question, found, fact)
    for number, foods in closing.items():
        for food in foods[:MOST_FOODS]:
            yield _closed(question.setting, number, food)


def _usual(
    question: Question,
    found: Collision,
    kinds: set[str],
    closing: Mapping[int, tuple[str, ...]],
    alike: Sequence[Fact],
) -> Reason | None:
    """The one reason for a collision of a usual shape."""
    setting, meals = question.setting, found.of("meal")
    if len(meals) == 1 and not kinds:
        return _nothing_open(question, found, closing, alike)
    if len(meals) == 1 and kinds == {"stock"}:
        return _no_stock(question, alike)
    if len(meals) == 1 and kinds == {"pot"}:
        return _pot_too_small(setting, alike)
    if kinds == {"repeats"}:
        return _few_dishes(question, meals)
    if kinds - {"stock"} == {"minutes"} and len(found.of("minutes")) == 1:
        return _too_little_time(question, found, found.of("minutes")[0].day)
    return None


def _nothing_open(
    question: Question, found: Collision, closing: Mapping[int, tuple[str, ...]], alike: Sequence[Fact]
) -> Reason:
    setting = question.setting
    dishes = _recipes(setting, alike)
    when = _when(setting, alike)
    if not dishes:
        return Reason("no-recipe", when)
    foods = next(iter(closing.values()), ())
    if not foods:
        return Reason("no-dish-left", when)
    code = "every-dish-needs" if len(foods) == 1 else "no-dish-open"
    names = ", ".join(_name(setting, food) for food in foods[:MOST_FOODS])
    return Reason(code, when | {"food": names, "dishes": len(dishes), "times": len(dishes)})


def _no_stock(question: Question, alike: Sequence[Fact]) -> Reason:
    setting = question.setting
    made = {recipe.makes for recipe in setting.brief.recipes if recipe.makes}
    foods = [
        line.food for recipe in _recipes(setting, alike) for line in recipe.ingredients if line.food in made
    ]
    missing = [food for food in foods if food not in setting.makers] or foods
    code = "stock-not-there" if missing[0] in setting.makers else "stock-not-for-all"
    return Reason(code, _when(setting, alike) | {"food": _name(setting, missing[0])})


def _pot_too_small(setting: Setting, alike: Sequence[Fact]) -> Reason:
    """The least room a meal of a group needs; a pot is filled by half portions."""
    group, day = setting.groups[alike[0].group], alike[0].day
    rooms = [
        setting.dishes[key].pot_ml for key in setting.for_slot(Slot(alike[0].slot)) if group.suits(key, day)
    ]
    needed = -(-group.share // PER_HALF) * min(rooms, default=0) // 2
    facts: Facts = {"pot_ml": setting.largest_pot_ml, "needed_ml": needed}
    return Reason("pot-too-small", _when(setting, alike) | facts)


def _few_dishes(question: Question, meals: Sequence[Fact]) -> Reason:
    setting, group = question.setting, question.setting.groups[meals[0].group]
    slots = {fact.slot for fact in meals}
    mains = {
        dish.recipe.main
        for key, dish in setting.dishes.items()
        if any(slot.value in slots for slot in dish.recipe.slots)
        and any(group.suits(key, fact.day) for fact in meals)
    }
    return Reason(
        "few-dishes",
        {
            "eaters": _eaters(setting, meals[0].group),
            "dishes": len(mains),
            "meals": len(meals),
            "most": setting.brief.most_repeats,
        },
    )


def _too_little_time(question: Question, found: Collision, day: int) -> Reason:
    setting, meals = question.setting, found.of("meal")
    given = setting.minutes(day)
    more = question.minutes_more(found.facts - {Fact("minutes", day)}, day) or 0
    facts: Facts = {"on": setting.on(day).isoformat(), "minutes": given}
    if len(meals) == 1 and meals[0].day == day:
        return Reason("too-little-time", facts | {"slot": meals[0].slot, "shortest": given + more})
    return Reason("too-many-dishes-for-the-time", facts | {"needed": given + more, "slots": _slots(meals)})


def _stock(question: Question, found: Collision) -> Reason:
    """The stock that the shortest dish needs of those that take the minutes there are, else of all."""
    setting, meals = question.setting, found.of("meal")
    made = {recipe.makes for recipe in setting.brief.recipes if recipe.makes}
    minutes = max((setting.minutes(fact.day) for fact in found.of("minutes")), default=0)
    drawing = [
        (recipe.hands_on_min > minutes > 0, recipe.hands_on_min, recipe.title, line.food)
        for recipe in _recipes(setting, meals)
        for line in recipe.ingredients
        if line.food in made and not recipe.makes
    ]
    if not drawing:
        return Reason("stock-first", {})
    _, takes, dish, food = min(drawing)
    return Reason("dish-needs-stock", {"dish": dish, "takes": takes, "food": _name(setting, food)})


def _meals(setting: Setting, meals: Sequence[Fact]) -> Iterator[Reason]:
    """What is wanted, group by group."""
    for number in sorted({fact.group for fact in meals}):
        of_group = [fact for fact in meals if fact.group == number]
        eaters = _eaters(setting, number)
        if len(of_group) == 1:
            on = setting.on(of_group[0].day).isoformat()
            yield Reason("meal-wanted", {"eater": eaters, "slot": of_group[0].slot, "on": on})
        else:
            first, last = (setting.on(of_group[place].day).isoformat() for place in (0, -1))
            facts: Facts = {"eaters": eaters, "meals": len(of_group), "slots": _slots(of_group)}
            several = first != last
            days = {"on": first, "last": last} if several else {"on": first}
            yield Reason("meals-wanted" if several else "meals-wanted-on", facts | days)


def _limit(question: Question, found: Collision, fact: Fact) -> Iterator[Reason]:
    """One limit of a collision of no usual shape."""
    setting, kitchen = question.setting, question.brief.kitchen
    on = setting.on(max(0, fact.day)).isoformat()
    if fact.kind == "minutes":
        yield Reason("minutes-given", {"on": on, "minutes": setting.minutes(fact.day)})
    elif fact.kind == "home":
        yield Reason("home-given", {"on": on, "minutes": kitchen.at_home_min[fact.day]})
    elif fact.kind == "out":
        yield Reason("out-at-midday", {"on": on})
    elif fact.kind == "repeats":
        yield Reason("most-repeats", {"most": question.brief.most_repeats})
    elif fact.kind == "pot":
        yield Reason("pot-given", {"pot_ml": setting.largest_pot_ml})
    elif fact.kind == "freezer":
        yield Reason("no-freezer", {})
    elif fact.kind == "eve":
        yield Reason("one-pot-ahead", {})
    elif fact.kind == "stock":
        yield _stock(question, found)
    elif fact.kind == "tastes":
        yield Reason("tastes-given", {"eaters": _eaters(setting, fact.group)})


def _closed(setting: Setting, number: int, food: str) -> Reason:
    """Why a food is closed to a group: the engine's reason on the first day, if it has one."""
    given = setting.groups[number].head.days[0].get(food)
    why = given.reasons[0] if given is not None and given.reasons else Reason("closed", {})
    named = {"closed": _name(setting, food), "closed_to": _eaters(setting, number)}
    return Reason(why.code, {**why.facts, **named})


def _when(setting: Setting, alike: Sequence[Fact]) -> Facts:
    on = setting.on(min(fact.day for fact in alike)).isoformat()
    return {"eater": _eaters(setting, alike[0].group), "slot": alike[0].slot, "on": on, "days": len(alike)}


def _recipes(setting: Setting, meals: Sequence[Fact]) -> list[Recipe]:
    """The recipes of the brief that could be one of some meals."""
    slots = {Slot(fact.slot) for fact in meals}
    return [
        recipe
        for recipe in setting.brief.recipes
        if not slots.isdisjoint(recipe.slots) and recipe.kind != "side"
    ]


def _slots(meals: Sequence[Fact]) -> str:
    wanted = {fact.slot for fact in meals}
    return BETWEEN.join(slot.value for slot in Slot if slot.value in wanted)


def _eaters(setting: Setting, number: int) -> str:
    return ", ".join(eater.name for eater in setting.groups[number].eaters)


def _name(setting: Setting, food: str) -> str:
    return setting.brief.foods[food].name if food in setting.brief.foods else food
