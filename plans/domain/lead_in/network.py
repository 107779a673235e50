"""The work of a household as jobs with lags, what is settled already taken into account."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from plans.domain.lead_in.asking import Ask, Tick
from plans.domain.lead_in.joining import Work, keep_days, longest_wait_days, uses, wait_days
from plans.domain.lead_in.packing import Room
from plans.domain.lead_in.trips import SHOP, bought, fridge_days
from plans.domain.lead_in.windows import Job, Lag, Windows, agree, windows


@dataclass(frozen=True, slots=True)
class Network:
    """The jobs with their lags. Jobs of ``fixed`` are done and lie on the day they were done; ``again`` were done for
    a result that will not keep until it is needed, so that they are to be done once more."""

    work: Mapping[str, Work]
    jobs: tuple[Job, ...]
    lags: tuple[Lag, ...]
    fixed: frozenset[str]
    again: Mapping[str, Tick]
    windows: Windows

    def is_open(self, name: str) -> bool:
        """Whether the job is still to be done."""
        return name not in self.fixed


def network(ask: Ask, work: Sequence[Work], later: int = 0) -> Network:
    """The network with every day one ``later`` by so many days."""
    by_name = {one.name: one for one in work}
    done = {name: tick for name, tick in ask.ticks.items() if name in by_name and tick.needed}
    gone = {name for name, tick in ask.ticks.items() if name in by_name and not tick.needed}
    gone |= {before for name in done for before in _all_before(name, by_name)} - set(done)
    left = {name: one for name, one in by_name.items() if name not in gone}
    again = {
        name: done[name] for name in done if name in left and _is_stale(name, done[name], left, ask, later)
    }
    lags = tuple(
        _lag(left[key], one, left, ask) for one in left.values() for key in one.before if key in left
    )
    if not agree(lags):
        # A protocol that lets something wait for longer than it keeps: the order still holds.
        lags = tuple(replace(lag, most=None) for lag in lags)
    most = max(ask.free_min or (0,))
    while True:
        fixed = {name: done[name] for name in done if name in left and name not in again}
        jobs = tuple(
            _fixed(one.name, fixed[one.name]) if one.name in fixed else _job(one, ask, later, most)
            for one in left.values()
        )
        found = windows(jobs, lags)
        spoilt = {name for name, tick in fixed.items() if found[name][0] > tick.on.toordinal()}
        if not spoilt:
            return Network(left, jobs, lags, frozenset(fixed), again, found)
        again |= {name: done[name] for name in spoilt}


def room_of(ask: Ask, reserved: Mapping[int, int] | None = None) -> Room:
    """The free minutes of each day, by its ordinal, less what is reserved of it; a household that gave none at all has
    no limit."""
    free, taken = ask.free_min, reserved or {}
    if free is None or not any(free):
        return lambda day: None
    return lambda day: max(0, free[(day - 1) % 7] - taken.get(day, 0))


def _job(one: Work, ask: Ask, later: int, most: int) -> Job:
    """Work longer than any day has minutes counts as a full day: it cannot be split, and its day is overfull."""
    minutes = min(one.task.hands_on_min, most) if most else one.task.hands_on_min
    first = max(ask.today.toordinal(), one.first + later)
    return Job(one.name, minutes, one.best + later, first, one.last + later)


def _fixed(name: str, tick: Tick) -> Job:
    on = tick.on.toordinal()
    return Job(name, 0, on, on, on)


def _lag(before: Work, after: Work, work: Mapping[str, Work], ask: Ask) -> Lag:
    """The wait between two tasks; a most only where the second goes on with what the first made or bought."""
    first, second = before.task, after.task
    least = wait_days(first)
    most: int | None = None
    if first.kind == SHOP:
        others = [work[key].task for key in after.before if key in work]
        kept = [fridge_days(food, ask.foods) for food in bought(second, others, frozenset())]
        most = min((days for days in kept if days is not None), default=None)
    elif uses(second, first):
        keeps = keep_days(first, ask.freezer)
        if first.wait_most_h is not None or keeps is not None:
            most = longest_wait_days(first) + (keeps or 0)
    return Lag(before.name, after.name, least, None if most is None else max(least, most))


def _is_stale(name: str, tick: Tick, left: Mapping[str, Work], ask: Ask, later: int) -> bool:
    """Whether what a done task made, and nothing goes on with, is over before it is needed."""
    one = left[name]
    keeps = keep_days(one.task, ask.freezer)
    if not one.task.makes or keeps is None:
        return False
    if any(name in other.before and uses(other.task, one.task) for other in left.values()):
        return False
    return tick.on.toordinal() + longest_wait_days(one.task) + keeps < one.needed + later


def _all_before(name: str, work: Mapping[str, Work]) -> set[str]:
    """What must have been done for a task to be done, however far back, since it goes on with it."""
    found: set[str] = set()
    waiting = [name]
    while waiting:
        one = work[waiting.pop()]
        for key in one.before:
            if key not in found and key in work and uses(one.task, work[key].task):
                found.add(key)
                waiting.append(key)
    return found


def put_off(jobs: Sequence[Job], days: int, fixed: frozenset[str]) -> list[Job]:
    """The jobs with so many days more to be done in."""
    return [job if job.key in fixed else replace(job, last=job.last + days) for job in jobs]
