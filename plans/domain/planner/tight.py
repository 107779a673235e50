"""What was tight in a planned week, and what it cost: where a little less would have meant no week, or a dearer one.

What more of a limit would have saved is what the linear relaxation of the week in columns says, rounded: a guess, since
weeks come whole. Without a common table there is no such relaxation, and no figure.
"""

from collections import Counter
from collections.abc import Iterator

from plans.domain.brief import Reason, Week
from plans.domain.planner.columns import Duals, Row
from plans.domain.planner.setting import MAIN_SLOTS, Setting

FEW_MINUTES = 5
MORE_MINUTES = 15
"""What a longer day would have saved is said for so many minutes."""
WITH_SAVING = {"few-minutes-left": "few-minutes-left-saves", "repeats-at-most": "repeats-at-most-saves"}
"""The codes that also say what more would have saved."""


def tight(week: Week, setting: Setting, duals: Duals) -> tuple[Reason, ...]:
    """Days with hardly a minute left, meals for which one dish alone was open, mains that come as often as they may.

    ``duals`` say what a row of the week in columns is worth; none are known without a common table. ``saves`` is what
    more would have saved, in the measure of the parts of a week, where that can be told.
    """
    found = [*_minutes(week, setting), *_repeats(week, setting)]
    told = (_told(reason, row, more, duals) for reason, row, more in found)
    return (*told, *_one_dish(setting))


def _told(reason: Reason, row: Row, more: int, duals: Duals) -> Reason:
    saves = round(-more * duals.get(row, 0.0))
    if saves < 1:
        return reason
    return Reason(WITH_SAVING[reason.code], {**reason.facts, "more": more, "saves": saves})


def _minutes(week: Week, setting: Setting) -> Iterator[tuple[Reason, Row, int]]:
    for day in setting.days:
        on = setting.on(day)
        pots = [cook for cook in week.cooks if cook.on == on]
        used = sum(setting.dishes[cook.recipe].recipe.hands_on_min for cook in pots)
        left = setting.minutes(day) - used
        if pots and left <= FEW_MINUTES:
            facts = {"on": on.isoformat(), "minutes": setting.minutes(day), "left": left}
            yield Reason("few-minutes-left", facts), ("minutes", day), MORE_MINUTES


def _one_dish(setting: Setting) -> Iterator[Reason]:
    """Meals for which one main alone is open to an eater; one reason for all days."""
    found: dict[tuple[str, str, str], list[int]] = {}
    for group in setting.groups:
        for slot in setting.slots:
            for day in setting.days:
                mains = {
                    setting.dishes[key].recipe.main: setting.dishes[key].recipe.title
                    for key in setting.for_slot(slot)
                    if group.suits(key, day)
                }
                if len(mains) == 1 and group.at((day, slot)):
                    names = ", ".join(eater.name for eater in group.eaters)
                    found.setdefault((names, slot.value, *mains.values()), []).append(day)
    for (eaters, slot, dish), days in found.items():
        on = setting.on(days[0]).isoformat()
        yield Reason(
            "one-dish-open", {"eaters": eaters, "slot": slot, "dish": dish, "on": on, "days": len(days)}
        )


def _repeats(week: Week, setting: Setting) -> Iterator[tuple[Reason, Row, int]]:
    recipes = {cook.key: setting.dishes[cook.recipe].recipe for cook in week.cooks}
    most = setting.brief.most_repeats
    eaten = Counter(
        (plate.eater, recipes[plate.cook].main) for plate in week.plates if plate.slot in MAIN_SLOTS
    )
    titles = {recipe.main: recipe.title for recipe in recipes.values()}
    for main in sorted({main for (_, main), times in eaten.items() if times >= most}):
        yield Reason("repeats-at-most", {"dish": titles[main], "most": most}), ("repeats", main, 0), 1
