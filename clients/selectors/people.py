"""Small facts about a household that several pages and services ask for."""

from datetime import date, datetime

from clients.models import Client, Household
from coaching.domain.calendar import first_zone, wall_clock


def zone_of(household: Household) -> str:
    """The household's time zone: its client's, else the practice's."""
    zone = Client.objects.filter(household=household).values_list("time_zone", flat=True).first()
    return first_zone(zone or "", household.practice.time_zone)


def local_date(household: Household, at: datetime) -> date:
    """The date where the household is at a moment."""
    return local_time(household, at).date()


def local_time(household: Household, at: datetime) -> datetime:
    """What calendar and clock show where the household is at a moment."""
    return wall_clock(at, zone_of(household))
