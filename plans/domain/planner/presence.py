"""Who is at the table when: the meals to plan, and whose presence takes in that of others."""

from collections.abc import Iterable

from plans.domain.brief import Meal
from plans.domain.planner.setting import Setting


def planned_meals(setting: Setting) -> list[Meal]:
    """The meals somebody is at, slot by slot."""
    meals = ((day, slot) for slot in setting.slots for day in setting.days)
    return [meal for meal in meals if setting.present(meal)]


def widest(setting: Setting, groups: Iterable[int]) -> list[frozenset[Meal]]:
    """The meals that groups are at, without those of a group that is nowhere without another one.

    What holds of everyone, such as the most repeats of a main, holds when it holds of these.
    """
    meals = planned_meals(setting)
    at = dict.fromkeys(
        frozenset(meal for meal in meals if setting.groups[number].at(meal)) for number in groups
    )
    return [one for one in at if not any(one < other for other in at)]
