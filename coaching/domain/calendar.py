"""Wall clock and UTC: which moment a local date and time is, also on the days the clocks change.

A time the clocks jump over (a gap) means the first moment that exists after it; a time they show twice (a fold) means
the first of the two. PEP 495 describes how Python tells such times apart; the rules of the zones are the IANA's.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

SECOND = timedelta(seconds=1)


def first_zone(*names: str) -> str:
    """The first of these names that is a time zone other than plain UTC (what "not set" looks like), or UTC."""
    for name in names:
        if name and name != "UTC" and _exists(name):
            return name
    return "UTC"


def _exists(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def wall_clock(moment: datetime, zone: str) -> datetime:
    """What calendar and clock show in ``zone`` at an aware moment."""
    return moment.astimezone(ZoneInfo(zone))


def moment_of(on: date, at: time, zone: str, *, second: bool = False) -> datetime:
    """The moment, in UTC, when the clock in ``zone`` shows ``at`` on the date ``on``.

    In a gap the first moment after it; in a fold the first of the two, or the ``second``.
    """
    wall = datetime.combine(on, at, tzinfo=ZoneInfo(zone))
    early, late = wall.replace(fold=0), wall.replace(fold=1)
    if _is_in_gap(early):
        return _end_of_gap(early, late)
    return (late if second else early).astimezone(UTC)


def _is_in_gap(wall: datetime) -> bool:
    """True when no clock ever shows this: going to UTC and back does not return it."""
    back = wall.astimezone(UTC).astimezone(wall.tzinfo)
    return back.replace(tzinfo=None) != wall.replace(tzinfo=None)


def _end_of_gap(early: datetime, late: datetime) -> datetime:
    """The moment the clocks jump, to the second: found by halving the span in which the offset changes.

    In a gap the two readings stand on either side of the jump, the one called ``late`` before it.
    """
    before, after = late.astimezone(UTC), early.astimezone(UTC)
    zone = early.tzinfo
    offset_after = after.astimezone(zone).utcoffset()
    while after - before > SECOND:
        middle = before + (after - before) // 2
        if middle.astimezone(zone).utcoffset() == offset_after:
            after = middle
        else:
            before = middle
    return after.replace(microsecond=0)
