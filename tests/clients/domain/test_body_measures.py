"""An eater's body on a day: age in months, conditions from the screening, measures counted on or let go."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.body_measures import Measures, age_on, body_on, condition_of
from plans.domain.body import Activity, Condition, Feeding, Sex

MONDAY = date(2026, 6, 15)
BORN = date(1990, 3, 2)
WEEK = timedelta(weeks=1)
PREGNANT, FEEDING = {"pregnant": True}, {"breastfeeding": True}


def body(measures: Measures | None = None, on: date = MONDAY, **more):
    return body_on(on, **{"born": BORN, "sex": "female", "answers": {}, "measures": measures} | more)


@pytest.mark.parametrize(
    ("answers", "condition"),
    [
        ({}, Condition.NONE),
        ({"pregnant": False, "breastfeeding": False}, Condition.NONE),
        (PREGNANT, Condition.PREGNANCY),
        (FEEDING, Condition.LACTATION),
        (PREGNANT | FEEDING, Condition.BOTH),
        ({"pregnant": "yes"}, Condition.NONE),
    ],
)
def test_the_condition_is_what_the_screening_says(answers, condition):
    assert condition_of(answers) is condition


@pytest.mark.parametrize(
    ("born", "age"),
    [
        (date(2017, 6, 15), "9"),
        (date(2026, 1, 1), Decimal(5) / 12),
        (MONDAY, "0"),
        (MONDAY + timedelta(days=40), "0"),
    ],
)
def test_age_counts_completed_months_and_never_below_none(born, age):
    assert age_on(born, MONDAY) == Decimal(age)


def test_the_day_before_a_birthday_is_still_the_year_before():
    assert age_on(date(2017, 6, 16), MONDAY) == Decimal(107) / 12


def test_without_measures_age_and_sex_are_known():
    found = body()
    assert (found.age, found.sex, found.weight_kg, found.activity) == (
        36 + Decimal(3) / 12,
        Sex.FEMALE,
        None,
        None,
    )


def test_measures_of_a_pregnancy_are_let_go_when_there_is_none():
    measures = Measures(MONDAY, Decimal(60), Decimal(165), Activity.ACTIVE, 20, Decimal(58))
    found = body(measures)
    assert (found.weight_kg, found.height_cm, found.activity) == (60, 165, Activity.ACTIVE)
    assert (found.pregnancy_week, found.weight_before_kg, found.feeding) == (None, None, None)
    assert body(measures, answers=PREGNANT).weight_before_kg == 58


@pytest.mark.parametrize(
    ("given", "later", "week"),
    [(20, 0, 20), (20, 3, 23), (20, -2, 18), (40, 5, 45), (40, 6, None), (3, -4, None)],
)
def test_a_pregnancy_goes_on_by_the_calendar(given, later, week):
    found = body(Measures(MONDAY, pregnancy_week=given), on=MONDAY + later * WEEK, answers=PREGNANT)
    assert found.pregnancy_week == week


def test_six_days_later_it_is_still_the_same_week():
    found = body(Measures(MONDAY, pregnancy_week=20), on=MONDAY + timedelta(days=6), answers=PREGNANT)
    assert found.pregnancy_week == 20


@pytest.mark.parametrize(("days", "feeding"), [(183, Feeding.ONLY_0_TO_6_MONTHS), (184, None)])
def test_a_way_of_feeding_is_let_go_after_half_a_year(days, feeding):
    measures = Measures(MONDAY, feeding=Feeding.ONLY_0_TO_6_MONTHS)
    assert body(measures, on=MONDAY + timedelta(days=days), answers=FEEDING).feeding is feeding


def test_both_at_once_use_neither():
    measures = Measures(MONDAY, pregnancy_week=20, feeding=Feeding.ONLY_0_TO_6_MONTHS)
    found = body(measures, answers=PREGNANT | FEEDING)
    assert (found.condition, found.pregnancy_week, found.feeding) == (Condition.BOTH, None, None)


@given(
    on=st.dates(date(1900, 1, 1), date(2100, 1, 1)),
    measured_on=st.dates(date(1900, 1, 1), date(2100, 1, 1)),
    week=st.none() | st.integers(0, 45),
    feeding=st.none() | st.sampled_from(Feeding),
    answers=st.dictionaries(st.sampled_from(("pregnant", "breastfeeding")), st.booleans()),
    sex=st.sampled_from([sex.value for sex in Sex]),
)
def test_any_days_make_a_body(on, measured_on, week, feeding, answers, sex):
    measures = Measures(measured_on, pregnancy_week=week, feeding=feeding)
    born = on - timedelta(days=365 * 30)
    assert body_on(on, born=born, sex=sex, answers=answers, measures=measures).sex == sex
