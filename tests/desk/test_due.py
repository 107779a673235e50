"""Which reminders fall due, and when. The calendar rules of zones come from the IANA database through ``zoneinfo``."""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.desk.domain.due import (
    DAY,
    EaterPlan,
    Kind,
    QuietHours,
    check_in_is_due,
    dates_to_look_at,
    due_moment,
    is_too_late,
    out_of_quiet,
    owed_on,
)
from coaching.domain.calendar import wall_clock

NIGHT = QuietHours(time(21), time(8))
ZONES = sorted(available_timezones())
START = date(2026, 6, 1)
YEARS = (2025, 2034)
MOMENTS = st.integers(0, 10 * 365 * 86_400).map(
    lambda seconds: datetime(YEARS[0], 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
)


@cache
def change_dates(zone: str) -> tuple[date, ...]:
    """The dates in ten years on which the zone's offset at noon differs from the day before."""
    info, found = ZoneInfo(zone), []
    day = datetime(YEARS[0], 1, 1, 12, tzinfo=info)
    offset = day.utcoffset()
    while day.year <= YEARS[1]:
        day += timedelta(days=7)
        if day.utcoffset() != offset:
            found += [(day - timedelta(days=back)).date() for back in range(7, -1, -1)]
            offset = day.utcoffset()
    return tuple(found)


@pytest.mark.parametrize(
    ("quiet", "at", "covered"),
    [
        (NIGHT, time(20, 59), False),
        (NIGHT, time(21), True),
        (NIGHT, time(3), True),
        (NIGHT, time(8), False),
        (QuietHours(time(1), time(5)), time(0), False),
        (QuietHours(time(1), time(5)), time(4, 59), True),
        (QuietHours(time(9), time(9)), time(9), False),
    ],
)
def test_quiet_hours(quiet: QuietHours, at: time, covered: bool):
    assert quiet.covers(at) is covered


def test_a_reminder_in_quiet_hours_waits_for_their_end():
    late_shift = QuietHours(time(17), time(10))
    moment = due_moment(kind=Kind.CHECK_IN, on=date(2026, 6, 10), zone="Europe/Dublin", quiet=late_shift)
    assert moment == datetime(2026, 6, 11, 9, tzinfo=UTC)


def test_quiet_hours_whose_end_is_jumped_over_end_when_the_clocks_have_jumped():
    """Berlin has no 02:30 on 29 March 2026."""
    moment = datetime(2026, 3, 28, 23, tzinfo=UTC)
    quiet = QuietHours(time(22), time(2, 30))
    assert out_of_quiet(moment, zone="Europe/Berlin", quiet=quiet) == datetime(2026, 3, 29, 1, tzinfo=UTC)


def test_quiet_hours_whose_end_comes_twice_end_at_the_one_ahead():
    """Berlin shows 02:30 on 25 October 2026 at 00:30 and at 01:30 UTC."""
    quiet = QuietHours(time(22), time(2, 30))
    first = out_of_quiet(datetime(2026, 10, 24, 23, tzinfo=UTC), zone="Europe/Berlin", quiet=quiet)
    second = out_of_quiet(datetime(2026, 10, 25, 1, 10, tzinfo=UTC), zone="Europe/Berlin", quiet=quiet)
    assert (first, second) == (
        datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
        datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    )


@pytest.mark.parametrize(
    "quiet", [NIGHT, QuietHours(time(23, 30), time(2, 30)), QuietHours(time(17), time(9, 30))]
)
def test_every_zone_ten_years_of_clock_changes(quiet: QuietHours):
    """In no zone does a reminder fall in quiet hours, and each local date has exactly one, in order."""
    for zone in ZONES:
        dates = change_dates(zone)
        for kind in Kind:
            before = None
            for on in dates:
                moment = due_moment(kind=kind, on=on, zone=zone, quiet=quiet)
                wall = wall_clock(moment, zone)
                assert not quiet.covers(wall.time()), (zone, kind, on)
                assert wall.date() in {on, on + DAY}, (zone, kind, on)
                assert before is None or moment > before, (zone, kind, on)
                before = moment


@given(
    on=st.dates(date(YEARS[0], 1, 1), date(YEARS[1], 12, 31)),
    zone=st.sampled_from(ZONES),
    quiet=st.builds(QuietHours, st.times(), st.times()),
    kind=st.sampled_from(Kind),
)
def test_whatever_the_quiet_hours_nothing_is_sent_in_them(on, zone, quiet, kind):
    moments = [due_moment(kind=kind, on=day, zone=zone, quiet=quiet) for day in (on, on + DAY, on + 2 * DAY)]
    assert not any(quiet.covers(wall_clock(moment, zone).time()) for moment in moments)
    assert moments == sorted(moments)


@given(
    moment=MOMENTS,
    zone=st.sampled_from(ZONES),
    quiet=st.builds(QuietHours, st.times(), st.times()),
)
def test_leaving_quiet_hours_never_goes_back_and_never_waits_for_more_than_two_nights(moment, zone, quiet):
    go_at = out_of_quiet(moment, zone=zone, quiet=quiet)
    assert timedelta(0) <= go_at - moment <= timedelta(hours=49)
    assert not quiet.covers(wall_clock(go_at, zone).time())
    assert out_of_quiet(go_at, zone=zone, quiet=quiet) == go_at


def test_the_countdown_speaks_on_four_days():
    spoken = {
        owed.facts["days"]: on
        for on in (START - DAY * back for back in range(-3, 12))
        for owed in owed_on([EaterPlan(START)], on)
        if owed.kind == Kind.COUNTDOWN
    }
    assert spoken == {7: date(2026, 5, 25), 3: date(2026, 5, 29), 1: date(2026, 5, 31), 0: START}


def test_eaters_who_start_together_are_counted_down_together_and_others_apart():
    plans = [EaterPlan(START), EaterPlan(START), EaterPlan(START + DAY * 4)]
    subjects = [owed.subject_key for owed in owed_on(plans, START - DAY * 3)]
    assert subjects == ["2026-06-01", "2026-06-05"]


def test_nobody_is_counted_down_to_a_barred_start():
    barred = EaterPlan(START, blocked=True, tasks=lambda _on: frozenset({"shop"}))
    assert owed_on([barred], START - DAY * 3) == ()


def test_check_ins_are_daily_for_two_weeks_of_a_stage_then_every_third_day():
    """Days 0 to 13, then 16, 19, 22: our own cadence."""
    plan = EaterPlan(START, stage_began_on=START + DAY * 30)
    due = [day for day in range(-2, 24) if check_in_is_due(plan, START + DAY * (30 + day))]
    assert due == [*range(14), 16, 19, 22]


@pytest.mark.parametrize(
    "plan",
    [
        EaterPlan(START + DAY, stage_began_on=START),
        EaterPlan(START, stage_began_on=None),
        EaterPlan(START, stage_began_on=START, checked_in=frozenset({START})),
    ],
    ids=["before day one", "no stage yet", "already made"],
)
def test_no_check_in_is_due(plan: EaterPlan):
    assert not check_in_is_due(plan, START)


def test_one_mail_a_day_counts_everything():
    """What two eaters share counts once."""
    before = {START - DAY: frozenset({"shop", "cook"})}
    others = {START - DAY: frozenset({"shop", "render"}), START: frozenset({"freeze"})}
    early = EaterPlan(START, tasks=lambda on: before.get(on, frozenset()))
    late = EaterPlan(START + DAY, tasks=lambda on: others.get(on, frozenset()))

    def tasks_on(on: date) -> list[int]:
        return [
            owed.facts["tasks"] for owed in owed_on([early, early, late], on) if owed.kind == Kind.LEAD_IN
        ]

    assert tasks_on(START - DAY) == [3]
    assert tasks_on(START) == [1]


def test_check_ins_of_a_household_come_in_one_mail():
    plans = [EaterPlan(START, stage_began_on=START), EaterPlan(START, stage_began_on=START)]
    check_ins = [owed for owed in owed_on(plans, START + DAY) if owed.kind == Kind.CHECK_IN]
    assert [dict(owed.facts) for owed in check_ins] == [{"eaters": 2}]


@given(
    now=MOMENTS,
    zone=st.sampled_from(ZONES),
    kind=st.sampled_from(Kind),
    quiet=st.builds(QuietHours, st.times(), st.times()),
)
def test_every_reminder_that_may_still_go_belongs_to_a_date_that_is_looked_at(now, zone, kind, quiet):
    ahead = timedelta(hours=24)
    looked_at = dates_to_look_at(now, zone, ahead=ahead)
    today = wall_clock(now, zone).date()
    for on in (today + DAY * number for number in range(-5, 6)):
        due_at = due_moment(kind=kind, on=on, zone=zone, quiet=quiet)
        if not is_too_late(due_at, now) and due_at <= now + ahead:
            assert on in looked_at


def test_half_a_day_is_too_late():
    due_at = datetime(2026, 6, 10, 8, tzinfo=UTC)
    assert not is_too_late(due_at, due_at + timedelta(hours=12))
    assert is_too_late(due_at, due_at + timedelta(hours=12, seconds=1))
