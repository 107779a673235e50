"""Energy a body needs a day, by published equations, in kcal; no margin and no goal is added.

Resting energy: Mifflin, St Jeor et al., Am J Clin Nutr 1990;51:241-247. Estimated energy requirement (EER): National
Academies, Dietary Reference Intakes for Energy (2023), doi 10.17226/26818. The activity bands, the equations under
three years (in part) and the first growth figures were read in Health Canada's tables of the report; the other
coefficients in several independent public programs that agree with one another, the energy laid down in pregnancy in
one secondary source only. They were not read in the report itself.

These are averages for healthy people. One person's need is found by a clinician or a dietitian, not by an equation.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from plans.domain.body import Activity, Body, Condition, Feeding, Sex

MIFFLIN_1990 = "Mifflin, St Jeor et al., Am J Clin Nutr 1990;51:241-247"
NASEM_2023 = "National Academies, Dietary Reference Intakes for Energy (2023), doi 10.17226/26818"

OLDER_THAN_STUDIED = "older-than-studied"
"""The equation was made from people aged 19 to 78."""
PRESENT_WEIGHT = "present-weight-assumed"
"""In pregnancy the present weight goes into the equation and the weight before only chooses the energy laid down.

From memory the report means it so; public programs differ, some take the weight before. It is not settled here.
"""
SEX_NOT_STATED = "sex-not-stated"

NOT_KNOWN = "not-known"
TOO_YOUNG = "too-young"
NOT_FOR_CONDITION = "not-for-condition"
NO_GROUP = "no-published-group"

ADULT_FROM = 19
OLDEST_STUDIED = 78
CHILD_FROM = 3
SECOND_TRIMESTER_FROM = 14
"""Weeks of gestation; the first trimester ends with 13 weeks and 6 days (common obstetric count, from memory)."""
_CONDITION_FROM, _CONDITION_BELOW = 14, 51
"""Ages with published groups for pregnancy and lactation: 14-18, 19-30 and 31-50 years."""


@dataclass(frozen=True, slots=True)
class Energy:
    """Energy a day in kcal, not rounded. ``least`` and ``most`` differ only where the sex is not stated.

    ``equation`` and ``flags`` are codes; ``source`` is where the equation is published.
    """

    least: Decimal
    most: Decimal
    equation: str
    source: str
    flags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NoEquation:
    """Why there is no figure: a code and, for ``NOT_KNOWN``, the fields of ``Body`` that are missing."""

    code: str
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Line:
    base: Decimal
    per_year: Decimal
    per_cm: Decimal
    per_kg: Decimal

    def at(self, age: Decimal, height_cm: Decimal, weight_kg: Decimal) -> Decimal:
        return self.base + self.per_year * age + self.per_cm * height_cm + self.per_kg * weight_kg


_ByActivity = Mapping[Activity, _Line]


def _line(text: str) -> _Line:
    return _Line(*map(Decimal, text.split()))


def _by_activity(*rows: str) -> _ByActivity:
    return dict(zip(Activity, map(_line, rows), strict=True))


# Each row: constant, per year of age, per cm of height, per kg of weight; inactive first, very active last.
_RESTING = {Sex.MALE: _line("5 -5 6.25 10"), Sex.FEMALE: _line("-161 -5 6.25 10")}
_ADULT = {
    Sex.MALE: _by_activity(
        "753.07 -10.83 6.50 14.10",
        "581.47 -10.83 8.30 14.94",
        "1004.82 -10.83 6.52 15.91",
        "-517.88 -10.83 15.61 19.11",
    ),
    Sex.FEMALE: _by_activity(
        "584.90 -7.01 5.72 11.71",
        "575.77 -7.01 6.60 12.14",
        "710.25 -7.01 6.54 12.34",
        "511.83 -7.01 9.07 12.56",
    ),
}
_CHILD = {
    Sex.MALE: _by_activity(  # more with age: one public copy has a slip of sign in the first row
        "-447.51 3.68 13.01 13.15",
        "19.12 3.68 8.62 20.28",
        "-388.19 3.68 12.66 20.46",
        "-671.75 3.68 15.38 23.25",
    ),
    Sex.FEMALE: _by_activity(
        "55.59 -22.25 8.43 17.07",
        "-297.54 -22.25 12.77 14.73",
        "-189.55 -22.25 11.74 18.34",
        "-709.59 -22.25 18.22 14.25",
    ),
}
_UNDER_THREE = {Sex.MALE: _line("-716.45 -1.00 17.82 15.06"), Sex.FEMALE: _line("-69.15 80.0 2.65 54.15")}
_PREGNANCY = _by_activity(
    "1131.20 -2.04 0.34 12.15",
    "693.35 -2.04 5.73 10.20",
    "-223.84 -2.04 13.23 8.15",
    "-779.72 -2.04 18.45 8.73",
)
_PER_WEEK = Decimal("9.16")
_GROWTH = tuple(
    (Decimal(below), {Sex.MALE: Decimal(boys), Sex.FEMALE: Decimal(girls)})
    for below, boys, girls in (
        ("0.25", 200, 180),
        ("0.5", 50, 60),
        ("1", 20, 20),
        ("3", 20, 15),
        ("4", 20, 15),
        ("9", 15, 15),
        ("14", 25, 30),
        ("19", 20, 20),
    )
)
_LAID_DOWN = ((Decimal("18.5"), 300), (Decimal(25), 200), (Decimal(30), 150), (Decimal("Infinity"), -50))
"""Energy laid down a day from the second trimester on, by body mass index before the pregnancy (below, kcal)."""
_FEEDING = {
    Feeding.ONLY_0_TO_6_MONTHS: Decimal(540 - 140),  # milk, less what comes from the mother's own stores
    Feeding.PARTLY_7_TO_12_MONTHS: Decimal(380),
}
_LEVELS = tuple(
    (Decimal(below), tuple(map(Decimal, bounds.split())))
    for below, bounds in (
        ("9", "1.00 1.31 1.44 1.59 2.50"),
        ("14", "1.00 1.44 1.59 1.77 2.50"),
        ("19", "1.00 1.56 1.73 1.92 2.50"),
        ("Infinity", "1.00 1.53 1.68 1.85 2.50"),
    )
)


def activity_at(age: Decimal, level: Decimal) -> Activity | None:
    """The category of a physical activity level (total energy over basal); None under 3 years and outside 1.00-2.50.

    The level only chooses the equation. It is no multiplier in the 2023 equations.
    """
    if age < CHILD_FROM:
        return None
    bounds = next(bounds for below, bounds in _LEVELS if age < below)
    pairs = zip(Activity, bounds, bounds[1:], strict=False)
    return next((activity for activity, least, below in pairs if least <= level < below), None)


def resting_energy(body: Body) -> Energy | NoEquation:
    """Resting energy of an adult by the rounded pair of equations of Mifflin and St Jeor (1990).

    Refused under 19 years and in pregnancy and lactation, which the study did not include; flagged above 78 years.
    """
    if body.condition is not Condition.NONE:
        return NoEquation(NOT_FOR_CONDITION)
    if body.age < ADULT_FROM:
        return NoEquation(TOO_YOUNG)
    if missing := _missing(body, "weight_kg", "height_cm"):
        return NoEquation(NOT_KNOWN, missing)
    kcal = [_RESTING[sex].at(body.age, body.height_cm, body.weight_kg) for sex in body.sexes]
    flags = (OLDER_THAN_STUDIED,) if body.age > OLDEST_STUDIED else ()
    return _energy(kcal, body, equation="mifflin-st-jeor", source=MIFFLIN_1990, flags=flags)


def energy_requirement(body: Body) -> Energy | NoEquation:
    """The estimated energy requirement of the National Academies (2023), by age, sex, condition and activity.

    Children's figures include the cost of growth. In the first trimester nothing is added.
    """
    if body.condition is Condition.NONE:
        return _own_requirement(body)
    if body.condition is Condition.BOTH or not body.sexes:
        return NoEquation(NO_GROUP)
    if not _CONDITION_FROM <= body.age < _CONDITION_BELOW:
        return NoEquation(NO_GROUP)
    if body.condition is Condition.LACTATION:
        return _lactation(body)
    return _pregnancy(body)


def _own_requirement(body: Body) -> Energy | NoEquation:
    needed = ("weight_kg", "height_cm") if body.age < CHILD_FROM else ("weight_kg", "height_cm", "activity")
    if missing := _missing(body, *needed):
        return NoEquation(NOT_KNOWN, missing)
    kind = "under-3" if body.age < CHILD_FROM else "child" if body.age < ADULT_FROM else "adult"
    kcal = [_own_kcal(body, sex) for sex in body.sexes]
    return _energy(kcal, body, equation=f"eer-2023-{kind}", source=NASEM_2023)


def _own_kcal(body: Body, sex: Sex) -> Decimal:
    if body.age < CHILD_FROM:
        line = _UNDER_THREE[sex]
    else:
        line = (_CHILD if body.age < ADULT_FROM else _ADULT)[sex][body.activity]
    growth = next((kcal[sex] for below, kcal in _GROWTH if body.age < below), Decimal(0))
    return line.at(body.age, body.height_cm, body.weight_kg) + growth


def _pregnancy(body: Body) -> Energy | NoEquation:
    if missing := _missing(body, "pregnancy_week"):
        return NoEquation(NOT_KNOWN, missing)
    if body.pregnancy_week < SECOND_TRIMESTER_FROM:
        return _own_requirement(body)
    if missing := _missing(body, "weight_kg", "height_cm", "activity", "weight_before_kg"):
        return NoEquation(NOT_KNOWN, missing)
    bmi_before = body.weight_before_kg / (body.height_cm / 100) ** 2
    kcal = (
        _PREGNANCY[body.activity].at(body.age, body.height_cm, body.weight_kg)
        + _PER_WEEK * body.pregnancy_week
        + next(laid_down for below, laid_down in _LAID_DOWN if bmi_before < below)
    )
    return _energy([kcal], body, equation="eer-2023-pregnancy", source=NASEM_2023, flags=(PRESENT_WEIGHT,))


def _lactation(body: Body) -> Energy | NoEquation:
    if missing := _missing(body, "weight_kg", "height_cm", "activity", "feeding"):
        return NoEquation(NOT_KNOWN, missing)
    kcal = _own_kcal(body, Sex.FEMALE) + _FEEDING[body.feeding]
    return _energy([kcal], body, equation="eer-2023-lactation", source=NASEM_2023)


def _missing(body: Body, *names: str) -> tuple[str, ...]:
    return tuple(name for name in names if getattr(body, name) is None)


def _energy(
    kcal: list[Decimal], body: Body, *, equation: str, source: str, flags: tuple[str, ...] = ()
) -> Energy:
    if len(body.sexes) > 1:
        flags = (*flags, SEX_NOT_STATED)
    return Energy(min(kcal), max(kcal), equation, source, flags)
