"""What a planned week holds for one eater, against the reference intakes."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from clients.domain.body_measures import Measures, body_on
from clients.models import Eater
from clients.models import Week as WeekRow
from clients.selectors.measures import latest_measures
from clients.services.weeks import week_values
from plans.domain.body import Body
from plans.domain.book import Food
from plans.domain.intake_week import WeekIntakes, week_intakes
from plans.domain.nutrients import Table, table_for
from plans.domain.plated import Plated, plated
from plans.selectors import foods_of, nutrient_table, reference_intakes

RETINOL_LIMIT, RETINOL_OIL = "liver", "cod-liver-oil"
"""Foods whose vitamin A is retinol: those with the limit of liver, and the oil of it also where nobody gave it one."""


@dataclass(frozen=True, slots=True)
class EaterNutrition:
    """Amounts, intakes and what they rest on. ``foods`` are the book's of today, else those of the plan.

    ``table`` has the figures of ``foods``; ``follows`` is the protocol the week was planned by, with its version;
    ``appetite`` is the share of an adult portion that the plan was made with; ``planned_days`` and ``planned_meals``
    are how many the week has room for.
    """

    plated: Plated
    intakes: WeekIntakes
    body: Body
    measures: Measures | None
    foods: Mapping[str, Food]
    table: Table
    follows: str
    appetite: Decimal
    planned_days: int
    planned_meals: int


def eater_nutrition(*, week: WeekRow, eater: Eater) -> EaterNutrition | None:
    """What a planned week holds for an eater; None when the week is not planned or has no plate for them.

    Amounts are those of the plan; figures are the book's of today, so that one given later counts. The age is that of
    the week's first day.
    """
    if week.state != WeekRow.State.PLANNED:
        return None
    plan, brief = week_values(week)
    held = plated(plan, brief, str(eater.pk))
    if not held.meals:
        return None
    asked = next(each for each in brief.eaters if each.key == str(eater.pk))
    foods = {**brief.foods, **foods_of(week.household.practice)}
    table = table_for(foods, nutrient_table())
    measures = latest_measures(eater)
    body = body_on(week.start, born=eater.born, sex=eater.sex, answers=eater.answers, measures=measures)
    intakes = week_intakes(
        amounts=held.grams,
        days=len(held.days),
        table=table,
        references=reference_intakes(),
        body=body,
        preformed=[key for key, food in foods.items() if RETINOL_LIMIT in food.limits or key == RETINOL_OIL],
        unweighed=held.unweighed,
    )
    return EaterNutrition(
        plated=held,
        intakes=intakes,
        body=body,
        measures=measures,
        foods=foods,
        table=table,
        follows=asked.follows,
        appetite=asked.appetite,
        planned_days=plan.days,
        planned_meals=plan.days * len(brief.slots),
    )
