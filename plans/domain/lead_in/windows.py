"""When each task can be done: a forward and a backward pass over tasks and the lags between them.

This is the critical path method (Kelley and Walker, Critical-path planning and scheduling, 1959, from memory): earliest
days run forward from today, latest days backward from when things are needed, and what lies between is slack. Lags may
have a most as well as a least, since what has waited too long no longer keeps; earliest days are then longest paths and
latest days shortest ones, found by going round until nothing moves (minimal and maximal time lags, common practice in
project scheduling). Days are ordinals.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Job:
    """Work of ``minutes`` on one day from ``first`` to ``last``, for preference on ``best``."""

    key: str
    minutes: int
    best: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Lag:
    """``after`` begins at least ``least`` days after ``before``, and no more than ``most``."""

    before: str
    after: str
    least: int = 0
    most: int | None = None


Windows = Mapping[str, tuple[int, int]]
"""The earliest and the latest day of each job, by key. Where the earliest is the later one there is no such day."""


def agree(lags: Sequence[Lag]) -> bool:
    """Whether there are days at all that keep these lags, windows aside."""
    keys = {key for lag in lags for key in (lag.before, lag.after)}
    earliest = dict.fromkeys(keys, 0)
    for _round in range(len(keys) + 1):
        before = dict(earliest)
        for lag in lags:
            earliest[lag.after] = max(earliest[lag.after], earliest[lag.before] + lag.least)
            if lag.most is not None:
                earliest[lag.before] = max(earliest[lag.before], earliest[lag.after] - lag.most)
        if before == earliest:
            return True
    return False


def windows(jobs: Iterable[Job], lags: Iterable[Lag]) -> Windows:
    """The earliest and latest day of each job as the others let it be.

    Lags that do not ``agree`` have no answer: the days are then those after going round once for each job.
    """
    jobs, lags = list(jobs), list(lags)
    earliest = {job.key: job.first for job in jobs}
    latest = {job.key: job.last for job in jobs}
    for _round in jobs:
        before = dict(earliest), dict(latest)
        for lag in lags:
            one, two = lag.before, lag.after
            earliest[two] = max(earliest[two], earliest[one] + lag.least)
            latest[one] = min(latest[one], latest[two] - lag.least)
            if lag.most is not None:
                earliest[one] = max(earliest[one], earliest[two] - lag.most)
                latest[two] = min(latest[two], latest[one] + lag.most)
        if before == (earliest, latest):
            break
    return {job.key: (earliest[job.key], latest[job.key]) for job in jobs}


def hopeless(found: Windows) -> frozenset[str]:
    """The jobs no day is soon enough for."""
    return frozenset(key for key, (earliest, latest) in found.items() if earliest > latest)


def as_soon_as_can_be(jobs: Iterable[Job], found: Windows) -> list[Job]:
    """The jobs with the last days of hopeless ones put off to their earliest, and of the others as the windows say.

    The earliest days then keep every lag, so there is always an answer again.
    """
    return [replace(job, last=max(found[job.key])) for job in jobs]
