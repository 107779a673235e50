"""A loop that ends cleanly: on SIGTERM or SIGINT the step in hand is finished, then nothing new is begun."""

import logging
import signal
import time
from collections.abc import Callable

from django.db import Error as DatabaseFault
from django.db import connections

log = logging.getLogger("ladlework.outbox")
NAP_SECONDS = 0.5
FAULT_SECONDS = 5.0


class Loop:
    """Runs a step again and again until told to stop."""

    def __init__(self) -> None:
        self.stopping = False
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self._stop)

    def _stop(self, number: int, frame: object) -> None:
        # A plain flag: anything that takes a lock here could wait for the very code it interrupted.
        self.stopping = True

    def run(self, step: Callable[[], float]) -> None:
        """``step`` returns how many seconds to wait before the next one. A database that is away is waited for."""
        while not self.stopping:
            try:
                pause = step()
            except DatabaseFault:
                log.exception("the database did not answer; trying again in %s seconds", FAULT_SECONDS)
                connections.close_all()
                pause = FAULT_SECONDS
            self._wait(pause)

    def _wait(self, seconds: float) -> None:
        until = time.monotonic() + seconds
        while not self.stopping and (left := until - time.monotonic()) > 0:
            time.sleep(min(left, NAP_SECONDS))
