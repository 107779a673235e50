"""What an eater's days are to hold, for choosing between dishes: published references, never a limit and never a goal.

A portion is an eater's appetite whatever stands here. The references are those of healthy people, so where a published
answer depends on an illness or a medicine nothing is aimed for: that is for a clinician or a dietitian.
"""

from collections.abc import Collection, Mapping
from datetime import date

from clients.domain.body_measures import Measures, age_on, body_on
from plans.domain.body import RANGES, Body
from plans.domain.contents import three_digits
from plans.domain.energy import Energy, energy_requirement
from plans.domain.intake_week import ENERGY
from plans.domain.intakes import PROTEIN, ReferenceTable, goal_of, references_for
from plans.domain.nutrients import UNITS

LEAST_AGE = 1
"""Under one year most of what is eaten is milk, which no plan holds."""

_NOT_AIMED_FOR = ("fat_g", "carb_g", "fibre_g", "sodium_mg")
"""Fat, carbohydrate and fibre are the stage's and the bowel's business; nobody has to be led to more salt."""

AIMED_FOR = tuple(nutrient for nutrient in UNITS if nutrient not in _NOT_AIMED_FOR)
"""What dishes may be chosen by: energy, protein, minerals and vitamins."""

EATING = frozenset(
    {"eating-disorder-now", "eating-disorder-past", "eating-worry", "eating-screen", "few-foods"}
)
"""Cautions with which nothing is counted by energy or weight."""

LEFT_TO_CLINICIANS: Mapping[str, frozenset[str]] = {
    # KDIGO guideline for chronic kidney disease, 2024: protein and potassium are set for the person.
    "kidney-disease": frozenset({PROTEIN, "potassium_mg"}),
    # NIH Office of Dietary Supplements, Vitamin K: with warfarin the intake is to stay as it is.
    "warfarin": frozenset({"vit_k_ug"}),
    # NICE CG32, Nutrition support for adults, 2006: after eating very little, energy is built up under supervision.
    "refeeding-risk": frozenset({ENERGY}),
}
"""Nutrients that are not aimed for while a caution stands."""


def targets_on(
    on: date,
    *,
    born: date,
    sex: str,
    answers: Mapping[str, object],
    cautions: Collection[str],
    measures: Measures | None,
    references: ReferenceTable,
) -> dict[str, float]:
    """Amounts a day by nutrient key: the RDA or the AI, and the energy of the published equation where it has all.

    With the sex not stated the higher of the two amounts. Nothing for those without published references.
    ``cautions`` are the rules of those that stand.
    """
    _, oldest, _ = RANGES["age"]
    if not LEAST_AGE <= age_on(born, on) <= oldest:
        return {}
    eats_with_worry = not EATING.isdisjoint(cautions)
    body = body_on(on, born=born, sex=sex, answers=answers, measures=None if eats_with_worry else measures)
    left = {nutrient for rule in cautions for nutrient in LEFT_TO_CLINICIANS.get(rule, ())}
    amounts = {} if eats_with_worry or ENERGY in left else _energy(body)
    for nutrient in AIMED_FOR:
        goal = None if nutrient in left else goal_of(references_for(nutrient, body, references))
        if goal is not None:
            amounts[nutrient] = three_digits(goal.most)
    return amounts


def _energy(body: Body) -> dict[str, float]:
    needed = energy_requirement(body)
    return {ENERGY: three_digits(needed.most)} if isinstance(needed, Energy) and needed.most > 0 else {}
