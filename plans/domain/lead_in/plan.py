"""The lead-in of a household as a plan: the one answer every page, sheet, mail and calendar goes by.

Days are found by ``packing``. Where the days and minutes do not reach, deadlines are put off, the fewest days that help
of ``PUT_OFF``, and the tasks that lie beyond their latest day are late. Where no putting off helps, since what belongs
together keeps too short a time for such full days, days are overfull, and say so. The honest day one is found by
planning again for one day later after another until all fits and nothing is late.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from plans.domain.lead_in.asking import Ask, Day, Plan, Task, Ticked, UsingUp
from plans.domain.lead_in.joining import Work, joined, wait_days
from plans.domain.lead_in.network import Network, network, put_off, room_of
from plans.domain.lead_in.packing import Packed, Room, pack
from plans.domain.lead_in.trips import SHOP, TRIP, Been, been_by, bought, with_trips
from plans.domain.lead_in.using_up import to_use_up
from plans.domain.lead_in.windows import as_soon_as_can_be

MOST_LATER = 120
"""How many days the honest day one is looked for: longer than any wait of the trade."""
SOON = 21
"""So many days are tried before it is asked whether the work fits at all."""
PUT_OFF = (1, 2, 4, 8, 16)
STRETCH = (2, 3, 5)
USE_UP = "use-up"


@dataclass(frozen=True, slots=True)
class _Outcome:
    net: Network
    days: Mapping[str, int]
    late: frozenset[str]
    fits: bool
    known: bool


def lead_in_plan(ask: Ask, *, looks_ahead: bool = True) -> Plan | None:
    """The plan as of ``ask.today``, for those whose day one has not passed; None when there are none.

    Without ``looks_ahead`` no honest day one is looked for.
    """
    ask = replace(ask, starters=tuple(one for one in ask.starters if one.day_one >= ask.today))
    if not ask.starters:
        return None
    work, left_out = joined(ask)
    outcome = _outcome(ask, work)
    tasks = _shopped(outcome, ask)
    trips = _errands(tasks, outcome)
    if any(day.is_overfull for day in _days(tasks, ask) if day.on.toordinal() in trips):
        second = _outcome(ask, work, trips)
        moved = _shopped(second, ask)
        if _overfull(moved, ask) < _overfull(tasks, ask) and len(second.late) <= len(outcome.late):
            outcome, tasks = second, moved
    later, proven = _honest(ask, work, outcome) if looks_ahead else (None, False)
    day_one = min(starter.day_one for starter in ask.starters)
    tasks += [_use_up(one, ask) for one in to_use_up(ask)]
    again = {*outcome.net.again, *(task.name for task in tasks if task.name.startswith(TRIP))}
    open_tasks = [task for task in tasks if task.name not in ask.ticks or task.name in again]
    ordered = tuple(sorted(open_tasks, key=lambda task: (task.on, task.latest, task.name)))
    return Plan(
        day_one=day_one,
        tasks=ordered,
        days=_days(ordered, ask),
        left_out=tuple(left_out),
        ticked=_ticked(ask, work, tasks, again),
        trips=tuple(sorted({task.on for task in ordered if task.kind == SHOP})),
        honest_day_one=None if later is None else day_one + timedelta(days=later),
        proven=proven,
    )


def first_due(ask: Ask, on: date) -> Mapping[str, frozenset[str]]:
    """The tasks that fall due on a day and were not due the day before, by the key of each eater they are for.

    A task whose day passed undone is not owed a second time. Only the ticks are of today.
    """
    today, yesterday = (_due(replace(ask, today=day)) for day in (on, on - timedelta(days=1)))
    new: dict[str, set[str]] = {}
    for name, whom in today.items():
        if name not in yesterday:
            for key in whom:
                new.setdefault(key, set()).add(name)
    return {key: frozenset(names) for key, names in new.items()}


def _due(ask: Ask) -> dict[str, tuple[str, ...]]:
    plan = lead_in_plan(ask, looks_ahead=False)
    return {task.name: task.eaters for task in plan.tasks if task.on == ask.today} if plan else {}


def _outcome(ask: Ask, work: Sequence[Work], reserved: Mapping[int, int] | None = None) -> _Outcome:
    """Days for everything, beside what is reserved; what cannot be in time is late, and done as soon as it can."""
    net = network(ask, work)
    room = room_of(ask, reserved)
    packed = pack(net.jobs, net.lags, room)
    days = packed.days
    if days is None:
        days = next(found.days for found in _tries(net, room) if found.days is not None)
    late = frozenset(name for name, on in days.items() if net.is_open(name) and on > net.windows[name][1])
    return _Outcome(net, days, late, packed.days is not None, packed.known)


def _tries(net: Network, room: Room) -> Iterable[Packed]:
    """Ways to give in, the gentler first: later, then more work a day. With no limit at all there are always days."""
    soonest = as_soon_as_can_be(net.jobs, net.windows)
    for more in (0, *PUT_OFF):
        yield pack(put_off(soonest, more, net.fixed), net.lags, room)
    for times in STRETCH:
        yield pack(
            soonest, net.lags, lambda day, times=times: None if room(day) is None else times * room(day)
        )
    yield Packed(
        pack(soonest, net.lags, lambda day: None).days
        or {name: earliest for name, (earliest, _latest) in net.windows.items()}
    )


def _honest(ask: Ask, work: Sequence[Work], now: _Outcome) -> tuple[int | None, bool]:
    """By how many days every day one must move so that all fits and nothing is late; whether fewer were ruled out."""
    if now.fits:
        return 0, True
    proven = now.known
    for later in range(1, MOST_LATER + 1):
        if later == SOON + 1:
            far = [_fits(ask, work, MOST_LATER - day) for day in range(7)]
            if all(packed.days is None for packed in far):
                # Sooner there are fewer days to work in, and weeks are alike: what does not fit then never does.
                return None, proven and all(packed.known for packed in far)
        packed = _fits(ask, work, later)
        if packed.days is not None:
            return later, proven
        proven = proven and packed.known
    return None, proven


def _fits(ask: Ask, work: Sequence[Work], later: int) -> Packed:
    """Some days for everything, with every day one so many days later."""
    net = network(ask, work, later)
    return pack(net.jobs, net.lags, room_of(ask), nearest=False)


def _task(outcome: _Outcome, name: str, ask: Ask) -> Task:
    net = outcome.net
    one = net.work[name]
    task = one.task
    earliest, latest = net.windows[name]
    on = date.fromordinal(outcome.days[name])
    before = [net.work[key].task for key in one.before if key in net.work]
    in_house = frozenset(stored.food for stored in ask.stores)
    return Task(
        name=name,
        key=task.key,
        title=task.title,
        kind=task.kind,
        on=on,
        earliest=date.fromordinal(earliest),
        latest=date.fromordinal(latest),
        late=name in outcome.late,
        hands_on_min=task.hands_on_min,
        food=task.food,
        note=task.note,
        source=task.source,
        buy_instead=task.buy_instead,
        needs=bought(task, before, in_house),
        makes=task.makes,
        waits_h=(task.wait_least_h, task.wait_most_h),
        ready_from=on + timedelta(days=wait_days(task)) if task.wait_least_h else None,
        eaters=tuple(starter.key for starter in one.whom),
        not_for=one.not_for,
        again=net.again[name].on if name in net.again else None,
    )


def _shopped(outcome: _Outcome, ask: Ask) -> list[Task]:
    """The tasks on their days, with the trips to the shop."""
    tasks = [_task(outcome, name, ask) for name in outcome.net.work if outcome.net.is_open(name)]
    room = _room_left(tasks, ask) if ask.free_min is not None and any(ask.free_min) else None
    done = outcome.net.fixed
    been = [
        Been(ask.ticks[name].on)
        for name, one in outcome.net.work.items()
        if name in done and one.task.kind == SHOP
    ]
    been += been_by(ask.ticks)
    return list(with_trips(tasks, ask.foods, today=ask.today, room=room, been=been))


def _errands(tasks: Iterable[Task], outcome: _Outcome) -> dict[int, int]:
    """The minutes of trips no protocol planned, by the day: room to keep for them."""
    taken: dict[int, int] = {}
    for task in tasks:
        if task.name.startswith(TRIP):
            day = task.on.toordinal()
            taken[day] = taken.get(day, 0) + task.hands_on_min
    return taken


def _overfull(tasks: Iterable[Task], ask: Ask) -> int:
    return sum(day.is_overfull for day in _days(tasks, ask))


def _room_left(tasks: Iterable[Task], ask: Ask) -> dict[date, int]:
    last = max((task.on for task in tasks), default=ask.today)
    days = [ask.today + timedelta(days=day) for day in range((last - ask.today).days + 1)]
    room = {on: ask.free_on(on) or 0 for on in days}
    for task in tasks:
        room[task.on] = room.get(task.on, 0) - task.hands_on_min
    return room


def _use_up(one: UsingUp, ask: Ask) -> Task:
    good = f"-{one.best_by.isoformat()}" if one.best_by else ""
    name = f"{USE_UP}-{one.food}-{one.place}{good}"
    return Task(
        name=name,
        key=name,
        title="",
        kind=USE_UP,
        on=one.by,
        earliest=ask.today,
        latest=one.by,
        food=one.food,
        eaters=tuple(starter.key for starter in ask.starters),
        using_up=one,
    )


def _ticked(
    ask: Ask, work: Iterable[Work], tasks: Iterable[Task], again: Collection[str]
) -> tuple[Ticked, ...]:
    """What is settled, the last first; what has to be done ``again`` is not."""
    by_name = {task.name: task for task in tasks}
    titles = {one.name: one.task.title for one in work} | {task.name: task.title for task in tasks}
    found = [
        Ticked(name, titles.get(name, ""), tick, by_name.get(name))
        for name, tick in ask.ticks.items()
        if (name in titles or name.startswith(TRIP)) and name not in again
    ]
    return tuple(sorted(found, key=lambda one: (-one.tick.on.toordinal(), one.name)))


def _days(tasks: Iterable[Task], ask: Ask) -> tuple[Day, ...]:
    by_day: dict[date, list[Task]] = {}
    for task in tasks:
        by_day.setdefault(task.on, []).append(task)
    known = ask.free_min is not None and any(ask.free_min)
    return tuple(Day(on, tuple(by_day[on]), ask.free_on(on) if known else None) for on in sorted(by_day))
