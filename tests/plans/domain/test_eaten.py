"""Which meals of a week count as eaten. The hours are common practice, no source."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.eaten import EATEN_BY, Past, past_at
from plans.domain.vocabulary import Slot

MONDAY = date(2026, 6, 1)
WEDNESDAY = 2
B, M, N, E = Slot
moments = st.datetimes(datetime.fromisoformat("2026-05-25"), datetime.fromisoformat("2026-06-14"))


@pytest.mark.parametrize(
    ("clock", "eaten"),
    [
        ("00:00", ()),
        ("09:59", ()),
        ("10:00", (B,)),
        ("11:59", (B,)),
        ("12:00", (B, M)),
        ("14:29", (B, M)),
        ("14:30", (B, M, N)),
        ("16:00", (B, M, N)),
        ("20:59", (B, M, N)),
        ("21:00", (B, M, N, E)),
        ("23:59", (B, M, N, E)),
    ],
)
def test_of_today_what_is_past_its_usual_hour(clock: str, eaten: tuple[Slot, ...]):
    past = past_at(datetime.fromisoformat(f"2026-06-03T{clock}"), MONDAY)
    assert past == Past(WEDNESDAY, frozenset(eaten))
    assert all((day, slot) in past for day in (0, 1) for slot in Slot)
    assert [slot for slot in Slot if (WEDNESDAY, slot) in past] == list(eaten)
    assert not any((day, slot) in past for day in (3, 6) for slot in Slot)


@pytest.mark.parametrize("wall", ["2026-05-20T12:00", "2026-05-31T00:00", "2026-05-31T23:59"])
def test_on_the_eve_and_before_all_is_ahead(wall: str):
    assert past_at(datetime.fromisoformat(wall), MONDAY) == Past(-1)


def test_every_slot_has_an_hour_and_they_come_in_the_order_of_the_day():
    assert tuple(EATEN_BY) == tuple(Slot)
    assert sorted(EATEN_BY.values()) == list(EATEN_BY.values())


@given(moments, st.timedeltas(timedelta(0), timedelta(days=3)))
def test_what_is_eaten_stays_eaten(wall: datetime, later: timedelta):
    before, after = past_at(wall, MONDAY), past_at(wall + later, MONDAY)
    assert all((day, slot) in after for day in range(7) for slot in Slot if (day, slot) in before)
