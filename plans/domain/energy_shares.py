"""Where the energy of food comes from, and the published ranges for it.

General Atwater factors: 4 kcal per g protein, 9 fat, 4 carbohydrate (USDA; Nutrition Coordinating Center, University of
Minnesota, Primary energy sources). They only split the energy: the total is taken from the food table, whose figures
rest on factors for each kind of food, so that the two need not agree. Alcohol is not in the table and not counted.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from enum import StrEnum
from types import MappingProxyType

KCAL_PER_G: Mapping[str, Decimal] = MappingProxyType(
    {"protein_g": Decimal(4), "fat_g": Decimal(9), "carb_g": Decimal(4)}
)
AMDR_SOURCE = (
    "Institute of Medicine, Dietary Reference Intakes for Energy, Carbohydrate, Fiber, Fat, Fatty Acids, Cholesterol, "
    "Protein, and Amino Acids (2005), by way of odphp.health.gov"
)


class Place(StrEnum):
    """Where a share lies against its range."""

    BELOW = "below"
    INSIDE = "inside"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Range:
    """From ``least`` to ``most``, both included."""

    least: Decimal
    most: Decimal

    def place(self, share: Decimal) -> Place:
        """Where a share lies. To be outside says nothing about whether the amount is enough."""
        if share < self.least:
            return Place.BELOW
        return Place.ABOVE if share > self.most else Place.INSIDE


_AMDR = tuple(
    (
        below,
        MappingProxyType(
            {
                name: Range(*map(Decimal, text.split("-")))
                for name, text in zip(KCAL_PER_G, texts, strict=True)
            }
        ),
    )
    for below, texts in (
        (Decimal(4), ("5-20", "30-40", "45-65")),
        (Decimal(19), ("10-30", "25-35", "45-65")),
        (Decimal("Infinity"), ("10-35", "20-35", "45-65")),
    )
)


def general_kcal(grams: Mapping[str, Decimal]) -> Decimal:
    """Energy in kcal of ``protein_g``, ``fat_g`` and ``carb_g`` by the general factors. Raises KeyError if one lacks.

    Carbohydrate is by difference, so a lean meat may have slightly less than none; that counts as none.
    """
    return sum(_kcal(grams).values(), Decimal(0))


def energy_shares(grams: Mapping[str, Decimal]) -> dict[str, Decimal] | None:
    """Percent of energy from each of ``KCAL_PER_G``, adding up to 100; None when there is no energy."""
    kcal = _kcal(grams)
    total = sum(kcal.values(), Decimal(0))
    return {name: part * 100 / total for name, part in kcal.items()} if total else None


def whole_shares(shares: Mapping[str, Decimal]) -> dict[str, int]:
    """Shares as whole numbers that still add up to 100: what rounding leaves goes to the largest remainders."""
    floors = {name: int(share.to_integral_value(ROUND_FLOOR)) for name, share in shares.items()}
    left = 100 - sum(floors.values())
    by_remainder = sorted(shares, key=lambda name: floors[name] - shares[name])
    return {name: floor + (name in by_remainder[:left]) for name, floor in floors.items()}


def amdr(age: Decimal) -> Mapping[str, Range] | None:
    """The acceptable macronutrient distribution ranges, percent of energy, at an age in years; none before the first.

    The food table has no single fatty acids, so the ranges for those are left out.
    """
    if age < 1:
        return None
    return next(ranges for below, ranges in _AMDR if age < below)


def amdr_grams(age: Decimal, kcal: Decimal) -> dict[str, Range] | None:
    """The ranges in grams a day for so much energy a day; None before the first birthday."""
    ranges = amdr(age)
    if ranges is None:
        return None
    return {
        name: Range(*(kcal * percent / 100 / KCAL_PER_G[name] for percent in (span.least, span.most)))
        for name, span in ranges.items()
    }


def _kcal(grams: Mapping[str, Decimal]) -> dict[str, Decimal]:
    return {name: max(grams[name], Decimal(0)) * factor for name, factor in KCAL_PER_G.items()}
