"""Meals eaten elsewhere week after week: stored, laid over dates, and never all of them for everybody."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.people import WEEKDAYS
from clients.domain.presence import EVERY_MEAL, away_from_record, away_on, away_record, nobody_at_home
from clients.wording.presence import away_words
from plans.domain.vocabulary import Slot

aways = st.frozensets(st.sampled_from(EVERY_MEAL))
starts = st.dates(date(2020, 1, 1), date(2040, 1, 1))


@given(aways)
def test_meals_survive_their_record(away):
    record = away_record(away)
    assert away_from_record(record) == away
    assert record == sorted(record, key=lambda row: EVERY_MEAL.index((row[0], Slot(row[1]))))


@given(aways, starts)
def test_a_week_from_any_day_has_each_meal_once(away, start):
    dates = [start + timedelta(days=day) for day in range(7)]
    laid = away_on(away, dates)
    assert {(WEEKDAYS[dates[day].weekday()], slot) for day, slot in laid} == away
    assert len(laid) == len(away)


@given(aways, starts)
def test_two_weeks_have_each_meal_twice(away, start):
    dates = [start + timedelta(days=day) for day in range(14)]
    assert len(away_on(away, dates)) == 2 * len(away)


def test_days_count_from_the_start():
    # 10 June 2026 is a Wednesday.
    wednesday = date(2026, 6, 10)
    dates = [wednesday + timedelta(days=day) for day in range(7)]
    assert away_on({("wed", Slot.MIDDAY), ("tue", Slot.EVENING)}, dates) == {
        (0, Slot.MIDDAY),
        (6, Slot.EVENING),
    }


@pytest.mark.parametrize(
    ("aways", "expected"),
    [
        ([], False),
        ([()], False),
        ([EVERY_MEAL], True),
        ([EVERY_MEAL, EVERY_MEAL], True),
        ([EVERY_MEAL, EVERY_MEAL[1:]], False),
        ([EVERY_MEAL[1:]], False),
    ],
)
def test_somebody_has_to_be_at_home_for_something(aways, expected):
    assert nobody_at_home(aways) is expected


@pytest.mark.parametrize("record", [[["mon", "lunch"]], [["mon"]]])
def test_a_meal_there_is_not_is_an_error(record):
    with pytest.raises(ValueError):
        away_from_record(record)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ("mon tue wed thu fri", "Midday: Monday to Friday"),
        ("mon tue", "Midday: Monday, Tuesday"),
        ("mon wed thu fri sun", "Midday: Monday, Wednesday to Friday, Sunday"),
        ("mon tue wed thu fri sat sun", "Midday: every day"),
    ],
)
def test_days_in_a_row_are_said_as_a_span(days, words):
    assert away_words({(day, Slot.MIDDAY) for day in days.split()}) == [words]


def test_meals_are_said_in_the_order_of_the_day():
    away = {("sat", Slot.EVENING), ("mon", Slot.BREAKFAST)}
    assert away_words(away) == ["Breakfast: Monday", "Evening: Saturday"]
