"""Why there is no week: what can be seen at once, and what a model that may break rules has to break.

A conflict says what collides for whom and when; a relaxation says what to give up for it, cheapest first. Prices are
those of a relaxed model: a hands-on minute 1, a repeat 20, an eater's meal 200.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from plans.domain.book import Recipe
from plans.domain.brief import BriefEater, NoWeek, Reason
from plans.domain.fit import Fit, fit
from plans.domain.planner.goals import A_MEAL_UNPLANNED, A_MINUTE_SHORT, A_REPEAT_MORE
from plans.domain.planner.model import MAIN_SLOTS, WeekModel
from plans.domain.planner.setting import EVE, Group, Setting, hundredths
from plans.domain.planner.solving import Answer
from plans.domain.vocabulary import Slot

Facts = dict[str, str | int]


@dataclass(frozen=True, slots=True)
class Collision:
    """One thing that cannot be, and what giving it up would cost."""

    conflict: Reason
    relaxation: Reason
    price: int


def no_week(collisions: Iterable[Collision], *more: Reason) -> NoWeek:
    """The answer that there is no week, with what to relax, cheapest first."""
    found = list(collisions)
    cheapest = sorted(found, key=lambda collision: collision.price)
    relaxations = {repr(collision.relaxation): collision.relaxation for collision in cheapest}
    return NoWeek((*(collision.conflict for collision in found), *more), tuple(relaxations.values()))


def plain(setting: Setting) -> list[Collision]:
    """What makes a week impossible before any combination is tried."""
    return [*_no_dish(setting), *_few_dishes(setting), *_no_pot(setting), *_no_time(setting)]


def bought(week: WeekModel, answer: Answer) -> list[Collision]:
    """What a relaxed model had to buy to have a week at all."""
    return [*_minutes(week, answer), *_repeats(week, answer), *_unplanned(week, answer)]


def _no_dish(setting: Setting) -> Iterator[Collision]:
    """Eaters for whom nothing in the book is open at a meal: one collision for all days with the same cause."""
    found: dict[tuple[str, Slot, str], list[int]] = {}
    reasons: dict[tuple[str, Slot, str], tuple[BriefEater, Reason]] = {}
    for group in setting.groups:
        for slot in setting.slots:
            for day in setting.days:
                if any(group.suits(key, day) for key in setting.for_slot(slot)):
                    continue
                for eater in group.eaters:
                    why = _nothing_open(setting, eater, slot, day)
                    cause = (eater.key, slot, f"{why.code} {why.facts.get('food', '')}")
                    found.setdefault(cause, []).append(day)
                    reasons.setdefault(cause, (eater, why))
    for cause, days in found.items():
        (eater, why), slot = reasons[cause], cause[1]
        when: Facts = {"eater": eater.name, "slot": slot.value}
        when |= {"on": setting.on(days[0]).isoformat(), "days": len(days)}
        yield Collision(
            Reason(why.code, when | dict(why.facts)),
            Reason("leave-meal-out", when),
            A_MEAL_UNPLANNED * len(days),
        )


def _nothing_open(setting: Setting, eater: BriefEater, slot: Slot, day: int) -> Reason:
    fits = _recipe_fits(setting, eater, slot, day)
    if not fits:
        return Reason("no-recipe", {})
    suiting = [recipe for recipe, fitting in fits if fitting.ok]
    if suiting:
        return Reason("stock-not-for-all", {"food": _stock_name(setting, suiting[0])})
    food, times = _most_in_the_way(setting, fits)
    code = "every-dish-needs" if times == len(fits) else "no-dish-open"
    return Reason(code, {"food": food, "dishes": len(fits), "times": times})


def _recipe_fits(setting: Setting, eater: BriefEater, slot: Slot, day: int) -> list[tuple[Recipe, Fit]]:
    """How every recipe of the brief for a meal suits an eater, those that no stock can be made for included."""
    foods, given = setting.brief.foods, eater.days[day]
    return [
        (recipe, fit(recipe, given, foods, appetite=eater.appetite, dislikes=eater.dislikes))
        for recipe in setting.brief.recipes
        if slot in recipe.slots and recipe.kind != "side"
    ]


def _most_in_the_way(setting: Setting, fits: list[tuple[Recipe, Fit]]) -> tuple[str, int]:
    """The name of the food that blocks most recipes, and how many; no name when nothing is blocked."""
    blocked = Counter(food for _, fitting in fits for food in fitting.blocked)
    if not blocked:
        return "", 0
    food, times = min(blocked.items(), key=lambda item: (-item[1], item[0]))
    return (setting.brief.foods[food].name if food in setting.brief.foods else food), times


def _few_dishes(setting: Setting) -> Iterator[Collision]:
    """Eaters who would need a main more often than the brief allows, since so few are open in the whole week."""
    slots = [slot for slot in MAIN_SLOTS if slot in setting.slots]
    meals, most = len(slots) * setting.brief.days, setting.brief.most_repeats
    for group in setting.groups:
        mains = {
            dish.recipe.main
            for key, dish in setting.dishes.items()
            if any(slot in dish.recipe.slots for slot in slots)
            and any(group.suits(key, day) for day in setting.days)
        }
        if not mains or len(mains) * most >= meals:
            continue
        food, _ = _most_in_the_way(setting, _recipe_fits(setting, group.head, slots[0], 0))
        names = ", ".join(eater.name for eater in group.eaters)
        facts: Facts = {"eaters": names, "dishes": len(mains), "meals": meals, "most": most}
        yield Collision(
            Reason("few-dishes-open", facts | {"food": food}) if food else Reason("few-dishes", facts),
            Reason("repeat-mains", {"eaters": names, "times": -(-meals // len(mains))}),
            A_REPEAT_MORE * (meals - len(mains) * most),
        )


def _stock_name(setting: Setting, recipe: Recipe) -> str:
    foods = setting.brief.foods
    if recipe.makes:
        return foods[recipe.makes].name if recipe.makes in foods else recipe.makes
    made = {other.makes for other in setting.brief.recipes if other.makes} - setting.makers.keys()
    return next((foods[line.food].name for line in recipe.ingredients if line.food in made), recipe.title)


def _no_pot(setting: Setting) -> Iterator[Collision]:
    """Eaters whose portion of whatever could be their meal is more than the largest pot holds."""
    for group in setting.groups:
        for eater in group.eaters:
            for slot in setting.slots:
                rooms = [
                    setting.dishes[key].pot_ml
                    for key in setting.for_slot(slot)
                    if any(group.suits(key, day) for day in setting.days)
                ]
                needed = min(rooms, default=0) * hundredths(eater.appetite) // 100
                if needed > setting.largest_pot_ml:
                    facts: Facts = {
                        "eater": eater.name,
                        "pot_ml": setting.largest_pot_ml,
                        "needed_ml": needed,
                    }
                    yield Collision(
                        Reason("pot-too-small", facts),
                        Reason("larger-pot", {"needed_ml": needed}),
                        A_MEAL_UNPLANNED,
                    )
                    return


def _no_time(setting: Setting) -> Iterator[Collision]:
    """Meals for which no pot could have been cooked, neither on the day nor earlier, in the minutes there are."""
    for day in setting.days:
        for slot in setting.slots:
            for group in setting.groups:
                needed = _least_minutes(setting, group, slot, day)
                if needed and needed > setting.minutes(day):
                    facts: Facts = {"on": setting.on(day).isoformat(), "slot": slot.value}
                    yield Collision(
                        Reason(
                            "too-little-time", facts | {"minutes": setting.minutes(day), "shortest": needed}
                        ),
                        Reason("more-minutes", {"on": facts["on"], "minutes": needed - setting.minutes(day)}),
                        A_MINUTE_SHORT * (needed - setting.minutes(day)),
                    )
                    break


def _least_minutes(setting: Setting, group: Group, slot: Slot, day: int) -> int:
    """The minutes of the shortest dish for a meal; 0 when one could come from an earlier day or none is open."""
    shortest = 0
    for key in setting.for_slot(slot):
        dish = setting.dishes[key]
        if not group.suits(key, day):
            continue
        for earlier in range(EVE if dish.recipe.makes else 0, day):
            if dish.source(earlier, day) and (
                earlier == EVE or dish.recipe.hands_on_min <= setting.minutes(earlier)
            ):
                return 0
        if dish.recipe.makes and dish.source(EVE, day):
            return 0
        shortest = min(shortest or dish.recipe.hands_on_min, dish.recipe.hands_on_min)
    return shortest


def _minutes(week: WeekModel, answer: Answer) -> Iterator[Collision]:
    for day, variable in week.short_minutes.items():
        short = answer.of(variable)
        if short:
            given = week.setting.minutes(day)
            facts: Facts = {"on": week.setting.on(day).isoformat(), "minutes": given, "needed": given + short}
            yield Collision(
                Reason("too-many-dishes-for-the-time", facts),
                Reason("more-minutes", {"on": facts["on"], "minutes": short}),
                A_MINUTE_SHORT * short,
            )


def _repeats(week: WeekModel, answer: Answer) -> Iterator[Collision]:
    for (seat, main), variable in week.extra_repeats.items():
        extra = answer.of(variable)
        if extra:
            most = week.setting.brief.most_repeats
            title = next(
                dish.recipe.title for dish in week.setting.dishes.values() if dish.recipe.main == main
            )
            facts: Facts = {"eaters": _names(week, seat, Slot.MIDDAY), "dish": title}
            yield Collision(
                Reason("too-few-mains", facts | {"most": most}),
                Reason("more-repeats", facts | {"times": most + extra}),
                A_REPEAT_MORE * extra,
            )


def _unplanned(week: WeekModel, answer: Answer) -> Iterator[Collision]:
    for (seat, (day, slot)), variable in week.unplanned.items():
        if answer.of(variable):
            facts: Facts = {
                "eater": _names(week, seat, slot),
                "slot": slot.value,
                "on": week.setting.on(day).isoformat(),
                "days": 1,
            }
            yield Collision(Reason("no-dish-left", facts), Reason("leave-meal-out", facts), A_MEAL_UNPLANNED)


def _names(week: WeekModel, seat: int, slot: Slot) -> str:
    groups = (week.setting.groups[number] for number in week.parties[slot][seat])
    return ", ".join(eater.name for group in groups for eater in group.eaters)
