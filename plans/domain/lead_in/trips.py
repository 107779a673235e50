"""Going to the shop: in as few trips as what is bought keeps for.

A food that a task needs is bought no earlier than it keeps in the refrigerator before the day of the task. Foods whose
spans of days share a day can share a trip; ending a trip at the earliest last day of what is left, and taking all that
can still be had then, needs the fewest trips there can be (covering intervals with points, textbook greedy).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from plans.domain.book import Food, LeadInTask
from plans.domain.lead_in.asking import Task, Tick

TRIP_MIN = 30
"""Minutes of a trip nobody has put in the protocol (common practice, no source)."""
SHOP = "shop"
TRIP = "trip: "
MOST_NAME = 300


@dataclass(frozen=True, slots=True)
class Been:
    """Going to the shop that is over with: on a day, for some foods or, with None, for whatever was on the list.

    Without a day the foods are not needed from a shop at all.
    """

    on: date | None
    foods: frozenset[str] | None = None

    def brought(self, food: str, since: date) -> bool:
        """Whether it brought a food no longer ago than it keeps."""
        return (self.foods is None or food in self.foods) and (self.on is None or self.on >= since)


def been_by(ticks: Mapping[str, Tick]) -> tuple[Been, ...]:
    """The trips among ticks: their names say what was bought."""
    return tuple(
        Been(tick.on if tick.needed else None, frozenset(name.removeprefix(TRIP).split(", ")))
        for name, tick in ticks.items()
        if name.startswith(TRIP)
    )


@dataclass(frozen=True, slots=True)
class Need:
    """A food that has to be bought between two days for a task."""

    food: str
    first: date
    last: date
    task: str


def bought(task: LeadInTask, before: Iterable[LeadInTask], in_house: frozenset[str]) -> tuple[str, ...]:
    """What of a task's needs has to be bought: what no task before it makes and the house does not have."""
    made = {food for one in before for food in one.makes}
    return tuple(food for food in task.needs if food not in made and food not in in_house)


def fridge_days(food: str, foods: Mapping[str, Food]) -> int | None:
    """How long a food keeps in the refrigerator once it is bought; None where nobody said."""
    return foods[food].fridge_days if food in foods else None


def needs_of(
    task: Task, foods: Mapping[str, Food], today: date, been: Iterable[Been] = ()
) -> tuple[Need, ...]:
    """The span of days each food of a placed task can be bought in; what was brought already and keeps is not one."""
    found = []
    for food in task.needs:
        keeps = fridge_days(food, foods)
        since = date.min if keeps is None else task.on - timedelta(days=keeps)
        if not any(trip.brought(food, since) for trip in been):
            found.append(Need(food, max(today, since), max(task.on, today), task.name))
    return tuple(found)


def more_trips(needs: Iterable[Need]) -> list[list[Need]]:
    """The fewest groups of needs such that each group can be bought on one day."""
    groups: list[list[Need]] = []
    for need in sorted(needs, key=lambda one: (one.last, one.first, one.food, one.task)):
        if groups and need.first <= groups[-1][0].last:
            groups[-1].append(need)
        else:
            groups.append([need])
    return groups


def with_trips(
    tasks: Sequence[Task],
    foods: Mapping[str, Food],
    *,
    today: date,
    room: Mapping[date, int] | None,
    been: Sequence[Been] = (),
) -> tuple[Task, ...]:
    """The tasks with what to buy on each trip, and with the trips that are missing.

    ``tasks`` need only what has to be bought. ``room`` are the minutes left on each day; None: nobody said. ``been``
    are trips that are over with.
    """
    shops = sorted((task for task in tasks if task.kind == SHOP), key=lambda task: (task.on, task.name))
    buys: dict[str, list[str]] = {task.name: [] for task in shops}
    missing: list[Need] = []
    for task in tasks:
        for need in needs_of(task, foods, today, been):
            on_the_way = [shop for shop in shops if need.first <= shop.on <= need.last]
            if on_the_way:
                buys[on_the_way[-1].name].append(need.food)
            else:
                missing.append(need)
    told = [
        replace(task, buys=tuple(dict.fromkeys(buys[task.name]))) if task.kind == SHOP else task
        for task in tasks
    ]
    return (*told, *_trips(more_trips(missing), dict(room) if room is not None else None, tasks))


def _trips(
    groups: Iterable[list[Need]], room: dict[date, int] | None, tasks: Sequence[Task]
) -> Iterable[Task]:
    whom = {task.name: task.eaters for task in tasks}
    for group in groups:
        first, last = max(need.first for need in group), min(need.last for need in group)
        days = [first + timedelta(days=day) for day in range((last - first).days + 1)]
        on = last
        if room is not None:
            on = max(days, key=lambda day: (min(room.get(day, 0), TRIP_MIN), day))
            room[on] = room.get(on, 0) - TRIP_MIN
        buys = tuple(sorted({need.food for need in group}))
        key = f"{TRIP}{', '.join(buys)}"[:MOST_NAME]
        yield Task(
            name=key,
            key=key,
            title="",
            kind=SHOP,
            on=on,
            earliest=first,
            latest=last,
            hands_on_min=TRIP_MIN,
            eaters=tuple(dict.fromkeys(one for need in group for one in whom[need.task])),
            buys=buys,
        )
