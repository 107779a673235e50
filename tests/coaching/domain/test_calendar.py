"""Wall clock to UTC on the days the clocks change.

The moments come from outside: Directive 2000/84/EC (summer time in the EU begins and ends at 01:00 UTC), the IANA time
zone database's notes on Lord Howe Island (half an hour, at 02:00 local) and on Brazil (clocks put forward at midnight).
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.domain.calendar import first_zone, moment_of, wall_clock

ZONES = sorted(available_timezones())


@pytest.mark.parametrize(
    ("on", "at", "zone", "moment"),
    [
        # An ordinary day.
        (date(2026, 6, 10), time(9), "Europe/Berlin", datetime(2026, 6, 10, 7, tzinfo=UTC)),
        # 02:00 to 03:00 does not exist; the first moment after it is 01:00 UTC.
        (date(2026, 3, 29), time(2, 30), "Europe/Berlin", datetime(2026, 3, 29, 1, tzinfo=UTC)),
        (date(2026, 3, 29), time(2), "Europe/Berlin", datetime(2026, 3, 29, 1, tzinfo=UTC)),
        (date(2026, 3, 29), time(3), "Europe/Berlin", datetime(2026, 3, 29, 1, tzinfo=UTC)),
        (date(2026, 3, 29), time(1, 59, 59), "Europe/Berlin", datetime(2026, 3, 29, 0, 59, 59, tzinfo=UTC)),
        # 02:00 to 03:00 comes twice; the first is still summer time.
        (date(2026, 10, 25), time(2, 30), "Europe/Berlin", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
        # Half an hour: 02:00 to 02:30 is jumped over in October, 01:30 to 02:00 comes twice in April.
        (date(2026, 10, 4), time(2, 15), "Australia/Lord_Howe", datetime(2026, 10, 3, 15, 30, tzinfo=UTC)),
        (date(2026, 4, 5), time(1, 45), "Australia/Lord_Howe", datetime(2026, 4, 4, 14, 45, tzinfo=UTC)),
        # A day without a midnight.
        (date(2018, 11, 4), time(0), "America/Sao_Paulo", datetime(2018, 11, 4, 3, tzinfo=UTC)),
    ],
)
def test_known_moments(on: date, at: time, zone: str, moment: datetime):
    assert moment_of(on, at, zone) == moment


def test_the_second_of_two_readings_can_be_asked_for():
    first = moment_of(date(2026, 10, 25), time(2, 30), "Europe/Berlin")
    second = moment_of(date(2026, 10, 25), time(2, 30), "Europe/Berlin", second=True)
    assert second - first == timedelta(hours=1)


@given(
    on=st.dates(date(2024, 1, 1), date(2037, 12, 31)),
    at=st.times().map(lambda at: at.replace(fold=0)),
    zone=st.sampled_from(ZONES),
)
def test_the_clock_shows_what_was_asked_or_the_first_thing_after(on: date, at: time, zone: str):
    moment = moment_of(on, at, zone)
    shown, asked = wall_clock(moment, zone).replace(tzinfo=None, fold=0), datetime.combine(on, at)
    assert shown >= asked
    if shown != asked:
        just_before = (moment - timedelta(microseconds=1)).astimezone(ZoneInfo(zone)).replace(tzinfo=None)
        assert just_before < asked < shown


@pytest.mark.parametrize(
    ("names", "zone"),
    [
        (("Europe/Dublin", "America/Chicago"), "Europe/Dublin"),
        (("UTC", "America/Chicago"), "America/Chicago"),
        (("", "Mars/Olympus", "../../etc/passwd", "Asia/Tokyo"), "Asia/Tokyo"),
        (("UTC",), "UTC"),
        ((), "UTC"),
    ],
)
def test_the_first_name_that_is_a_zone(names: tuple[str, ...], zone: str):
    assert first_zone(*names) == zone
