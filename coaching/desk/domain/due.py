"""Which reminders a client is owed on a date, and when each may be sent.

Pure: plans and dates in, kinds and moments out. A reminder belongs to a date in the client's own zone; its moment is
worked out from calendar and clock there, never by adding 24 hours, and moved out of the quiet hours.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from coaching.domain.calendar import moment_of, wall_clock

DAY = timedelta(days=1)
COUNTDOWN_DAYS = frozenset({7, 3, 1, 0})
"""Days before day one on which the countdown speaks; 0 is day one itself."""
DAILY_DAYS = 14
THEN_EVERY_DAYS = 3
TOO_LATE = timedelta(hours=12)
"""A reminder this late says something untrue; it is skipped."""


class Kind(StrEnum):
    """What a reminder is about."""

    COUNTDOWN = "countdown"
    CHECK_IN = "check-in"
    LEAD_IN = "lead-in"


SEND_AT = {Kind.COUNTDOWN: time(9), Kind.CHECK_IN: time(18), Kind.LEAD_IN: time(8)}
"""The client's own clock time of each kind, before quiet hours."""


@dataclass(frozen=True, slots=True)
class QuietHours:
    """From ``start`` up to ``end`` on the reader's clock nothing is sent; over midnight if ``start`` is the later one.

    Equal times mean no quiet hours.
    """

    start: time
    end: time

    def covers(self, at: time) -> bool:
        """Whether a clock time lies in the quiet hours; ``end`` itself does not."""
        if self.start <= self.end:
            return self.start <= at < self.end
        return at >= self.start or at < self.end


def no_tasks(on: date) -> frozenset[str]:
    """Nothing to do before day one."""
    return frozenset()


@dataclass(frozen=True, slots=True)
class EaterPlan:
    """What reminders need to know of one eater under way: dates only.

    ``stage_began_on`` is None before the first stage; ``blocked`` means a caution bars the start; ``tasks`` are the
    names of the lead-in tasks that fall due on a date, so that a task two eaters share counts once; ``checked_in`` are
    the dates with a check-in.
    """

    start_on: date
    stage_began_on: date | None = None
    blocked: bool = False
    tasks: Callable[[date], frozenset[str]] = no_tasks
    checked_in: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class Owed:
    """One reminder a client is owed on a date. ``facts`` are counts, never health text."""

    kind: Kind
    subject_key: str = ""
    facts: Mapping[str, int] = field(default_factory=dict)


def check_in_is_due(plan: EaterPlan, on: date) -> bool:
    """Every day in the first two weeks of a stage, then every third day; never twice on a day."""
    if on < plan.start_on or plan.stage_began_on is None or on in plan.checked_in:
        return False
    day = (on - plan.stage_began_on).days
    return 0 <= day < DAILY_DAYS or (day >= DAILY_DAYS and (day - DAILY_DAYS + 1) % THEN_EVERY_DAYS == 0)


def owed_on(plans: Iterable[EaterPlan], on: date) -> tuple[Owed, ...]:
    """What one client is owed on a date for all the eaters they answer for: at most one of a kind and subject.

    Nobody is counted down to a start that a caution bars, or told to prepare for it.
    """
    plans = tuple(plans)
    starting = [plan for plan in plans if not plan.blocked and on <= plan.start_on]
    found = [
        Owed(Kind.COUNTDOWN, start_on.isoformat(), {"days": (start_on - on).days})
        for start_on in sorted({plan.start_on for plan in starting})
        if (start_on - on).days in COUNTDOWN_DAYS
    ]
    eaters = sum(check_in_is_due(plan, on) for plan in plans)
    if eaters:
        found.append(Owed(Kind.CHECK_IN, "", {"eaters": eaters}))
    tasks = frozenset[str]().union(*(plan.tasks(on) for plan in starting))
    if tasks:
        found.append(Owed(Kind.LEAD_IN, "", {"tasks": len(tasks)}))
    return tuple(found)


def due_moment(*, kind: Kind, on: date, zone: str, quiet: QuietHours) -> datetime:
    """When a reminder that belongs to the local date ``on`` may be sent, in UTC."""
    return out_of_quiet(moment_of(on, SEND_AT[kind], zone), zone=zone, quiet=quiet)


def out_of_quiet(moment: datetime, *, zone: str, quiet: QuietHours) -> datetime:
    """The moment itself, or the end of the quiet hours it lies in, by the reader's clock. UTC in, UTC out."""
    wall = wall_clock(moment, zone)
    if not quiet.covers(wall.time()):
        return moment
    on = wall.date() if wall.time() < quiet.end else wall.date() + DAY
    end = moment_of(on, quiet.end, zone)
    if end <= moment:
        # The clocks were set back in between and show the end of the quiet hours a second time.
        end = moment_of(on, quiet.end, zone, second=True)
    # Where the clocks jumped over the end, the first moment after it may lie in the next night's quiet hours.
    return out_of_quiet(end, zone=zone, quiet=quiet)


def dates_to_look_at(now: datetime, zone: str, *, ahead: timedelta) -> tuple[date, ...]:
    """The local dates whose reminders may still be sent or fall due within ``ahead``."""
    first = wall_clock(now - TOO_LATE, zone).date() - DAY
    last = wall_clock(now + ahead, zone).date()
    return tuple(first + DAY * number for number in range((last - first).days + 1))


def is_too_late(due_at: datetime, now: datetime) -> bool:
    """Whether a reminder missed its moment by more than half a day."""
    return now - due_at > TOO_LATE
