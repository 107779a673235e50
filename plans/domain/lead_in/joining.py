"""Whose tasks they are: what an eater is kept out of falls away, what several share is done once.

A task is the same for several eaters when its key and its title are the same, since protocols may use one key for
different work. It is done for the first of them, and a second time only where what it makes would not keep for both.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from plans.domain.book import LeadInTask
from plans.domain.brief import Reason
from plans.domain.lead_in.asking import Ask, LeftOut, Starter

DAY_HOURS = 24
NO_FREEZER = Reason("no-freezer", {})


@dataclass(frozen=True, slots=True)
class Work:
    """One task to be done, for the eaters of ``whom``. ``before`` are the names of tasks that come first.

    ``first`` and ``last`` are ordinals: before ``first`` what it makes would not keep until it is needed, after
    ``last`` it would not be ready. ``needed`` is the day it is needed on.
    """

    name: str
    task: LeadInTask
    whom: tuple[Starter, ...]
    best: int
    first: int
    last: int
    needed: int
    before: tuple[str, ...] = ()
    not_for: tuple[tuple[str, Reason], ...] = ()


def wait_days(task: LeadInTask) -> int:
    """The shortest wait as whole days: what is not ready the same day is ready the next."""
    return -(-task.wait_least_h // DAY_HOURS)


def longest_wait_days(task: LeadInTask) -> int:
    """The longest wait in whole days, never less than the shortest."""
    most = task.wait_least_h if task.wait_most_h is None else task.wait_most_h
    return max(wait_days(task), most // DAY_HOURS)


def keep_days(task: LeadInTask, freezer: bool) -> int | None:
    """How long what a task makes keeps once it is ready; None where nobody said."""
    kept = [task.keeps_days, task.freezer_days if freezer else None]
    return max((days for days in kept if days is not None), default=None)


def uses(task: LeadInTask, before: LeadInTask) -> bool:
    """Whether a task goes on with what another one made."""
    return not set(before.makes).isdisjoint((*task.needs, *task.makes))


def name_of(task: LeadInTask) -> str:
    """What ticks call a task."""
    return f"{task.key}: {task.title}"


def joined(ask: Ask) -> tuple[list[Work], list[LeftOut]]:
    """The work of the household, and what was left out for everybody."""
    wanted: dict[str, list[tuple[Starter, LeadInTask]]] = {}
    left_out: dict[str, LeftOut] = {}
    for starter in sorted(ask.starters, key=lambda one: (one.day_one, one.name, one.key)):
        kept, dropped = _for_one(starter, ask)
        for task in kept:
            wanted.setdefault(name_of(task), []).append((starter, task))
        for lost in dropped:
            held = left_out.get(lost.name)
            left_out[lost.name] = lost if held is None else replace(held, why=held.why + lost.why)
    work = [one for name, pairs in wanted.items() for one in _merged(name, pairs, ask)]
    work = [
        replace(one, not_for=tuple((who, reason) for who, _food, reason in left_out[name_of(one.task)].why))
        if name_of(one.task) in left_out
        else one
        for one in work
    ]
    return _linked(work), [lost for name, lost in left_out.items() if name not in wanted]


def _for_one(starter: Starter, ask: Ask) -> tuple[list[LeadInTask], list[LeftOut]]:
    """The tasks of one eater, and those that fall away with what they cannot do without."""
    dropped: dict[str, LeftOut] = {}
    for task in starter.tasks:
        name = name_of(task)
        foods = dict.fromkeys(food for food in (task.food, *task.makes, *task.needs) if food)
        barred = next((food for food in foods if food in starter.kept_out), None)
        if barred is not None:
            dropped[task.key] = LeftOut(name, task.title, ((starter.name, barred, starter.kept_out[barred]),))
        elif task.kind == "freeze" and not ask.freezer:
            dropped[task.key] = LeftOut(name, task.title, (("", "", NO_FREEZER),))
    by_key = {task.key: task for task in starter.tasks}
    for _round in starter.tasks:
        found = {
            task.key: LeftOut(name_of(task), task.title, without=by_key[key].title)
            for task in starter.tasks
            if task.key not in dropped
            for key in task.after
            if key in dropped and key in by_key and uses(task, by_key[key])
        }
        if not found:
            break
        dropped |= found
    return [task for task in starter.tasks if task.key not in dropped], list(dropped.values())


def needed_on(task: LeadInTask, starter: Starter) -> date:
    """The day a task is needed for: day one, or the day the first of the foods it makes may open, if that is later."""
    opens = [starter.opens[food] for food in task.makes if food in starter.opens]
    return max(starter.day_one, min(opens, default=starter.day_one))


def _merged(name: str, pairs: list[tuple[Starter, LeadInTask]], ask: Ask) -> Iterable[Work]:
    """One work for as many of the eaters as one time serves, in the order of their day ones."""
    groups: list[Work] = []
    for starter, task in pairs:
        one = _work(name, starter, task, ask)
        into = next(
            (at for at, held in enumerate(groups) if one.first <= held.last and held.first <= one.last), None
        )
        if into is None:
            groups.append(one if not groups else replace(one, name=f"{name}; {starter.day_one.isoformat()}"))
            continue
        held = groups[into]
        groups[into] = replace(
            held,
            whom=(*held.whom, starter),
            best=min(held.best, one.best),
            first=max(held.first, one.first),
            last=min(held.last, one.last),
            needed=min(held.needed, one.needed),
        )
    return groups


def _work(name: str, starter: Starter, task: LeadInTask, ask: Ask) -> Work:
    needed = needed_on(task, starter).toordinal()
    last = needed - max(task.at_least_days, wait_days(task))
    keeps = keep_days(task, ask.freezer)
    goes_on = any(task.key in other.after and uses(other, task) for other in starter.tasks)
    held = task.makes and keeps is not None and not goes_on
    first = needed - longest_wait_days(task) - keeps if held else date.min.toordinal()
    best = starter.day_one.toordinal() - task.days_before
    return Work(name, task, (starter,), best=best, first=min(first, last), last=last, needed=needed)


def _linked(work: list[Work]) -> list[Work]:
    """The work with the names of what comes before it for any of its eaters."""
    by_whom: Mapping[tuple[str, str], str] = {
        (one.task.key, starter.key): one.name for one in work for starter in one.whom
    }
    return [
        replace(
            one,
            before=tuple(
                dict.fromkeys(
                    by_whom[key, starter.key]
                    for starter in one.whom
                    for key in one.task.after
                    if (key, starter.key) in by_whom
                )
            ),
        )
        for one in work
    ]
