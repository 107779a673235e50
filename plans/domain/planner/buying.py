"""What a relaxed model buys so that a revised week exists at all, and what to give up for it.

Minutes, repeats and meals that a model buys are as many clashes as requests it gives up: each with what collides, what
would help and its price.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ortools.sat.python.cp_model import LinearExpr

from plans.domain.brief import NoWeek, Reason
from plans.domain.planner.goals import A_MEAL_UNPLANNED, A_MINUTE_SHORT, A_REPEAT_MORE
from plans.domain.planner.model import Meal, WeekModel
from plans.domain.planner.solving import Answer

Facts = dict[str, str | int]


@dataclass(frozen=True, slots=True)
class Clash:
    """One thing that cannot be, and what giving it up would cost."""

    conflict: Reason
    relaxation: Reason
    price: int


def no_week(clashes: Iterable[Clash], *more: Reason) -> NoWeek:
    """The answer that there is no week, with what to relax, cheapest first, each named once."""
    found = list(clashes)
    cheapest = sorted(found, key=lambda clash: clash.price)
    relaxations = {repr(clash.relaxation): clash.relaxation for clash in cheapest}
    conflicts = {repr(clash.conflict): clash.conflict for clash in found}
    return NoWeek((*conflicts.values(), *more), tuple(relaxations.values()))


def price_of_relaxing(week: WeekModel) -> LinearExpr:
    """What a relaxed model pays for the rules it breaks."""
    return LinearExpr.sum(
        [
            *(A_MINUTE_SHORT * short for short in week.short_minutes.values()),
            *(A_REPEAT_MORE * extra for extra in week.extra_repeats.values()),
            *(
                A_MEAL_UNPLANNED * len(_eaters(week, seat, meal)) * skipped
                for (seat, meal), skipped in week.unplanned.items()
            ),
        ]
    )


def bought(week: WeekModel, answer: Answer) -> list[Clash]:
    """What a relaxed model had to buy."""
    return [*_minutes(week, answer), *_repeats(week, answer), *_meals(week, answer)]


def _minutes(week: WeekModel, answer: Answer) -> Iterator[Clash]:
    for day, variable in week.short_minutes.items():
        short = answer.of(variable)
        if short:
            on = week.setting.on(day).isoformat()
            yield Clash(
                Reason("minutes-given", {"on": on, "minutes": week.setting.minutes(day)}),
                Reason("more-minutes", {"on": on, "minutes": short}),
                A_MINUTE_SHORT * short,
            )


def _repeats(week: WeekModel, answer: Answer) -> Iterator[Clash]:
    most = week.setting.brief.most_repeats
    extra = max((answer.of(variable) for variable in week.extra_repeats.values()), default=0)
    if extra:
        yield Clash(
            Reason("most-repeats", {"most": most}),
            Reason("repeat-mains", {"times": most + extra}),
            A_REPEAT_MORE * extra,
        )


def _meals(week: WeekModel, answer: Answer) -> Iterator[Clash]:
    for (seat, meal), variable in week.unplanned.items():
        if answer.of(variable):
            eaters = _eaters(week, seat, meal)
            facts: Facts = {
                "eater": ", ".join(eaters),
                "slot": meal[1].value,
                "on": week.setting.on(meal[0]).isoformat(),
                "days": 1,
            }
            price = A_MEAL_UNPLANNED * len(eaters)
            yield Clash(Reason("no-dish-left", facts), Reason("leave-meal-out", facts), price)


def _eaters(week: WeekModel, seat: int, meal: Meal) -> list[str]:
    groups = (week.setting.groups[number] for number in week.parties[meal[1]][seat])
    return [eater.name for group in groups for eater in group.eaters]
