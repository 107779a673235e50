"""A household's weeks and packets: lists, and the day a new one would begin."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from clients.models import Enrolment, Household, Packet, Week
from clients.selectors.cautions import OPEN_STATES

ON_THE_PAGE = 5
"""So many weeks and packets stand on the household's page; its own list has them all."""


@dataclass(frozen=True, slots=True)
class Section:
    """The newest rows for the household's page, and how many there are in all."""

    rows: list
    total: int
    start: date


def weeks_of(household: Household) -> QuerySet[Week]:
    """The household's weeks, the latest first, without their plans; what was put aside is left out."""
    return Week.objects.filter(household=household).exclude(state=Week.State.DROPPED).defer("brief", "plan")


def packets_of(household: Household) -> QuerySet[Packet]:
    """The household's packets, the newest first, without their facts."""
    return Packet.objects.filter(household=household).defer("facts")


def weeks_section(household: Household, today: date) -> Section:
    """What the household's page shows of its weeks."""
    rows = weeks_of(household)
    return Section(rows=list(rows[:ON_THE_PAGE]), total=rows.count(), start=next_start(household, today))


def packets_section(household: Household, today: date) -> Section:
    """What the household's page shows of its packets."""
    rows = packets_of(household)
    return Section(rows=list(rows[:ON_THE_PAGE]), total=rows.count(), start=next_start(household, today))


def next_start(household: Household, today: date) -> date:
    """The day a new week would begin: the next day one that lies ahead, else next Monday."""
    ahead = Enrolment.objects.filter(
        eater__household=household, state__in=OPEN_STATES, start_on__gte=today
    ).order_by("start_on")
    day_one = ahead.values_list("start_on", flat=True).first()
    return day_one or today + timedelta(days=7 - today.weekday())
