"""Turns what the calendar says into owed work, on a machine without Redis."""

import logging

from django.core.management.base import BaseCommand

from coaching import clock
from coaching.outbox.handlers import read_in
from coaching.outbox.management.loop import Loop
from coaching.outbox.services import look_at_calendar
from coaching.outbox.signs import sign_of_life

log = logging.getLogger("ladlework.outbox")
EVERY_SECONDS = 30.0


class Command(BaseCommand):
    help = "Owe what falls due by the calendar (reminders), every half minute until stopped. Two at once do no harm."

    def handle(self, *args, **options) -> None:
        loop = Loop()
        read_in()
        loop.run(look_once)


def look_once() -> float:
    """One look at the calendar by everyone who registered. Seconds to wait before the next."""
    sign_of_life("scheduler")
    owed = look_at_calendar(now=clock.now())
    if owed:
        log.info("newly owed: %d", owed)
    return EVERY_SECONDS
