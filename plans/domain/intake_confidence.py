"""How sure recorded days make one that a usual intake is above a reference amount.

Institute of Medicine, Dietary Reference Intakes: Applications in Dietary Assessment (2000), chapter 3 and appendix B.
It is confidence about an intake, never the chance that someone lacks anything, and only for nutrients with a published
day-to-day spread: a person's own few days tell it too badly. It is made for days somebody recorded; of a plan it says
what such days would tell if they were eaten as planned.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import sqrt
from statistics import NormalDist
from types import MappingProxyType

from plans.domain.body import Body, Condition, Sex
from plans.domain.intakes import Reference

REQUIREMENT_CV: Mapping[str, float] = MappingProxyType(
    {
        "carb_g": 0.15,
        "protein_g": 0.12,  # skewed
        "vit_a_rae_ug": 0.20,
        "vit_c_mg": 0.10,
        "vit_e_mg": 0.10,
        "thiamin_mg": 0.10,
        "riboflavin_mg": 0.10,
        "niacin_mg": 0.15,
        "b6_mg": 0.10,
        "folate_ug": 0.10,
        "b12_ug": 0.10,
        "magnesium_mg": 0.10,
        "selenium_ug": 0.10,  # from memory
        "zinc_mg": 0.10,  # from memory
    }
)
"""How much requirements differ between people, as a share of the EAR (Essential Guide to Nutrient Requirements, 2006,
appendix H). Iron is left out because it is skewed, calcium and vitamin D because their EARs of 2011 are younger."""


@dataclass(frozen=True, slots=True)
class Spread:
    """The pooled standard deviation between one person's days, from a survey: age from, below, in years."""

    nutrient: str
    sex: Sex
    age_from: int
    age_below: int
    sd: float


POOLED = (
    Spread("calcium_mg", Sex.FEMALE, 19, 51, 325),
    Spread("magnesium_mg", Sex.FEMALE, 19, 51, 85.9),
    Spread("protein_g", Sex.FEMALE, 9, 19, 26.2),
    Spread("protein_g", Sex.MALE, 9, 19, 33.9),
    Spread("protein_g", Sex.FEMALE, 4, 9, 19.2),
    Spread("protein_g", Sex.MALE, 4, 9, 20.4),
    Spread("carb_g", Sex.FEMALE, 9, 19, 88.1),
    Spread("carb_g", Sex.MALE, 9, 19, 113),
    Spread("carb_g", Sex.FEMALE, 4, 9, 61.7),
    Spread("carb_g", Sex.MALE, 4, 9, 70.8),
    Spread("fibre_g", Sex.FEMALE, 9, 19, 6.2),
    Spread("fibre_g", Sex.MALE, 9, 19, 8.7),
    Spread("fibre_g", Sex.FEMALE, 4, 9, 4.6),
    Spread("fibre_g", Sex.MALE, 4, 9, 5.3),
)
"""Those that were read: Applications (2000), the examples of chapter 3 and table B-5. All are below six tenths of the
intake they belong to; above six or seven tenths the ratio is not to be used."""

THRESHOLDS = ((2.0, 0.98), (1.65, 0.95), (1.5, 0.93), (1.0, 0.85), (0.5, 0.70), (0.0, 0.50))
"""Table B-1: from this ratio on, this confidence."""

_IRON_RISK = tuple(
    (Decimal(least), Decimal(risk))
    for least, risk in (
        ("18.24", "0"),
        ("15.50", "0.04"),
        ("13.06", "0.08"),
        ("10.83", "0.15"),
        ("9.64", "0.25"),
        ("8.77", "0.35"),
        ("8.08", "0.45"),
        ("7.47", "0.55"),
        ("6.88", "0.65"),
        ("6.23", "0.75"),
        ("5.46", "0.85"),
        ("4.89", "0.93"),
        ("4.42", "0.96"),
        ("0", "1"),
    )
)
"""From so many mg of iron a day, printed to hundredths, this risk (Institute of Medicine, 2001, page 571)."""


@dataclass(frozen=True, slots=True)
class Confidence:
    """``share``: how sure, 0 to 1, that the usual intake is above the amount; ``by_table``: the same by table B-1.

    ``against`` is ear or ai, ``z`` the ratio they come from.
    """

    against: str
    z: float
    share: float
    by_table: float
    days: int


def z_against_requirement(
    mean: float, ear: float, *, requirement_sd: float, day_sd: float, days: int
) -> float:
    """The distance from an EAR in standard deviations of requirement and of so many days together."""
    return (mean - ear) / sqrt(requirement_sd**2 + day_sd**2 / days)


def z_against_amount(mean: float, amount: float, *, day_sd: float, days: int) -> float:
    """The distance from an AI or a UL in standard deviations of so many days.

    Below an AI it allows no conclusion. Far below a UL it says that the usual intake is below the UL, too.
    """
    return (mean - amount) / (day_sd / sqrt(days))


def share_below(z: float) -> float:
    """The normal distribution: the share that lies below ``z``."""
    return NormalDist().cdf(z)


def share_by_table(z: float) -> float:
    """The confidence table B-1 prints. The ratio is rounded to its twentieths first, as the book takes 0.98 for 1."""
    rounded = round(abs(z) * 20) / 20
    share = next(share for least, share in THRESHOLDS if rounded >= least)
    return share if z >= 0 else 1 - share


def confidence(
    nutrient: str, mean: Decimal, days: int, body: Body, references: Iterable[Reference]
) -> Confidence | None:
    """How sure a mean over recorded days makes one that the usual intake is above the EAR, or the AI.

    ``mean`` is of days on which every food is known; of others, which hold more, the answer is a lower bound. None
    where the book gives no ground: no pooled spread, no spread of requirements, a sex that is not stated, pregnancy or
    lactation, or a mean below an AI. Raises ValueError for no days.
    """
    if days < 1:
        raise ValueError("no day was recorded")
    reference = next(iter(references), None)
    day_sd = _day_sd(nutrient, body)
    if reference is None or day_sd is None:
        return None
    if reference.ear is not None and nutrient in REQUIREMENT_CV:
        ear = float(reference.ear)
        requirement_sd = REQUIREMENT_CV[nutrient] * ear
        z = z_against_requirement(float(mean), ear, requirement_sd=requirement_sd, day_sd=day_sd, days=days)
        return Confidence("ear", z, share_below(z), share_by_table(z), days)
    if reference.ai is not None and mean >= reference.ai:
        z = z_against_amount(float(mean), float(reference.ai), day_sd=day_sd, days=days)
        return Confidence("ai", z, share_below(z), share_by_table(z), days)
    return None


def iron_risk_in_group(usual_mg: Iterable[Decimal]) -> Decimal:
    """The share of a group of menstruating women whose iron intake is likely too low, from each one's usual mg a day.

    For a mixed diet without oral contraceptives. The report says the table must not be used to screen one woman, so a
    group of one raises ValueError. The share below the EAR would come out much too small, for the need is skewed.
    """
    risks = [_iron_risk(mg.quantize(Decimal("0.01"), ROUND_HALF_UP)) for mg in usual_mg]
    if len(risks) < 2:
        raise ValueError("this is a figure for a group and not for one person")
    return sum(risks, Decimal(0)) / len(risks)


def _iron_risk(mg: Decimal) -> Decimal:
    if mg < 0:
        raise ValueError("an intake below zero")
    return next(risk for least, risk in _IRON_RISK if mg >= least)


def _day_sd(nutrient: str, body: Body) -> float | None:
    if body.condition is not Condition.NONE:
        return None
    return next(
        (
            spread.sd
            for spread in POOLED
            if (spread.nutrient, spread.sex) == (nutrient, body.sex)
            and spread.age_from <= body.age < spread.age_below
        ),
        None,
    )
