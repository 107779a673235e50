"""The lead-in: dated work before day one, counted back from it.

A task is best begun ``days_before`` day one and must be begun ``at_least_days`` before it, since what it makes needs
that long. When day one is near, tasks are drawn together towards today; those that cannot be done in time are late, and
the timetable says which day one would be honest. All spans are whole days, all dates the household's own.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from plans.domain.book import LeadInTask


@dataclass(frozen=True, slots=True)
class Task:
    """One dated task. ``on`` is the day to do it, ``latest`` the last day that is soon enough; late: it has passed."""

    key: str
    title: str
    kind: str
    on: date
    latest: date
    late: bool
    hands_on_min: int = 0
    food: str = ""
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Timetable:
    """The tasks before ``day_one`` in the order to do them. ``honest_day_one`` is the first day nothing is late for."""

    day_one: date
    tasks: tuple[Task, ...]
    honest_day_one: date

    @property
    def late(self) -> tuple[Task, ...]:
        """The tasks that cannot be done in time any more."""
        return tuple(task for task in self.tasks if task.late)


def timetable(lead_in: Iterable[LeadInTask], *, day_one: date, today: date) -> Timetable:
    """Date the tasks back from ``day_one``, none before ``today``. A day one that has come asks for nothing more."""
    asked = list(lead_in)
    tasks = sorted(
        (_dated(task, day_one, today) for task in asked), key=lambda task: (task.on, task.latest, task.key)
    )
    honest = max((today + timedelta(days=task.at_least_days) for task in asked), default=today)
    return Timetable(day_one, tuple(tasks), max(day_one, honest))


def joined(timetables: Iterable[Timetable]) -> tuple[Task, ...]:
    """The tasks of several eaters in one list: a task that is the same for several is done once, for the first.

    Protocols may use one key for different work, so tasks are the same when their titles are, too.
    """
    found: dict[tuple[str, str], Task] = {}
    for task in sorted((task for plan in timetables for task in plan.tasks), key=lambda task: task.on):
        found.setdefault((task.key, task.title), task)
    return tuple(found.values())


def _dated(task: LeadInTask, day_one: date, today: date) -> Task:
    best = day_one - timedelta(days=task.days_before)
    latest = day_one - timedelta(days=task.at_least_days)
    return Task(
        key=task.key,
        title=task.title,
        kind=task.kind,
        on=max(best, today),
        latest=latest,
        late=latest < today,
        hands_on_min=task.hands_on_min,
        food=task.food,
        note=task.note,
        source=task.source,
    )
