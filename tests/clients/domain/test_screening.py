"""Each published rule raises its caution, and only then; more yes never means less caution."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.questions import (
    BY_KEY,
    QUESTIONS,
    Kind,
    Person,
    answers_from_record,
    answers_record,
    asked_of,
)
from clients.domain.screening import ON_YES, RULES, Strength, screen, strongest
from clients.models import Caution
from clients.wording.screening import GROUP, QUESTION, STRENGTH_MEANS, caution_words

TODAY = date(2026, 6, 10)
STOP, FIRST, TELL = Strength.DO_NOT_START, Strength.CLINICIAN_FIRST, Strength.TELL


def aged(years: int) -> Person:
    """Someone whose birthday is today."""
    return Person(born=date(TODAY.year - years, TODAY.month, TODAY.day))


def found(person: Person, **answers) -> dict[str, Strength]:
    """Rules and strengths; ``weight_kg`` stands for ``weight-kg``."""
    named = {key.replace("_", "-"): answer for key, answer in answers.items()}
    return {caution.rule: caution.strength for caution in screen(person, named, TODAY)}


def test_a_healthy_adult_raises_nothing():
    nothing = {question.key: False for question in QUESTIONS if question.kind is Kind.YES_NO}
    figures = {"height-cm": D(175), "weight-kg": D(70), "weight-before-kg": D(70), "scoff-total": D(1)}
    assert screen(aged(40), nothing | figures, TODAY) == ()
    assert screen(aged(40), {}, TODAY) == ()


@pytest.mark.parametrize("rule", ON_YES)
def test_one_yes_raises_its_rule_with_a_source(rule: str):
    raised = {caution.rule: caution for caution in screen(aged(30), {rule: True}, TODAY)}
    assert raised[rule].strength is ON_YES[rule][0]
    assert raised[rule].source
    assert rule not in found(aged(30), **{rule: False})


@pytest.mark.parametrize(
    "rule",
    [
        "pregnant",
        "breastfeeding",
        "eating-disorder-now",
        "bloody-diarrhoea",
        "feverish-diarrhoea",
        "lasting-diarrhoea",
        "no-fluids",
        "black-stools",
        "severe-pain",
        "jaundice",
        "chest-pain",
    ],
)
def test_these_stop_a_start(rule: str):
    """Arvola & Holmberg-Marttila 1999 (pregnancy, breastfeeding); common triage practice (acute signs)."""
    assert found(aged(30), **{rule: True})[rule] is STOP


@pytest.mark.parametrize("rule", ["rectal-bleeding", "anaemia", "abdominal-mass", "bowel-cancer-family"])
def test_each_bowel_alarm_sign_alone_goes_to_a_clinician(rule: str):
    """NICE CG61: unexplained weight loss, rectal bleeding, family history, anaemia, masses, inflammatory markers."""
    assert found(aged(30), **{rule: True})[rule] is FIRST
    assert found(aged(30), bowel_inflammation=True) == {"bowel-inflammation": FIRST}
    assert found(aged(30), unplanned_weight_loss=True) == {"unplanned-weight-loss": FIRST}


@pytest.mark.parametrize(("years", "strength"), [(61, FIRST), (51, FIRST), (50, TELL), (30, TELL)])
def test_a_change_of_bowel_habit_weighs_more_with_age(years: int, strength: Strength):
    """NICE CG61 (over 60); Cleveland Clinic Journal of Medicine, alarm signs (over 50)."""
    assert found(aged(years), bowel_habit_change=True)["bowel-habit-change"] is strength


@pytest.mark.parametrize(
    ("years", "answers", "urgent"),
    [
        (45, {"unplanned_weight_loss": True, "belly_pain": True}, True),
        (39, {"unplanned_weight_loss": True, "belly_pain": True}, False),
        (45, {"belly_pain": True}, False),
        (45, {"weight_kg": D(76), "weight_before_kg": D(80), "belly_pain": True}, True),
        (50, {"rectal_bleeding": True}, True),
        (49, {"rectal_bleeding": True}, False),
        (60, {"anaemia": True}, True),
        (60, {"bowel_habit_change": True}, True),
        (59, {"anaemia": True}, False),
    ],
)
def test_some_signs_are_urgent_at_an_age(years: int, answers: dict, urgent: bool):
    """NICE NG12 (2015 form)."""
    assert ("urgent-bowel-check" in found(aged(years), **answers)) is urgent


@pytest.mark.parametrize(("now", "raised"), [("76", True), ("76.1", False), ("81", False)])
def test_five_percent_of_weight_lost_goes_to_a_clinician(now: str, raised: bool):
    """Gaddey & Holder, Am Fam Physician 2014;89:718."""
    assert ("weight-loss" in found(aged(30), weight_kg=D(now), weight_before_kg=D(80))) is raised


@pytest.mark.parametrize(
    ("weight", "rules"),
    [
        ("56", {"underweight": FIRST, "malnutrition-risk": FIRST}),
        ("57", {"malnutrition-risk": TELL}),
        ("62", {}),
        ("48", {"refeeding-risk": STOP, "underweight": FIRST, "malnutrition-risk": FIRST}),
    ],
)
def test_body_mass_of_adults(weight: str, rules: dict):
    """At 1.75 m: 48 kg is 15.7, 56 kg 18.3, 57 kg 18.6, 62 kg 20.2. NICE CG32; BAPEN 2003."""
    assert found(aged(30), height_cm=D(175), weight_kg=D(weight)) == rules


def test_a_childs_body_mass_is_not_read_like_an_adults():
    assert found(aged(8), height_cm=D(128), weight_kg=D(24)) == {"under-18": FIRST}


def test_acute_illness_without_food_is_high_risk_whatever_the_weight():
    """BAPEN 2003, third step."""
    assert found(aged(30), acutely_ill=True) == {"malnutrition-risk": FIRST}


def test_insulin_counts_among_the_minor_refeeding_criteria():
    """NICE CG32 (2006)."""
    low = {"height_cm": D(175), "weight_kg": D(56)}
    assert "refeeding-risk" not in found(aged(30), **low)
    assert found(aged(30), **low, glucose_lowering=True)["refeeding-risk"] is STOP
    assert found(aged(30), little_intake_days=D(6), refeeding_medicines=True)["refeeding-risk"] is STOP


@pytest.mark.parametrize(
    ("born", "rules"),
    [
        (date(2025, 6, 11), {"infant": STOP}),
        (date(2025, 6, 10), {"under-18": FIRST}),
        (date(2008, 6, 11), {"under-18": FIRST}),
        (date(2008, 6, 10), {}),
        (date(1951, 6, 11), {}),
        (date(1951, 6, 10), {"over-75": FIRST}),
    ],
)
def test_ages(born: date, rules: dict):
    """ESPGHAN 2022; NICE CG32; the limit of twelve months for infants is ours."""
    assert {caution.rule: caution.strength for caution in screen(Person(born), {}, TODAY)} == rules


def test_faltering_growth_goes_to_a_clinician():
    """NICE NG75."""
    raised = found(aged(3), birth_centile=D(50), centile_spaces_fallen=D(2))
    assert raised == {"under-18": FIRST, "faltering-growth": FIRST}


@pytest.mark.parametrize(("total", "raised"), [(1, False), (2, True)])
def test_a_positive_eating_screen_goes_to_a_clinician(total: int, raised: bool):
    """Morgan, Reid & Lacey, BMJ 1999;319:1467."""
    assert ("eating-screen" in found(aged(30), scoff_total=D(total))) is raised


def test_the_strongest_stands_first():
    cautions = screen(aged(30), {"asthma": True, "kidney-disease": True, "pregnant": True}, TODAY)
    assert [caution.strength for caution in cautions] == [STOP, FIRST, TELL]
    assert strongest(cautions) is STOP
    assert strongest([]) is None


yes_no_keys = [question.key for question in QUESTIONS if question.kind is Kind.YES_NO]
numbers = {question.key: question for question in QUESTIONS if question.kind is Kind.NUMBER}
people = st.builds(Person, born=st.dates(date(1920, 1, 1), TODAY), sex=st.sampled_from(["female", "male"]))
some_answers = st.builds(
    lambda answered, figures: answered | figures,
    st.dictionaries(st.sampled_from(yes_no_keys), st.booleans()),
    st.fixed_dictionaries(
        {},
        optional={
            key: st.decimals(question.least, question.most, places=question.decimals)
            for key, question in numbers.items()
        },
    ),
)


@given(person=people, answers=some_answers, also=st.sampled_from(yes_no_keys))
def test_one_more_yes_never_lowers_the_strongest_caution(person: Person, answers: dict, also: str):
    before = strongest(screen(person, answers, TODAY))
    after = strongest(screen(person, answers | {also: True}, TODAY))
    assert before is None or after.rank >= before.rank


@given(person=people, answers=some_answers)
def test_every_caution_can_be_put_in_words_and_no_rule_speaks_twice(person: Person, answers: dict):
    cautions = screen(person, answers, TODAY)
    for caution in cautions:
        words = caution_words(caution.rule, caution.facts, "112")
        assert "%" not in words.meaning
        assert "%(" not in words.title
        assert caution.source
    assert len({caution.rule for caution in cautions}) == len(cautions)


@given(answers=some_answers)
def test_answers_survive_being_stored(answers: dict):
    assert answers_from_record(answers_record(answers)) == answers


@pytest.mark.parametrize(
    ("record", "error"),
    [
        ({"moon-phase": True}, KeyError),
        ({"pregnant": "yes"}, ValueError),
        ({"weight-kg": True}, ValueError),
        ({"weight-kg": "heavy"}, ValueError),
        ({"weight-kg": 4000}, ValueError),
        ({"weight-kg": "NaN"}, ValueError),
    ],
)
def test_answers_that_do_not_fit_are_errors(record: dict, error: type[Exception]):
    with pytest.raises(error):
        answers_from_record(record)


def test_questions_are_asked_of_those_they_apply_to():
    def keys(person: Person) -> set[str]:
        return {question.key for question in asked_of(person, TODAY)}

    assert "pregnant" in keys(aged(30))
    assert "pregnant" not in keys(Person(aged(30).born, "male"))
    assert "pregnant" not in keys(aged(9))
    assert "birth-centile" in keys(aged(4))
    assert "birth-centile" not in keys(aged(5))
    assert "birth-weight-loss" not in keys(aged(1))


def test_everything_has_words():
    assert set(QUESTION) == set(BY_KEY)
    assert set(GROUP) == {question.group for question in QUESTIONS}
    assert set(STRENGTH_MEANS) == set(Strength)
    facts = {"percent": "5.0", "bmi": "17.0", "score": 2, "total": 2}
    for rule in RULES:
        assert caution_words(rule, facts, "112").title


def test_no_words_tell_anyone_to_stop_a_medicine():
    for rule in RULES:
        words = caution_words(rule, {"percent": "5.0", "bmi": "17.0", "score": 2, "total": 2}, "112")
        for forbidden in ("stop taking", "leave out your", "come off", "diagnosed with"):
            assert forbidden not in words.meaning.lower()


def test_the_stored_strengths_are_the_ones_of_the_rules():
    assert Caution.Strength.values == list(Strength)
