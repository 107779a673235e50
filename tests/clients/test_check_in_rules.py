"""What a check-in means: scales against their publications, conditions, red flags."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.check_in import (
    CONDITION_DAYS,
    HARD_FORMS,
    LOOSE_FORMS,
    RED_FLAGS,
    SYMPTOMS,
    Answers,
    Urgency,
    burden,
    conditions_in,
    conditions_in_force,
    urgency,
)
from clients.wording.check_in import RED_FLAG, STOOL_FORM, SYMPTOM, WHAT_TO_DO

TODAY = date(2026, 6, 10)
ratings = st.dictionaries(st.sampled_from(SYMPTOMS), st.integers(0, 10))
answers = st.builds(
    Answers,
    symptoms=ratings,
    stool_form=st.none() | st.integers(1, 7),
    stool_count=st.none() | st.integers(0, 30),
    red_flags=st.lists(st.sampled_from([flag.key for flag in RED_FLAGS]), unique=True).map(tuple),
)


def test_stool_forms_read_as_published():
    """Lewis & Heaton, Scand J Gastroenterol 1997;32:920-4: seven types, 1-2 constipation, 6-7 diarrhoea."""
    assert sorted(STOOL_FORM) == [1, 2, 3, 4, 5, 6, 7]
    for form in range(1, 8):
        found = conditions_in(Answers(symptoms={}, stool_form=form))
        assert ("constipation" in found) == (form in (1, 2))
        assert ("loose-stools" in found) == (form in (6, 7))
    assert (HARD_FORMS, LOOSE_FORMS) == ((1, 2), (6, 7))


@pytest.mark.parametrize(("rating", "flares"), [(6, False), (7, True), (10, True)])
def test_severe_starts_at_seven(rating: int, flares: bool):
    """7-10 is the severe band of the 11-point numeric rating scale (Physiotherapy Canada's page on it)."""
    assert ("flare" in conditions_in(Answers(symptoms={"bloating": rating}))) is flares


def test_every_word_has_wording():
    assert set(SYMPTOM) == set(SYMPTOMS)
    assert set(RED_FLAG) == {flag.key for flag in RED_FLAGS}
    assert set(WHAT_TO_DO) == set(Urgency)


@pytest.mark.parametrize("key", ["swelling-or-breathing", "faint-after-food"])
def test_signs_of_anaphylaxis_are_an_emergency(key: str):
    """Cardona et al., World Allergy Organization anaphylaxis guidance 2020, 13:100472."""
    assert urgency([key]) is Urgency.EMERGENCY


@pytest.mark.parametrize("key", ["blood-in-stool", "weight-loss"])
def test_bowel_alarm_signs_always_lead_to_a_clinician(key: str):
    """NICE CG61: rectal bleeding and unexplained weight loss are red-flag indicators."""
    assert urgency([key]) is not None


@given(st.lists(st.sampled_from([flag.key for flag in RED_FLAGS]), unique=True), st.sampled_from(RED_FLAGS))
def test_one_more_red_flag_never_lowers_the_urgency(keys: list[str], extra):
    before = urgency(keys) or 0
    assert urgency([*keys, extra.key]) >= before


@given(answers, st.integers(-3, 10))
def test_conditions_hold_on_the_day_and_the_day_after(given_answers: Answers, age: int):
    found = conditions_in_force([(TODAY - timedelta(days=age), given_answers)], TODAY)
    assert found == (conditions_in(given_answers) if 0 <= age < CONDITION_DAYS else frozenset())


@given(st.lists(st.tuples(st.dates(TODAY - timedelta(days=30), TODAY), answers), max_size=6))
def test_only_the_newest_report_steers(reports):
    newest_first = sorted(reports, key=lambda report: report[0], reverse=True)
    if len({on for on, _ in reports}) == len(reports):
        assert conditions_in_force(reports, TODAY) == conditions_in_force(newest_first[:1], TODAY)


@given(ratings)
def test_burden_lies_between_the_least_and_the_worst(symptoms: dict[str, int]):
    value = burden(symptoms)
    if symptoms:
        assert Decimal(min(symptoms.values())) <= value <= Decimal(max(symptoms.values()))
    else:
        assert value is None
