"""The one door to the clock. Everything else is handed the moment or the date."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo


def now() -> datetime:
    """This moment, aware, in UTC."""
    return datetime.now(UTC)


def today_in(zone: str) -> date:
    """Today's date where ``zone`` (an IANA name) is."""
    return now().astimezone(ZoneInfo(zone)).date()
