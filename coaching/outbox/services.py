"""Owing work, and doing it: at least once, whatever dies on the way.

A row is claimed in one short transaction under a lease, done outside any transaction, and its end recorded only by the
claim that still holds it. A process that dies leaves a lease that runs out; then the row is claimed again.
"""

import logging
import time
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from itertools import count
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import Error as DatabaseFault
from django.db import transaction

from coaching import clock
from coaching.outbox.failpoints import failpoint
from coaching.outbox.handlers import Drop, Failed, Later, Payload, doer_of, given_up_of, schedulers
from coaching.outbox.models import OwedWork

log = logging.getLogger("ladlework.outbox")
State = OwedWork.State

RETRY_AFTER = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120))
MOST_ATTEMPTS = len(RETRY_AFTER) + 1
WAKE_EXPIRES_SECONDS = 60
WAKE_PATIENCE_SECONDS = 1


def owe(*, kind: str, key: str, payload: Payload, due_at: datetime) -> OwedWork:
    """Owe a piece of work once: a second call with the same ``key`` returns the row of the first, unchanged.

    ``payload`` holds ids only. Joins the caller's transaction; if the work is due already, a Celery worker is woken
    after the commit where there is one. A wake-up that is lost costs seconds: the sweep finds the row.
    """
    now = clock.now()
    work, created = OwedWork.objects.get_or_create(
        key=key, defaults={"kind": kind, "payload": payload, "due_at": due_at, "created_at": now}
    )
    if created and settings.REDIS_URL and due_at <= now:
        transaction.on_commit(partial(_wake, work.pk), robust=True)
    return work


def _wake(work_id: UUID) -> None:
    """Tells a Celery worker the id of a row that is due. A broker that is down is noted, nothing more."""
    # Loaded here so that processes without Redis never load Celery.
    from kombu.exceptions import OperationalError

    from coaching.celery import app

    try:
        # Its own connection: a broker that hangs may hold up a page for a moment, not for the worker's patience.
        with app.connection(transport_options={"socket_timeout": WAKE_PATIENCE_SECONDS}) as connection:
            app.send_task(
                "outbox.run",
                args=[str(work_id)],
                connection=connection,
                retry=False,
                expires=WAKE_EXPIRES_SECONDS,
            )
    except OperationalError:
        log.warning("no worker could be woken for %s: the sweep will find it", work_id)


@dataclass(frozen=True, slots=True)
class Claim:
    """A hold on one row until its lease runs out. ``attempt`` tells this hold from any other on the same row."""

    work_id: UUID
    kind: str
    payload: Payload
    attempt: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """How an attempt ended. ``word`` is ``done``, ``later``, ``retried``, ``parked`` or ``dropped``."""

    word: str
    state: State
    due_at: datetime | None = None
    result: dict[str, Any] = field(default_factory=dict)
    error: str = ""


@dataclass(slots=True)
class PumpReport:
    """How many pieces of work ended how. ``lost`` counts ends that another claim had already overtaken."""

    done: int = 0
    later: int = 0
    retried: int = 0
    parked: int = 0
    dropped: int = 0
    lost: int = 0

    @property
    def total(self) -> int:
        return self.done + self.later + self.retried + self.parked + self.dropped + self.lost

    def count(self, word: str) -> None:
        setattr(self, word, getattr(self, word) + 1)


def _next(now: datetime, work_id: UUID | None, *, lock: bool) -> OwedWork | None:
    """The row to take: first one whose holder's lease ran out, else the one due the longest."""
    rows = OwedWork.objects.select_for_update(skip_locked=True) if lock else OwedWork.objects.all()
    if work_id is not None:
        rows = rows.filter(pk=work_id)
    expired = rows.filter(state=State.DOING, lease_until__lte=now).order_by("lease_until")
    waiting = rows.filter(state=State.WAITING, due_at__lte=now).order_by("due_at")
    return expired.first() or waiting.first()


def claim(*, now: datetime, work_id: UUID | None = None) -> Claim | None:
    """Take the next row that is due, or ``work_id`` if that is due; None if there is nothing to take.

    Two claims never hold the same row: PostgreSQL skips rows that are locked, SQLite lets one writer in at a time.
    """
    # A look without a lock first: an idle worker must not take SQLite's write lock twice a second.
    if _next(now, work_id, lock=False) is None:
        return None
    with transaction.atomic(durable=True):
        work = _next(now, work_id, lock=True)
        if work is None:
            return None
        attempt = work.attempts + 1
        lease_until = now + timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
        OwedWork.objects.filter(pk=work.pk).update(
            state=State.DOING, lease_until=lease_until, attempts=attempt
        )
    return Claim(work.pk, work.kind, work.payload, attempt)


def perform(claim: Claim, *, now: datetime) -> Outcome:
    """Do the work of a claim and say how it ended. ``now`` is what retries are counted from."""
    if claim.attempt > MOST_ATTEMPTS:
        return Outcome("parked", State.PARKED, error="the process ended in the middle of every attempt")
    try:
        result = doer_of(claim.kind).do({**claim.payload, "work": str(claim.work_id)})
    except Later as later:
        return Outcome("later", State.WAITING, due_at=later.at)
    except Drop as drop:
        return Outcome("dropped", State.DROPPED, result={"reason": drop.reason})
    except Failed as failed:
        log.warning("%s %s failed: %s", claim.kind, claim.work_id, failed)
        return _failure(claim, str(failed), now)
    except Exception as error:
        log.exception("%s %s failed", claim.kind, claim.work_id)
        # Only the kind of error is kept: its text may hold an address or a name.
        return _failure(claim, type(error).__name__, now)
    return Outcome("done", State.DONE, result=result or {})


def _failure(claim: Claim, error: str, now: datetime) -> Outcome:
    """Another try after a pause that grows with each, or the end of trying."""
    if claim.attempt == MOST_ATTEMPTS:
        return Outcome("parked", State.PARKED, error=error)
    return Outcome("retried", State.WAITING, due_at=now + RETRY_AFTER[claim.attempt - 1], error=error)


def record(*, claim: Claim, outcome: Outcome, now: datetime) -> bool:
    """Write down how a claim ended. False, and nothing changes, if the row was claimed anew meanwhile."""
    ended = outcome.state != State.WAITING
    changes: dict[str, Any] = {
        "state": outcome.state,
        "lease_until": None,
        "result": outcome.result,
        "last_error": outcome.error,
        "finished_at": now if ended else None,
    }
    if outcome.due_at is not None:
        changes["due_at"] = outcome.due_at
    if outcome.word == "later":
        # Being told to come back is no failure. Lowering the count is safe: only this claim's own step is taken back.
        changes["attempts"] = claim.attempt - 1
    with transaction.atomic(durable=True):
        rows = OwedWork.objects.filter(pk=claim.work_id, state=State.DOING, attempts=claim.attempt)
        if not rows.update(**changes):
            log.warning("%s %s outlived its lease; another claim has it", claim.kind, claim.work_id)
            return False
        if outcome.state == State.PARKED:
            _tell_given_up(claim)
    return True


def _tell_given_up(claim: Claim) -> None:
    """Lets the kind's own room note the end. If it cannot, the row is parked all the same."""
    log.error("%s %s is parked after %d attempts", claim.kind, claim.work_id, claim.attempt)
    given_up = given_up_of(claim.kind)
    if given_up is None:
        return
    try:
        with transaction.atomic():
            given_up({**claim.payload, "work": str(claim.work_id)})
    except Exception:
        log.exception("%s %s is parked, but its own room could not be told", claim.kind, claim.work_id)


def run_one(work_id: UUID | None = None, *, now: datetime | None = None) -> str | None:
    """Claim, do and record one piece of work: this one if it is due, else the next. Its outcome's word, or None."""
    taken = claim(now=now or clock.now(), work_id=work_id)
    if taken is None:
        return None
    failpoint("after_claim")
    outcome = perform(taken, now=now or clock.now())
    failpoint("before_record")
    recorded = record(claim=taken, outcome=outcome, now=now or clock.now())
    failpoint("after_record")
    return outcome.word if recorded else "lost"


def pump(*, limit: int | None, now: datetime | None = None, seconds: float | None = None) -> PumpReport:
    """Do what is due, the oldest first, until nothing is, ``limit`` pieces are done or ``seconds`` have passed.

    ``now`` fixes the moment (for tests); otherwise the clock is asked for each piece.
    """
    report = PumpReport()
    begun = time.monotonic()
    for number in count():
        if number == limit or (seconds is not None and time.monotonic() - begun >= seconds):
            break
        word = run_one(now=now)
        if word is None:
            break
        report.count(word)
    return report


def look_at_calendar(*, now: datetime) -> int:
    """Let every registered scheduler owe what is coming; how much they newly owed. One that fails stops no other."""
    owed = 0
    for scheduler in schedulers():
        try:
            owed += scheduler(now)
        except DatabaseFault:
            raise
        except Exception:
            log.exception("%s failed; it is asked again at the next look", scheduler.__name__)
    return owed


def retry(*, work_id: UUID, at: datetime) -> bool:
    """Give parked or dropped work a fresh set of attempts, due at once. False if it is neither."""
    stuck = OwedWork.objects.filter(pk=work_id, state__in=(State.PARKED, State.DROPPED))
    return bool(
        stuck.update(state=State.WAITING, attempts=0, due_at=at, result={}, last_error="", finished_at=None)
    )
