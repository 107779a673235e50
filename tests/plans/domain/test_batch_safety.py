"""Clock times for cooling, days for keeping, and a file of figures that is whole."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.batch.safety import (
    cooling_of,
    core_temp_f,
    keeping_of,
    kitchen_safety_from_rows,
    simmer_stretch,
)
from plans.domain.batch.trade import Kind
from tests.plans.domain.batch_asks import SAFETY, ZONE, rows


def clock(moment: datetime) -> str:
    return f"{moment:%d %b %H:%M %Z}"


def test_a_pot_off_the_heat_at_twenty_to_two_is_cold_by_twenty_to_eight():
    cooling = cooling_of(datetime(2026, 3, 2, 18, 40, tzinfo=UTC), ZONE, SAFETY)
    assert (clock(cooling.from_at), cooling.first_f, cooling.cold_f) == ("02 Mar 13:40 EST", 70, 41)
    assert clock(cooling.first_by) == "02 Mar 15:40 EST"
    assert clock(cooling.cold_by) == "02 Mar 19:40 EST"


def test_hours_are_elapsed_hours_when_the_clocks_go_forward():
    """New York, 8 March 2026: two o'clock in the morning is three (IANA time zones)."""
    cooling = cooling_of(datetime(2026, 3, 8, 5, 30, tzinfo=UTC), ZONE, SAFETY)
    assert clock(cooling.from_at) == "08 Mar 00:30 EST"
    assert clock(cooling.first_by) == "08 Mar 03:30 EDT"
    assert clock(cooling.cold_by) == "08 Mar 07:30 EDT"


def test_hours_are_elapsed_hours_when_the_clocks_go_back():
    """New York, 1 November 2026: two o'clock in the morning is one again (IANA time zones)."""
    cooling = cooling_of(datetime(2026, 11, 1, 4, 30, tzinfo=UTC), ZONE, SAFETY)
    assert clock(cooling.from_at) == "01 Nov 00:30 EDT"
    assert clock(cooling.first_by) == "01 Nov 01:30 EST"
    assert clock(cooling.cold_by) == "01 Nov 05:30 EST"


@given(
    st.integers(0, 3_000_000).map(
        lambda minutes: datetime(2024, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    ),
    st.sampled_from((ZONE, "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu")),
)
def test_two_hours_and_six_hours_anywhere_and_any_time(off_heat_at, zone):
    cooling = cooling_of(off_heat_at, zone, SAFETY)
    assert cooling.first_by.astimezone(UTC) - off_heat_at == timedelta(hours=2)
    assert cooling.cold_by.astimezone(UTC) - off_heat_at == timedelta(hours=6)


@pytest.mark.parametrize(
    ("made_on", "fridge_days", "use_by"),
    [
        (date(2024, 2, 27), None, date(2024, 3, 1)),
        (date(2024, 2, 27), 4, date(2024, 3, 2)),
        (date(2023, 2, 27), 4, date(2023, 3, 3)),
        (date(2024, 2, 27), 9, date(2024, 3, 2)),
        (date(2024, 2, 27), 2, date(2024, 2, 29)),
    ],
)
def test_a_recipe_may_keep_shorter_than_the_chart_and_never_longer(made_on, fridge_days, use_by):
    assert keeping_of(made_on, SAFETY, fridge_days=fridge_days).use_by == use_by


def test_frozen_it_is_at_its_best_for_ninety_days():
    assert keeping_of(date(2023, 11, 30), SAFETY).best_by == date(2024, 2, 28)


@pytest.mark.parametrize(
    ("kind", "fahrenheit"),
    [
        (Kind.POULTRY, 165),
        (Kind.GAME, 160),
        (Kind.BEEF, 145),
        (Kind.LAMB, 145),
        (Kind.PORK, 145),
        (Kind.FISH, 145),
    ],
)
def test_meat_is_as_hot_as_the_chart_has_it(kind, fahrenheit):
    """foodsafety.gov (HHS and USDA), Safe Minimum Internal Temperatures."""
    assert core_temp_f(kind) == fahrenheit


@pytest.mark.parametrize(
    ("elevation_ft", "stretch"), [("0", "1"), ("4999", "1"), ("5000", "1.25"), ("9000", "1.25")]
)
def test_a_simmer_takes_a_quarter_longer_from_five_thousand_feet_on(elevation_ft, stretch):
    """USDA FSIS, High Altitude Cooking: moist heat takes up to one fourth longer at 5,000 ft."""
    assert simmer_stretch(Decimal(elevation_ft), SAFETY) == Decimal(stretch)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda found: found[1:], "no figure for cool_from_f"),
        (lambda found: [*found, found[0]], "named twice"),
        (lambda found: [*found, found[0] | {"figure": "moon_phase"}], "unknown"),
        (lambda found: [found[0] | {"source": " "}, *found[1:]], "without source"),
        (lambda found: [found[0] | {"value": "warm"}, *found[1:]], "no number"),
        (lambda found: [found[0] | {"value": "NaN"}, *found[1:]], "not above nothing"),
        (lambda found: [found[0] | {"value": "0"}, *found[1:]], "not above nothing"),
    ],
)
def test_a_file_of_figures_is_whole_or_refused(change, message):
    with pytest.raises(ValueError, match=message):
        kitchen_safety_from_rows(change(rows()))


def test_a_missing_column_is_an_error():
    with pytest.raises(KeyError):
        kitchen_safety_from_rows([{"figure": "cool_from_f", "value": "135"}])
