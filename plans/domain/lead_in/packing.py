"""A day for every task, so that the work of a day fits the free minutes: a short search, then an exact one.

Tasks are placed one after another, those with predecessors after them, the one that must be done soonest first. Each
tries the days of its window from its best day outwards, the earlier of two equally near days first, and where it finds
no room the search goes back. Most plans are found so at once. After ``MOST_STEPS`` places a solver takes over, which
finds days if there are any or proves that there are none. What speaks against a fit before any search is work that must
lie between two days and is more than their free minutes.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from plans.domain.lead_in.windows import Job, Lag, Windows, hopeless, windows

MOST_STEPS = 400
Room = Callable[[int], int | None]
"""The free minutes of a day; None where there is no limit."""


@dataclass(frozen=True, slots=True)
class Packed:
    """A day for each job, or None; ``known`` is False when there may be days that were not found."""

    days: Mapping[str, int] | None
    known: bool = True


def pack(jobs: Sequence[Job], lags: Sequence[Lag], room: Room, *, nearest: bool = True) -> Packed:
    """Days for all jobs that keep their windows, their lags and the free minutes, or that there are none.

    Without ``nearest`` it does not matter how far from their best days.
    """
    found = windows(jobs, lags)
    if hopeless(found) or not _could_fit(jobs, found, room):
        return Packed(None)
    search = _Search(jobs, lags, room, found)
    if search.place(0):
        return Packed(search.days)
    if search.steps < MOST_STEPS:
        return Packed(None)
    # Loaded here, since most pages never need the solver.
    from plans.domain.lead_in.exact import exact_days

    return Packed(*exact_days(jobs, lags, room, found, nearest=nearest))


def _could_fit(jobs: Sequence[Job], found: Windows, room: Room) -> bool:
    """False when between some two days more work must be done than there are free minutes."""
    for first in {found[job.key][0] for job in jobs if job.minutes}:
        inside = sorted(
            (found[job.key][1], job.minutes) for job in jobs if job.minutes and found[job.key][0] >= first
        )
        work, free, day = 0, 0, first
        for last, minutes in inside:
            while day <= last:
                today = room(day)
                if today is None:
                    return True
                free, day = free + today, day + 1
            work += minutes
            if work > free:
                return False
    return True


@dataclass
class _Search:
    jobs: Sequence[Job]
    lags: Sequence[Lag]
    room: Room
    found: Windows
    days: dict[str, int] = field(default_factory=dict)
    work: dict[int, int] = field(default_factory=dict)
    steps: int = 0

    def __post_init__(self) -> None:
        self.order = _in_order(self.jobs, self.lags, self.found)
        self.before: dict[str, list[Lag]] = {job.key: [] for job in self.jobs}
        for lag in self.lags:
            self.before[lag.after].append(lag)

    def place(self, number: int) -> bool:
        """Place the jobs from this one on; the jobs before it in the order have their days."""
        if number == len(self.order):
            return True
        job = self.order[number]
        first, last = self.found[job.key]
        for lag in self.before[job.key]:
            begun = self.days[lag.before]
            first = max(first, begun + lag.least)
            last = last if lag.most is None else min(last, begun + lag.most)
        for day in sorted(range(first, last + 1), key=lambda day: (abs(day - job.best), day)):
            if self.steps >= MOST_STEPS:
                return False
            self.steps += 1
            if not self._has_room(day, job.minutes):
                continue
            self.days[job.key] = day
            self.work[day] = self.work.get(day, 0) + job.minutes
            if self.place(number + 1):
                return True
            self.work[day] -= job.minutes
            del self.days[job.key]
        return False

    def _has_room(self, day: int, minutes: int) -> bool:
        free = self.room(day)
        return not minutes or free is None or self.work.get(day, 0) + minutes <= free


def _in_order(jobs: Sequence[Job], lags: Sequence[Lag], found: Windows) -> list[Job]:
    """Predecessors first; of those that could come next the one that must be done soonest, the longest work first."""
    waits = {job.key: {lag.before for lag in lags if lag.after == job.key} for job in jobs}
    left = sorted(jobs, key=lambda job: (found[job.key][1], -job.minutes, job.key))
    order: list[Job] = []
    while left:
        ready = len(list(takewhile(lambda job: waits[job.key], left)))
        job = left.pop(ready if ready < len(left) else 0)
        order.append(job)
        for behind in waits.values():
            behind.discard(job.key)
    return order
