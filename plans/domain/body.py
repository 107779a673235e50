"""What is known of one body, as published energy and nutrient references ask for it.

Ages are decimal years, weights kilograms, heights centimetres. What is not known is None.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Sex(StrEnum):
    """The sex a reference is published for. Not stated means: show both."""

    FEMALE = "female"
    MALE = "male"
    UNSTATED = "unstated"


class Condition(StrEnum):
    """States that have references of their own."""

    NONE = "none"
    PREGNANCY = "pregnancy"
    LACTATION = "lactation"
    BOTH = "pregnancy-and-lactation"
    """Pregnant and still breast-feeding: no reference is published for it."""


class Activity(StrEnum):
    """How active someone is, by the four categories of the National Academies (2023)."""

    INACTIVE = "inactive"
    LOW_ACTIVE = "low-active"
    ACTIVE = "active"
    VERY_ACTIVE = "very-active"


class Feeding(StrEnum):
    """The two ways of breast-feeding with a published energy cost; months since the birth."""

    ONLY_0_TO_6_MONTHS = "only-0-to-6-months"
    PARTLY_7_TO_12_MONTHS = "partly-7-to-12-months"


RANGES = {
    "age": (Decimal(0), Decimal(130), "years"),
    "weight_kg": (Decimal("0.3"), Decimal(650), "kilograms"),
    "weight_before_kg": (Decimal(20), Decimal(650), "kilograms"),
    "height_cm": (Decimal(20), Decimal(280), "centimetres"),
    "pregnancy_week": (0, 45, "weeks"),
}
"""What a person can be at all, both ends included, so that metres, pounds and slips of the pen are caught."""


@dataclass(frozen=True, slots=True)
class Body:
    """One person's age, sex and, where known, measures; ``age`` may be a fraction (completed months / 12).

    ``weight_before_kg`` is the weight before the pregnancy, ``pregnancy_week`` counts weeks of gestation.
    Raises ValueError for a measure no person can have, saying the unit that is expected.
    """

    age: Decimal
    sex: Sex = Sex.UNSTATED
    condition: Condition = Condition.NONE
    weight_kg: Decimal | None = None
    height_cm: Decimal | None = None
    activity: Activity | None = None
    pregnancy_week: int | None = None
    weight_before_kg: Decimal | None = None
    feeding: Feeding | None = None

    def __post_init__(self) -> None:
        for name, (least, most, unit) in RANGES.items():
            value = getattr(self, name)
            if value is not None and not least <= value <= most:
                raise ValueError(f"{name} {value} is not between {least} and {most} {unit}")

    @property
    def sexes(self) -> tuple[Sex, ...]:
        """The sexes whose references to show: one, or both when it is not stated.

        The references for pregnancy and lactation are women's; for a man there are none.
        """
        if self.condition is not Condition.NONE:
            return () if self.sex is Sex.MALE else (Sex.FEMALE,)
        return (Sex.FEMALE, Sex.MALE) if self.sex is Sex.UNSTATED else (self.sex,)
