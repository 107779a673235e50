"""Whether a week is out of the question at first sight, so that no time is lost looking for one.

Only what needs no combination is looked at; whoever passes may still find that there is no week.
"""

from plans.domain.planner.setting import EVE, MAIN_SLOTS, PER_HALF, Group, Setting
from plans.domain.vocabulary import Slot


def hopeless(setting: Setting) -> bool:
    """Whether some meal has no dish that suits and could be cooked by then, or the mains cannot reach."""
    return any(
        not any(_can_come(setting, group, key, day) for key in setting.for_slot(slot))
        for group in setting.groups
        for slot in setting.slots
        for day in setting.days
        if _eats(group, day, slot)
    ) or any(_too_few(setting, group) for group in setting.groups)


def _eats(group: Group, day: int, slot: Slot) -> bool:
    return any((day, slot) not in eater.away for eater in group.eaters)


def _can_come(setting: Setting, group: Group, key: str, day: int) -> bool:
    """Whether a dish suits a group on a day and some pot of it could be cooked by then."""
    dish = setting.dishes[key]
    if not group.suits(key, day) or PER_HALF * setting.most_halves(key) < group.share:
        return False
    return any(
        dish.source(cooked, day) and (cooked == EVE or dish.recipe.hands_on_min <= setting.minutes(cooked))
        for cooked in range(EVE if dish.recipe.makes else 0, day + 1)
    )


def _too_few(setting: Setting, group: Group) -> bool:
    """Whether all mains that suit a group, each as often as it may come, are fewer than its meals."""
    slots = [slot for slot in MAIN_SLOTS if slot in setting.slots]
    mains = {
        dish.recipe.main
        for key, dish in setting.dishes.items()
        if not set(slots).isdisjoint(dish.recipe.slots) and any(group.suits(key, day) for day in setting.days)
    }
    meals = sum(_eats(group, day, slot) for day in setting.days for slot in slots)
    return len(mains) * setting.brief.most_repeats < meals
