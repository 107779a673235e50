"""Figures a screening rests on: ages, body mass index and published risk scores. They sort people to a clinician.

Weights are kilograms, heights centimetres, spans days, ages whole years or months. Nothing here diagnoses.
"""

from datetime import date
from decimal import Decimal
from enum import IntEnum

UNDERWEIGHT_BMI = Decimal("18.5")
ADULT_YEARS = 18


class Risk(IntEnum):
    """The three bands of the malnutrition screen: 0, 1, 2 or more."""

    LOW = 0
    MEDIUM = 1
    HIGH = 2


def age_months(born: date, on: date) -> int:
    """Completed months of life; someone born on the 31st completes a shorter month on the next one's first day."""
    return (on.year - born.year) * 12 + on.month - born.month - (on.day < born.day)


def age_years(born: date, on: date) -> int:
    """Completed years of life."""
    return age_months(born, on) // 12


def bmi(weight_kg: Decimal, height_cm: Decimal) -> Decimal:
    """Body mass index, kg/m², not rounded. Raises ZeroDivisionError for no height."""
    return weight_kg / (height_cm / 100) ** 2


def loss_percent(before_kg: Decimal, now_kg: Decimal) -> Decimal:
    """Weight lost in percent of the weight before; negative for a gain."""
    return (before_kg - now_kg) / before_kg * 100


def must_score(bmi: Decimal | None, loss_percent: Decimal | None, *, acutely_ill: bool = False) -> int:
    """The Malnutrition Universal Screening Tool for adults (BAPEN 2003): three steps, each 0 to 2, added up.

    ``acutely_ill`` means ill with no food, or likely none, for more than five days. ``loss_percent`` was unplanned and
    happened within the last three to six months. A figure that is not known adds nothing: then the total is the least.
    """
    by_bmi = 0 if bmi is None or bmi > 20 else 1 if bmi >= UNDERWEIGHT_BMI else 2
    by_loss = 0 if loss_percent is None or loss_percent < 5 else 1 if loss_percent <= 10 else 2
    return by_bmi + by_loss + 2 * acutely_ill


def must_risk(score: int) -> Risk:
    """What the total of the malnutrition screen means: 0 low, 1 medium, 2 or more high."""
    return Risk(min(score, Risk.HIGH))


def refeeding_risk_is_high(
    *,
    bmi: Decimal | None = None,
    loss_percent: Decimal | None = None,
    little_intake_days: int | None = None,
    low_salts: bool = False,
    alcohol_or_medicines: bool = False,
) -> bool:
    """High risk of refeeding problems: one major or two minor criteria of NICE CG32 (2006). None is not known.

    ``low_salts``: low potassium, phosphate or magnesium before feeding. ``alcohol_or_medicines``: a history of alcohol
    abuse, or insulin, chemotherapy, antacids or diuretics.
    """
    majors = (
        bmi is not None and bmi < 16,
        loss_percent is not None and loss_percent > 15,
        little_intake_days is not None and little_intake_days > 10,
        low_salts,
    )
    minors = (
        bmi is not None and bmi < UNDERWEIGHT_BMI,
        loss_percent is not None and loss_percent > 10,
        little_intake_days is not None and little_intake_days > 5,
        alcohol_or_medicines,
    )
    return any(majors) or sum(minors) >= 2


def eating_screen_is_positive(total: int) -> bool:
    """Two or more yes answers of the five SCOFF questions: a screen, not a diagnosis (Morgan et al., BMJ 1999)."""
    return total >= 2


def growth_falters(
    *, birth_centile: Decimal | None, spaces_fallen: Decimal | None, current_centile: Decimal | None
) -> bool:
    """A young child's weight falls through the centile lines further than NICE NG75 (2017) accepts.

    One space or more when born below the 9th centile, two when born between the 9th and the 91st, three above; or a
    weight below the 2nd centile now, whatever it was at birth.
    """
    if current_centile is not None and current_centile < 2:
        return True
    if birth_centile is None or spaces_fallen is None:
        return False
    accepted = 1 if birth_centile < 9 else 2 if birth_centile <= 91 else 3
    return spaces_fallen >= accepted
