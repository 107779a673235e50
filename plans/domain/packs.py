"""What a shop hands over for an amount: whole packs, or loose food weighed or measured out. Never less than asked."""

from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from math import ceil, gcd

from coaching.domain.units import System, grams_per, millilitres_per
from plans.domain.book import Food

TENTH_G = Decimal("0.1")
"""Pack sizes are compared in whole tenths of a gram, downwards."""
SMALL_METRIC = Decimal(100)
METRIC_STEPS = (Decimal(10), Decimal(50))
"""Loose food in grams or millilitres: by tens up to a hundred, by fifties above (common practice, no source)."""
OUNCES_A_STEP = 4
OUNCES_A_POUND = 16
"""Loose food in the US: by the ounce up to a pound, by quarter pounds above (common practice, no source)."""


def fewest_extra(
    packs_g: tuple[Decimal, ...], short_g: Decimal | Fraction
) -> tuple[tuple[Decimal, int], ...]:
    """The whole packs that cover ``short_g`` with the fewest grams over, and of those the fewest packs.

    Taking any pack away falls short, since a cover with a pack less would have had fewer grams over. The order in
    which pack sizes are given makes no difference. Packs must be a tenth of a gram or more.
    """
    tenths = {int(pack / TENTH_G): pack for pack in sorted(packs_g, reverse=True)}
    unit = gcd(*tenths)
    need = ceil(Fraction(short_g) / Fraction(TENTH_G) / unit)
    last_pack: dict[int, tuple[int, int]] = {0: (0, 0)}
    total = 0
    while total < need or total not in last_pack:
        total += 1
        before = [total - tenth // unit for tenth in tenths]
        reached = [
            (last_pack[rest][0] + 1, tenth)
            for rest, tenth in zip(before, tenths, strict=True)
            if rest < need and rest in last_pack
        ]
        if reached:
            last_pack[total] = min(reached)
    counts: dict[Decimal, int] = {}
    while total:
        tenth = last_pack[total][1]
        counts[tenths[tenth]] = counts.get(tenths[tenth], 0) + 1
        total -= tenth // unit
    return tuple(sorted(counts.items()))


def weighed_out(short_g: Decimal, food: Food, system: System) -> Decimal:
    """Grams of a loose food as a shop of this system hands them over, rounded up; what is poured by its volume."""
    density = food.density_g_per_ml
    if density is None:
        return _up(short_g, grams_per("oz"), system)
    return _up(short_g / density, millilitres_per("fl-oz"), system) * density


def _up(amount: Decimal, ounce: Decimal, system: System) -> Decimal:
    if system is System.METRIC:
        small, large = METRIC_STEPS
        return _steps(amount, small if amount <= SMALL_METRIC else large)
    return _steps(amount, ounce if amount <= ounce * OUNCES_A_POUND else ounce * OUNCES_A_STEP)


def _steps(amount: Decimal, step: Decimal) -> Decimal:
    return (amount / step).to_integral_value(ROUND_CEILING) * step
