"""Pots on burners: the order and the times with the earliest finish, found exactly.

A pot takes a burner and the pot itself for all its time, and the cook's two hands for its first minutes. Times are
whole minutes from the beginning of the day's cooking. Pots of several batches may be scheduled together.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Job:
    """One filling of a pot: ``elapsed_min`` on the burner, ``hands_on_min`` of them, at the beginning, with the cook.

    ``pot`` is the vessel; two jobs with the same one follow each other.
    """

    key: str
    pot: str
    elapsed_min: int
    hands_on_min: int


@dataclass(frozen=True, slots=True)
class Turn:
    """A job in its place: ``burner`` counts from 1, ``turn`` is 1 where the pot and the burner were both unused."""

    job: Job
    burner: int
    start_min: int
    end_min: int
    turn: int


def earliest_finish(jobs: Iterable[Job], burners: int) -> tuple[Turn, ...]:
    """The turns, in the order of their start, that finish earliest; the same jobs always get the same turns.

    Every order of jobs is tried, each job as early as it can, save those that cannot beat the best so far. That is
    exact: starting a job later than it can never ends anything sooner. Meant for a day's handful of pots.

    Raises ValueError without a burner, for two jobs of one key, or when a job is longer with the cook than in all.
    """
    waiting = sorted(jobs)
    keys = {job.key for job in waiting}
    if burners < 1 or len(keys) < len(waiting):
        raise ValueError("a schedule takes a burner, and a key for each job")
    if any(not 0 <= job.hands_on_min <= job.elapsed_min for job in waiting):
        raise ValueError("a job takes as long as its work at least")
    return _Search(burners, _at_least(waiting, burners)).best(waiting)


def _at_least(jobs: list[Job], burners: int) -> int:
    """No schedule finishes before this: burners, the cook and each pot can do one thing at a time."""
    if not jobs:
        return 0
    by_pot: Counter[str] = Counter()
    for job in jobs:
        by_pot[job.pot] += job.elapsed_min
    by_burner = -(-sum(job.elapsed_min for job in jobs) // burners)
    by_cook = sum(job.hands_on_min for job in jobs) + min(job.elapsed_min - job.hands_on_min for job in jobs)
    return max(by_burner, by_cook, *by_pot.values())


def _shape(job: Job, waiting: list[Job], placed: list[Turn]) -> tuple:
    """What is the same for two jobs of which only one need be tried next: their times, and those of their pots."""
    same_pot = sorted((each.elapsed_min, each.hands_on_min) for each in waiting if each.pot == job.pot)
    return job.elapsed_min, job.hands_on_min, _pot_free(job, placed), tuple(same_pot)


def _pot_free(job: Job, placed: list[Turn]) -> int:
    return max((turn.end_min for turn in placed if turn.job.pot == job.pot), default=0)


class _Search:
    """Depth first over the orders of jobs, with the best turns so far."""

    def __init__(self, burners: int, at_least: int) -> None:
        self._burners = burners
        self._at_least = at_least
        self._finish: int | None = None
        self._turns: tuple[Turn, ...] = ()

    def best(self, jobs: list[Job]) -> tuple[Turn, ...]:
        self._try(jobs, [])
        return self._turns

    def _try(self, waiting: list[Job], placed: list[Turn]) -> None:
        if self._finish == self._at_least:
            return
        finish = max((turn.end_min for turn in placed), default=0)
        if self._finish is not None and finish >= self._finish:
            return
        if not waiting:
            self._finish, self._turns = finish, tuple(placed)
            return
        alike = set()
        for index, job in enumerate(waiting):
            shape = _shape(job, waiting, placed)
            if shape not in alike:
                alike.add(shape)
                self._try(waiting[:index] + waiting[index + 1 :], [*placed, self._next(job, placed)])

    def _next(self, job: Job, placed: list[Turn]) -> Turn:
        """The job as early as the cook, its pot and the burner that is free first allow."""
        cook_free = max((turn.start_min + turn.job.hands_on_min for turn in placed), default=0)
        last_on = {turn.burner: turn for turn in placed}
        free_at = {
            burner: last_on[burner].end_min if burner in last_on else 0
            for burner in range(1, self._burners + 1)
        }
        burner = min(free_at, key=lambda each: (free_at[each], each))
        start = max(cook_free, _pot_free(job, placed), free_at[burner])
        before = [each.turn for each in placed if each.job.pot == job.pot or each.burner == burner]
        turn = 1 + max(before, default=0)
        return Turn(job, burner, start, start + job.elapsed_min, turn)
