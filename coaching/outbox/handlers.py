"""Who does which kind of owed work, and what falls due by the calendar.

Each app's ``tasks.py`` registers its functions here; ``read_in`` loads those modules before the first piece of work, so
that web processes, which only owe work, never load what does it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any

from django.utils.module_loading import autodiscover_modules

Payload = dict[str, Any]
Handler = Callable[[Payload], dict[str, Any] | None]
GivenUp = Callable[[Payload], None]
Scheduler = Callable[[datetime], int]


class Later(Exception):
    """Not now: the work is wanted again at ``at``. Does not count as a failed attempt."""

    def __init__(self, at: datetime) -> None:
        self.at = at
        super().__init__(at.isoformat())


class Drop(Exception):
    """Not wanted any more: the work ends here and ``reason``, a short code or sentence, is kept."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)


class Failed(Exception):
    """This attempt failed for a known reason. Its text is kept and logged, so it must name nobody."""


class Unknown(LookupError):
    """Nobody registered for this kind of work."""


@dataclass(frozen=True, slots=True)
class Doer:
    """Who does a kind of work, and who is told when it was tried often enough."""

    do: Handler
    given_up: GivenUp | None = None


_doers: dict[str, Doer] = {}
_schedulers: list[Scheduler] = []


def handles(kind: str, *, given_up: GivenUp | None = None) -> Callable[[Handler], Handler]:
    """Registers a function as the one that does work of a kind.

    It is handed the payload with the row's id added as ``work`` (the same on every attempt: good for a Message-ID) and
    returns a small JSON-ready dict, or raises ``Later`` or ``Drop``. ``Failed``, or any other exception, means: try
    again, with growing pauses. It runs outside any transaction, at least once: it must do no harm when run twice.
    ``given_up`` is called with the payload, in the transaction that parks the row, after the last attempt.
    """

    def register(handler: Handler) -> Handler:
        if kind in _doers:
            raise ValueError(f"two handlers for {kind}")
        _doers[kind] = Doer(handler, given_up)
        return handler

    return register


def schedules(scheduler: Scheduler) -> Scheduler:
    """Registers a function that turns what the calendar says into owed work; it is called every minute or so.

    It is handed the moment, returns how much it newly owed, and must change nothing when called twice.
    """
    _schedulers.append(scheduler)
    return scheduler


@cache
def read_in() -> None:
    """Loads every app's ``tasks`` module, once in a process."""
    autodiscover_modules("tasks")


def doer_of(kind: str) -> Doer:
    """Who does this kind of work. Raises Unknown."""
    read_in()
    if kind not in _doers:
        raise Unknown(kind)
    return _doers[kind]


def given_up_of(kind: str) -> GivenUp | None:
    """Who is told when work of this kind is parked, if anyone."""
    read_in()
    doer = _doers.get(kind)
    return doer.given_up if doer else None


def schedulers() -> tuple[Scheduler, ...]:
    """Every function registered with ``schedules``."""
    read_in()
    return tuple(_schedulers)
