"""What is known of an eater's body on a day, as references of energy and nutrients ask for it.

Measures are optional. They fill the published equation for energy and give the protein by weight, and nothing else: no
weight is a goal here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clients.domain.measures import age_months
from plans.domain.body import RANGES, Activity, Body, Condition, Feeding, Sex
from plans.domain.limits import BREASTFEEDING, PREGNANT

FEEDING_HOLDS_DAYS = 183
"""Each way of feeding spans half a year, so that what was noted longer ago is over for certain."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Measures as they were on a day; what nobody gave is None. Kilograms and centimetres, not rounded.

    ``pregnancy_week`` counts weeks of gestation, ``weight_before_kg`` is the weight before the pregnancy.
    """

    measured_on: date
    weight_kg: Decimal | None = None
    height_cm: Decimal | None = None
    activity: Activity | None = None
    pregnancy_week: int | None = None
    weight_before_kg: Decimal | None = None
    feeding: Feeding | None = None

    @property
    def is_empty(self) -> bool:
        """Nothing but the day is known."""
        return self == Measures(self.measured_on)


def condition_of(answers: Mapping[str, object]) -> Condition:
    """Pregnancy and breast-feeding by the screening answers; what was not asked counts as neither."""
    is_pregnant, is_feeding = answers.get(PREGNANT) is True, answers.get(BREASTFEEDING) is True
    if is_pregnant and is_feeding:
        return Condition.BOTH
    if is_pregnant:
        return Condition.PREGNANCY
    return Condition.LACTATION if is_feeding else Condition.NONE


def age_on(born: date, on: date) -> Decimal:
    """An age in years from completed months; someone still unborn on that day is new-born."""
    return Decimal(max(age_months(born, on), 0)) / 12


def body_on(
    on: date, *, born: date, sex: str, answers: Mapping[str, object], measures: Measures | None
) -> Body:
    """An eater's body on a day, by the measures at hand.

    The week of a pregnancy is counted on from the day it was given. Measures that only mean something in a pregnancy or
    while breast-feeding are left out otherwise.
    """
    condition = condition_of(answers)
    known = measures or Measures(on)
    is_pregnant = condition is Condition.PREGNANCY
    return Body(
        age=age_on(born, on),
        sex=Sex(sex),
        condition=condition,
        weight_kg=known.weight_kg,
        height_cm=known.height_cm,
        activity=known.activity,
        pregnancy_week=_week_on(known, on) if is_pregnant else None,
        weight_before_kg=known.weight_before_kg if is_pregnant else None,
        feeding=_feeding_on(known, on) if condition is Condition.LACTATION else None,
    )


def _week_on(measures: Measures, on: date) -> int | None:
    if measures.pregnancy_week is None:
        return None
    week = measures.pregnancy_week + (on - measures.measured_on).days // 7
    least, most, _ = RANGES["pregnancy_week"]
    return week if least <= week <= most else None


def _feeding_on(measures: Measures, on: date) -> Feeding | None:
    return measures.feeding if abs((on - measures.measured_on).days) <= FEEDING_HOLDS_DAYS else None
