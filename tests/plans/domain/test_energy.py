"""Energy a day by published equations. Worked by hand: constant + age + height + weight (+ growth or what is added)."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain import energy
from plans.domain.body import Activity, Body, Condition, Feeding, Sex
from plans.domain.energy import Energy, NoEquation, activity_at, energy_requirement, resting_energy

F, M = Sex.FEMALE, Sex.MALE
INACTIVE, LOW, ACTIVE, VERY = Activity


def _body(
    sex: Sex, age: str, height_cm: str, weight_kg: str, activity: Activity | None = None, **more
) -> Body:
    return Body(
        age=Decimal(age),
        sex=sex,
        height_cm=Decimal(height_cm),
        weight_kg=Decimal(weight_kg),
        activity=activity,
        **more,
    )


def _kcal(found: Energy | NoEquation) -> Decimal:
    assert isinstance(found, Energy)
    assert found.least == found.most
    return found.least


# The rounded pair of equations, Mifflin, St Jeor et al., Am J Clin Nutr 1990;51:241-247.
@pytest.mark.parametrize(
    ("sex", "weight_kg", "height_cm", "age", "kcal"),
    [
        (F, "62", "165", "35", "1315.25"),
        (M, "80", "178", "40", "1717.5"),
        (F, "95", "160", "52", "1529.0"),
        (M, "68", "172", "70", "1410.0"),
    ],
)
def test_resting_energy(sex: Sex, weight_kg: str, height_cm: str, age: str, kcal: str) -> None:
    found = resting_energy(_body(sex, age, height_cm, weight_kg))
    assert _kcal(found) == Decimal(kcal)
    assert (found.equation, found.source, found.flags) == ("mifflin-st-jeor", energy.MIFFLIN_1990, ())


# The unrounded single equation of the same paper: 9.99 W + 6.25 H - 4.92 A + 166 (men) - 161.
@pytest.mark.parametrize(
    ("sex", "weight_kg", "height_cm", "age", "unrounded"),
    [
        (F, "62", "165", "35", "1317.43"),
        (M, "80", "178", "40", "1719.90"),
        (F, "95", "160", "52", "1532.21"),
        (M, "68", "172", "70", "1414.92"),
    ],
)
def test_the_rounded_pair_stays_close_to_the_unrounded_equation(sex, weight_kg, height_cm, age, unrounded):
    assert abs(_kcal(resting_energy(_body(sex, age, height_cm, weight_kg))) - Decimal(unrounded)) <= 5


@pytest.mark.parametrize(("age", "code"), [("18.99", energy.TOO_YOUNG), ("0.5", energy.TOO_YOUNG)])
def test_no_resting_energy_under_19(age: str, code: str) -> None:
    assert resting_energy(_body(F, age, "165", "55")) == NoEquation(code)


@pytest.mark.parametrize(
    ("age", "flags"),
    [("19", ()), ("78", ()), ("78.01", ("older-than-studied",)), ("90", ("older-than-studied",))],
)
def test_resting_energy_is_flagged_above_the_ages_studied(age: str, flags: tuple[str, ...]) -> None:
    assert resting_energy(_body(M, age, "170", "70")).flags == flags


@pytest.mark.parametrize("condition", [Condition.PREGNANCY, Condition.LACTATION])
def test_resting_energy_is_not_for_pregnancy_nor_lactation(condition: Condition) -> None:
    assert resting_energy(_body(F, "30", "165", "62", condition=condition)) == NoEquation("not-for-condition")


def test_what_is_missing_is_named() -> None:
    assert resting_energy(Body(Decimal(30), F)) == NoEquation("not-known", ("weight_kg", "height_cm"))
    assert energy_requirement(_body(F, "30", "165", "62")) == NoEquation("not-known", ("activity",))
    assert energy_requirement(Body(Decimal(2), F)) == NoEquation("not-known", ("weight_kg", "height_cm"))


# EER, National Academies 2023 (doi 10.17226/26818), adults from 19 years.
@pytest.mark.parametrize(
    ("sex", "age", "height_cm", "weight_kg", "activity", "kcal"),
    [
        (M, "40", "178", "80", LOW, "2820.87"),
        (F, "35", "165", "62", INACTIVE, "2009.37"),
        (F, "35", "165", "62", ACTIVE, "2309.08"),
        (M, "72", "172", "75", INACTIVE, "2148.81"),
        (M, "25", "183", "82", VERY, "3635.02"),
    ],
)
def test_adults_need(sex, age, height_cm, weight_kg, activity, kcal) -> None:
    found = energy_requirement(_body(sex, age, height_cm, weight_kg, activity))
    assert _kcal(found) == Decimal(kcal)
    assert (found.equation, found.source) == ("eer-2023-adult", energy.NASEM_2023)


# EER, National Academies 2023, children, with the cost of growth.
@pytest.mark.parametrize(
    ("sex", "age", "height_cm", "weight_kg", "activity", "kcal", "equation"),
    [
        (M, "7", "122", "23", LOW, "1577.96", "child"),
        (F, "10", "138", "32", ACTIVE, "1824.95", "child"),
        (F, "16", "163", "56", INACTIVE, "2049.60", "child"),
        (M, "13", "156", "45", VERY, "2846.62", "child"),
        (M, "3.5", "98", "15", LOW, "1200.96", "child"),
        (F, "2", "86", "12", None, "983.55", "under-3"),
        (M, "0.33", "63", "6.8", None, "558.29", "under-3"),
    ],
)
def test_children_need(sex, age, height_cm, weight_kg, activity, kcal, equation) -> None:
    found = energy_requirement(_body(sex, age, height_cm, weight_kg, activity))
    assert _kcal(found).quantize(Decimal("0.01")) == Decimal(kcal)
    assert found.equation == f"eer-2023-{equation}"


# Cost of growth, kcal a day, National Academies 2023: boys, girls, from each age on.
@pytest.mark.parametrize(
    ("before", "at", "boys", "girls"),
    [
        ("0.249", "0.25", 50 - 200, 60 - 180),
        ("0.499", "0.5", 20 - 50, 20 - 60),
        ("0.999", "1", 0, 15 - 20),
        ("3.999", "4", 15 - 20, 0),
        ("8.999", "9", 25 - 15, 30 - 15),
        ("13.999", "14", 20 - 25, 20 - 30),
    ],
)
@pytest.mark.parametrize("sex", [M, F])
def test_growth_changes_on_the_birthday(before, at, boys, girls, sex) -> None:
    younger, older = (energy_requirement(_body(sex, age, "100", "15", LOW)) for age in (before, at))
    assert _kcal(older) - _kcal(younger) == pytest.approx(boys if sex is M else girls, abs=0.1)


@pytest.mark.parametrize(
    ("age", "equation"), [("2.99", "under-3"), ("3", "child"), ("18.99", "child"), ("19", "adult")]
)
def test_the_equation_changes_on_the_birthday(age: str, equation: str) -> None:
    assert energy_requirement(_body(F, age, "140", "35", LOW)).equation == f"eer-2023-{equation}"


def _pregnant(
    age: str, height: str, weight: str, week: int | None, activity: Activity, before: str | None
) -> Body:
    return _body(
        F,
        age,
        height,
        weight,
        activity,
        condition=Condition.PREGNANCY,
        pregnancy_week=week,
        weight_before_kg=None if before is None else Decimal(before),
    )


# EER, National Academies 2023, second and third trimester. The energy laid down by the body mass index before the
# pregnancy rests on one secondary source; 60, 46 and 90 kg make an index of 22.0, 18.0 and 31.1.
@pytest.mark.parametrize(
    ("age", "height", "weight", "week", "activity", "before", "kcal"),
    [
        ("30", "165", "68", 24, LOW, "60", "2691.04"),
        ("28", "160", "58", 34, ACTIVE, "46", "2919.98"),
        ("33", "170", "96", 30, INACTIVE, "90", "2512.88"),
    ],
)
def test_pregnant_women_need(age, height, weight, week, activity, before, kcal) -> None:
    found = energy_requirement(_pregnant(age, height, weight, week, activity, before))
    assert _kcal(found) == Decimal(kcal)
    assert found.flags == ("present-weight-assumed",)


# EER, National Academies 2023: nothing is added in the first trimester.
def test_the_first_trimester_is_the_womans_own_equation() -> None:
    found = energy_requirement(_pregnant("30", "165", "62", 8, LOW, None))
    assert _kcal(found) == Decimal("2207.15")
    assert found.equation == "eer-2023-adult"


@pytest.mark.parametrize(("week", "equation"), [(13, "eer-2023-adult"), (14, "eer-2023-pregnancy")])
def test_the_second_trimester_begins_after_thirteen_weeks(week: int, equation: str) -> None:
    """The common obstetric count, from memory."""
    assert energy_requirement(_pregnant("30", "165", "68", week, LOW, "60")).equation == equation


@pytest.mark.parametrize(
    ("index", "laid_down"),
    [("18.49", 300), ("18.5", 200), ("24.99", 200), ("25", 150), ("29.99", 150), ("30", -50), ("45", -50)],
)
def test_what_is_laid_down_goes_by_the_index_before(index: str, laid_down: int) -> None:
    at_one_metre_sixty = Decimal(index) * Decimal("2.56")
    body = _pregnant("30", "160", "70", 20, INACTIVE, str(at_one_metre_sixty))
    # 1131.20 - 2.04 × 30 + 0.34 × 160 + 12.15 × 70 + 9.16 × 20
    assert _kcal(energy_requirement(body)) == Decimal("2158.10") + laid_down


def test_a_pregnancy_asks_for_its_week_and_later_for_the_weight_before() -> None:
    assert energy_requirement(_pregnant("30", "165", "68", None, LOW, "60")).missing == ("pregnancy_week",)
    assert energy_requirement(_pregnant("30", "165", "68", 20, LOW, None)).missing == ("weight_before_kg",)


# EER, National Academies 2023: 2217.41 for the woman herself; +540 - 140 while only breast-feeding, then +380.
@pytest.mark.parametrize(
    ("feeding", "kcal"),
    [(Feeding.ONLY_0_TO_6_MONTHS, "2617.41"), (Feeding.PARTLY_7_TO_12_MONTHS, "2597.41")],
)
def test_breast_feeding_women_need(feeding: Feeding, kcal: str) -> None:
    body = _body(F, "32", "165", "64", LOW, condition=Condition.LACTATION, feeding=feeding)
    assert _kcal(energy_requirement(body)) == Decimal(kcal)
    assert _kcal(energy_requirement(replace(body, condition=Condition.NONE))) == Decimal("2217.41")
    assert energy_requirement(replace(body, feeding=None)).missing == ("feeding",)


@pytest.mark.parametrize("condition", [Condition.PREGNANCY, Condition.LACTATION])
@pytest.mark.parametrize(
    ("age", "sex", "code"),
    [("13.99", F, "no-published-group"), ("51", F, "no-published-group"), ("30", M, "no-published-group")],
)
def test_no_figure_where_no_group_is_published(condition: Condition, age: str, sex: Sex, code: str) -> None:
    body = _body(sex, age, "165", "62", LOW, condition=condition, pregnancy_week=20)
    assert energy_requirement(body) == NoEquation(code)


# Physical activity level bands, National Academies 2023, by way of Health Canada's table.
@pytest.mark.parametrize(
    ("age", "bounds"),
    [
        ("3", ("1.31", "1.44", "1.59")),
        ("8.99", ("1.31", "1.44", "1.59")),
        ("9", ("1.44", "1.59", "1.77")),
        ("13.99", ("1.44", "1.59", "1.77")),
        ("14", ("1.56", "1.73", "1.92")),
        ("18.99", ("1.56", "1.73", "1.92")),
        ("19", ("1.53", "1.68", "1.85")),
        ("80", ("1.53", "1.68", "1.85")),
    ],
)
def test_activity_bands(age: str, bounds: tuple[str, str, str]) -> None:
    at = [activity_at(Decimal(age), Decimal(level)) for level in bounds]
    below = [activity_at(Decimal(age), Decimal(level) - Decimal("0.001")) for level in bounds]
    assert (below, at) == ([INACTIVE, LOW, ACTIVE], [LOW, ACTIVE, VERY])


@pytest.mark.parametrize(
    ("age", "level", "activity"),
    [
        ("2.99", "1.5", None),
        ("30", "0.99", None),
        ("30", "2.5", None),
        ("30", "1", INACTIVE),
        ("30", "2.49", VERY),
    ],
)
def test_activity_bands_end_somewhere(age: str, level: str, activity: Activity | None) -> None:
    assert activity_at(Decimal(age), Decimal(level)) is activity


def test_with_the_sex_not_stated_both_equations_are_shown() -> None:
    body = _body(Sex.UNSTATED, "35", "165", "62", INACTIVE)
    found = energy_requirement(body)
    assert found.least == _kcal(energy_requirement(replace(body, sex=F)))
    assert found.most == _kcal(energy_requirement(replace(body, sex=M)))
    assert found.flags == ("sex-not-stated",)


@pytest.mark.parametrize(
    ("field", "value", "unit"),
    [
        ("height_cm", Decimal("1.65"), "centimetres"),
        ("weight_kg", Decimal(0), "kilograms"),
        ("age", Decimal(-1), "years"),
        ("weight_before_kg", Decimal(2), "kilograms"),
        ("pregnancy_week", 60, "weeks"),
    ],
)
def test_what_nobody_can_be_is_refused(field: str, value: Decimal | int, unit: str) -> None:
    with pytest.raises(ValueError, match=f"{field} .* {unit}"):
        replace(Body(Decimal(30)), **{field: value})


@given(
    sex=st.sampled_from([F, M]),
    age=st.decimals("3", "90", places=1),
    height_cm=st.decimals("80", "210", places=1),
    weight_kg=st.decimals("10", "180", places=1),
    activity=st.sampled_from(Activity),
)
def test_whoever_is_heavier_or_taller_needs_more(sex, age, height_cm, weight_kg, activity) -> None:
    body = Body(age, sex, height_cm=height_cm, weight_kg=weight_kg, activity=activity)
    kcal = _kcal(energy_requirement(body))
    assert _kcal(energy_requirement(replace(body, weight_kg=weight_kg + 1))) > kcal
    assert _kcal(energy_requirement(replace(body, height_cm=height_cm + 1))) > kcal
