"""Every code of references, equations and ranges has words, and none of them judges a person."""

from enum import Enum

import pytest

from clients.wording import nutrition as words
from clients.wording.measures import ACTIVITY_MEANS, activity_choices
from plans.domain import energy, intakes
from plans.domain.body import Activity, Body, Condition, Feeding
from plans.domain.energy_shares import Place
from plans.domain.intake_confidence import Confidence
from plans.domain.intakes import Above, Band, Upper
from plans.selectors import reference_intakes

GROUPS = {row.group for rows in reference_intakes().values() for row in rows}
MISSING = set(Body.__dataclass_fields__) - {"age", "sex", "condition"}
CODES = [
    (words.BAND, set(Band)),
    (words.ABOVE, set(Above)),
    (words.PLACE, set(Place)),
    (words.GOAL, {"rda", "ai"}),
    (words.SURE, {"ear", "ai"}),
    (words.UPPER, {"ul", "cdrr"}),
    (words.WHY, {*intakes.NOT_FROM_FOOD.values(), intakes.PREFORMED_ONLY}),
    (words.NOTE, {*intakes.NOTES.values(), "by-weight"}),
    (words.NOT_IN_TABLE, set(intakes.NOT_IN_TABLE)),
    (words.SET, {intakes.REFERENCE_SET}),
    (words.FLAG, {energy.OLDER_THAN_STUDIED, energy.PRESENT_WEIGHT, energy.SEX_NOT_STATED}),
    (
        words.NO_EQUATION,
        {energy.NOT_KNOWN, energy.TOO_YOUNG, energy.NOT_FOR_CONDITION, energy.NO_GROUP},
    ),
    (words.MEASURE, MISSING),
    (words.NO_GROUP, set(Condition)),
    (words.GROUP, GROUPS),
    (ACTIVITY_MEANS, set(Activity)),
]
FORBIDDEN = ("deficien", "diagnos", "normal", "healthy weight", "overweight", "safe")


def all_words() -> list[str]:
    said = [str(text) for mapping, _ in CODES for text in mapping.values()]
    return (
        said + [str(text) for text in words.EQUATION.values()] + [str(text) for _, text in words.GOAL_MEANS]
    )


@pytest.mark.parametrize(("mapping", "codes"), CODES)
def test_every_code_has_words_and_no_words_lack_a_code(mapping: dict, codes: set):
    assert set(mapping) == codes
    assert all(str(text) for text in mapping.values())


def test_every_equation_has_a_name():
    woman = {"weight_kg": 60, "height_cm": 165, "activity": Activity.ACTIVE}
    made = {
        answer.equation
        for body in (
            Body(30, **woman),
            Body(10, **woman),
            Body(2, **woman),
            Body(30, condition=Condition.PREGNANCY, pregnancy_week=20, weight_before_kg=58, **woman),
            Body(30, condition=Condition.LACTATION, feeding=Feeding.ONLY_0_TO_6_MONTHS, **woman),
        )
        if isinstance(answer := energy.energy_requirement(body), energy.Energy)
    }
    made.add(energy.resting_energy(Body(30, **woman)).equation)
    assert set(words.EQUATION) == made


def test_every_abbreviation_on_the_page_is_explained():
    explained = {str(term) for term, _ in words.GOAL_MEANS} - {"How sure"}
    assert explained == {str(text) for text in (*words.GOAL.values(), *words.UPPER.values())} | {"EAR"}


def test_no_words_judge_a_person():
    assert [text for text in all_words() for word in FORBIDDEN if word in text.lower()] == []


@pytest.mark.parametrize("place", Above)
@pytest.mark.parametrize("why", ["", *words.WHY])
def test_upper_amounts_are_said_in_full(place: Enum, why: str):
    said = words.upper_words(Upper("ul", None, None, place, why))
    assert said.endswith(".") and "%" not in said


def test_what_is_missing_for_an_equation_is_named():
    answer = energy.NoEquation(energy.NOT_KNOWN, ("weight_kg", "height_cm"))
    assert words.no_equation_words(answer) == "Not computed. Missing: weight, height."
    assert "%" not in words.no_equation_words(energy.NoEquation(energy.NO_GROUP))


def test_every_activity_can_be_chosen():
    assert [key for key, _ in activity_choices()] == list(Activity)


# The method is no surer than 0.98 (table B-1, Applications in Dietary Assessment, 2000).
@pytest.mark.parametrize(
    ("share", "at_least", "said"),
    [
        (0.836, False, "about 84 % sure that the usual intake is above the EAR"),
        (0.836, True, "at least 84 % sure"),
        (0.9999, False, "at least 98 % sure"),
        (0.001, False, "about 2 % sure"),
    ],
)
def test_how_sure_is_said_in_whole_percent_and_never_surer_than_the_method(
    share: float, at_least: bool, said: str
) -> None:
    sure = Confidence(against="ear", z=0.0, share=share, by_table=share, days=7)
    assert said in words.sure_words(sure, at_least=at_least)


@pytest.mark.parametrize(
    ("held", "reference", "said"),
    [
        (None, 2000.0, ""),
        ((1187, True), None, "about 1190 kcal a day"),
        ((1187, False), 2149.0, "at least 1190 kcal a day, where the reference is about 2150"),
    ],
)
def test_the_energy_of_a_plan_is_said_to_tens_beside_the_reference(held, reference, said):
    assert words.energy_words(held, reference) == said
