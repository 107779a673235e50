"""Celery's doors to the outbox. They carry no more than a row's id; what is owed stands in the database."""

from uuid import UUID

from celery import shared_task

from coaching import clock
from coaching.outbox.services import look_at_calendar, pump, run_one
from coaching.outbox.signs import sign_of_life

SWEEP_SECONDS = 60
"""A sweep stops taking new work after this long, well inside the time a task may take."""


@shared_task(name="outbox.run")
def run(work_id: str) -> None:
    """Do one row, if it is still due; a wake-up that comes late or twice does nothing."""
    run_one(UUID(work_id))


@shared_task(name="outbox.sweep")
def sweep() -> None:
    """Do everything that is due: what nobody was woken for, what a dead worker left behind."""
    sign_of_life("worker")
    pump(limit=None, seconds=SWEEP_SECONDS)


@shared_task(name="outbox.schedule")
def schedule() -> None:
    """Owe what the calendar says is coming."""
    sign_of_life("scheduler")
    look_at_calendar(now=clock.now())
