"""A standing week, its locks, what waits on it, and the revision that is under way."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from clients.domain.revising import Change, change_from_record
from clients.models import Household, Packet, Week
from clients.selectors.people import local_time
from plans.domain.brief import Meal
from plans.domain.eaten import Past, past_at
from plans.domain.vocabulary import Slot

State = Week.State
UNDER_WAY = (State.ASKED, State.OFFERED, State.NONE)
"""The states of a revision that is not decided yet."""


def past_of(household: Household, start: date, at: datetime) -> Past:
    """What of a week is eaten at a moment, by the calendar and clock where the household is."""
    return past_at(local_time(household, at), start)


def standing_of(household: Household, start: date) -> UUID | None:
    """The id of the week that stands for a start: the newest planned one."""
    rows = Week.objects.filter(household=household, start=start, state=State.PLANNED)
    return rows.order_by("-asked_at").values_list("pk", flat=True).first()


def revision_under_way(week: Week) -> Week | None:
    """The revision of a week that is asked for and not decided, without its plan; None without one."""
    rows = Week.objects.filter(basis=week, state__in=UNDER_WAY)
    return rows.order_by("-asked_at").defer("brief", "plan").first()


def has_packet(household: Household, start: date) -> bool:
    """Whether a packet of the week from ``start`` was made, which a change of the week leaves as it is."""
    return Packet.objects.filter(household=household, start=start, state=Packet.State.READY).exists()


def locks_of(week: Week) -> frozenset[Meal]:
    """The locked meals of a week."""
    return frozenset((day, Slot(slot)) for day, slot in week.locks)


def changes_of(records: Iterable[Mapping[str, Any]]) -> tuple[Change, ...]:
    """Changes as a week's columns hold them."""
    return tuple(change_from_record(record) for record in records)
