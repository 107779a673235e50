"""Units of mass, volume and temperature: exact conversion, and the one rounding for cooks at the edge.

Factors are exact by definition: the pound is 453.59237 g and the US gallon 231 cubic inches of 2.54 cm
(NIST Handbook 44, Appendix C; NIST SP 811, Appendix B). Each factor is
worked out once, as a fraction, and every one of them ends as a decimal.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cache

from pint import UnitRegistry

MASS = ("g", "kg", "oz", "lb")
VOLUME = ("ml", "l", "tsp", "tbsp", "cup", "fl-oz", "pint", "quart", "gallon")
SPOONS = ("tsp", "tbsp")

CM_PER_INCH = Decimal("2.54")
INCHES_PER_FOOT = 12
METRES_PER_FOOT = INCHES_PER_FOOT * CM_PER_INCH / 100
"""Exact by definition (NIST SP 811, Appendix B)."""

_REGISTRY_NAMES = {
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "ml": "milliliter",
    "l": "liter",
    "tsp": "teaspoon",
    "tbsp": "tablespoon",
    "cup": "cup",
    "fl-oz": "fluid_ounce",
    "pint": "pint",
    "quart": "quart",
    "gallon": "gallon",
}


class System(StrEnum):
    """The units a cook reads."""

    METRIC = "metric"
    US = "us"


@dataclass(frozen=True, slots=True)
class Shown:
    """A rounded amount for a cook. A ``Fraction`` is read as ``1 ½``, a ``Decimal`` as ``1.5``."""

    number: Decimal | Fraction
    unit: str


@cache
def _registry() -> UnitRegistry:
    return UnitRegistry(non_int_type=Fraction, cache_folder=None)


@cache
def grams_per(unit: str) -> Decimal:
    """Grams in one mass unit. Raises KeyError for a unit that is not one."""
    if unit not in MASS:
        raise KeyError(unit)
    return _factor(unit, "gram")


@cache
def millilitres_per(unit: str) -> Decimal:
    """Millilitres in one volume unit (US units are US customary). Raises KeyError for a unit that is not one."""
    if unit not in VOLUME:
        raise KeyError(unit)
    return _factor(unit, "milliliter")


def _factor(unit: str, base: str) -> Decimal:
    exact = _registry().Quantity(Fraction(1), _REGISTRY_NAMES[unit]).to(base).magnitude
    return Decimal(exact.numerator) / Decimal(exact.denominator)


def convert(quantity: Decimal, unit: str, to: str) -> Decimal:
    """A mass in another mass unit or a volume in another volume unit. Raises KeyError when that cannot be."""
    per = grams_per if unit in MASS else millilitres_per
    return quantity if unit == to else quantity * per(unit) / per(to)


def celsius(fahrenheit: Decimal) -> Decimal:
    """Degrees Celsius, (F - 32) / 1.8 exactly as NIST SP 811, B.8 gives it."""
    return (fahrenheit - 32) / Decimal("1.8")


def fahrenheit(celsius: Decimal) -> Decimal:
    """Degrees Fahrenheit, 1.8 C + 32 exactly as NIST SP 811, B.8 gives it."""
    return celsius * Decimal("1.8") + 32


def whole(degrees: Decimal) -> int:
    """Degrees as charts print them: 160 °F is 71 °C on the USDA safe temperature chart, half degrees upwards."""
    return int(degrees.to_integral_value(ROUND_HALF_UP))


def shown_mass(grams: Decimal, system: System) -> tuple[Shown, ...]:
    """A mass for a cook, never rounded to nothing: ``600 g``, ``1.25 kg``; ``4 ½ oz``, ``2 lb 4 oz``.

    Less than an ounce is shown in grams everywhere, because kitchen scales do.
    """
    if system == System.METRIC or grams < grams_per("oz"):
        return _metric(grams, "g", "kg")
    return _pounds(Fraction(grams / grams_per("oz")))


def shown_volume(millilitres: Decimal, system: System) -> tuple[Shown, ...]:
    """A volume for a cook, never rounded to nothing: ``450 ml``, ``1.5 l``; ``2 tsp``, ``1 ½ cups``, ``2 ½ quarts``."""
    return _metric(millilitres, "ml", "l") if system == System.METRIC else _us_volume(millilitres)


def shown_count(quantity: Decimal, unit: str) -> tuple[Shown, ...]:
    """A count for a cook: eighths up to a quarter, quarters and thirds up to three, halves up to ten, then whole."""
    return (Shown(_nearest(Fraction(quantity), _COUNT_STEPS), unit),)


_METRIC_STEPS = ((1, "0.1"), (10, "0.5"), (50, "1"), (200, "5"), (1000, "10"), (5000, "50"), (None, "100"))
"""Up to this many grams or millilitres, round to this many: from 10 on never more than a twentieth away."""
_EIGHTHS, _QUARTERS, _THIRDS, _HALVES = (Fraction(1, parts) for parts in (8, 4, 3, 2))
_COUNT_STEPS = ((_QUARTERS, (_EIGHTHS,)), (3, (_QUARTERS, _THIRDS)), (10, (_HALVES,)), (None, (Fraction(1),)))
_OUNCE_STEPS = ((4, (_QUARTERS,)), (16, (_HALVES,)), (None, (Fraction(1),)))
_LARGE_STEPS = ((None, (_QUARTERS, _THIRDS)),)
_CUP_TOLERANCE = Fraction(1, 20)


def _metric(quantity: Decimal, small: str, large: str) -> tuple[Shown, ...]:
    step = next(Decimal(step) for most, step in _METRIC_STEPS if most is None or quantity <= most)
    rounded = (quantity / step).to_integral_value(ROUND_HALF_UP) * step
    if not rounded and quantity:
        rounded = step
    return (Shown(rounded, small),) if rounded < 1000 else (Shown(rounded / 1000, large),)


def _pounds(ounces: Fraction) -> tuple[Shown, ...]:
    rounded = _nearest(ounces, _OUNCE_STEPS)
    if rounded < 16:
        return (Shown(rounded, "oz"),)
    pounds, rest = divmod(rounded, 16)
    return (Shown(Fraction(pounds), "lb"), *_some(rest, "oz"))


def _us_volume(millilitres: Decimal) -> tuple[Shown, ...]:
    teaspoons = Fraction(millilitres) / Fraction(millilitres_per("tsp"))
    if (rounded := _nearest(teaspoons, _COUNT_STEPS)) < 3:
        return (Shown(rounded, "tsp"),)
    if (rounded := _nearest(teaspoons / 3, _COUNT_STEPS)) < 4:
        return (Shown(rounded, "tbsp"),)
    cups = teaspoons / 48
    return _cups(cups) if cups < 8 else (Shown(_nearest(cups / 4, _LARGE_STEPS), "quart"),)


def _cups(cups: Fraction) -> tuple[Shown, ...]:
    """Cups alone when a cup measure is near enough, else quarter cups and tablespoons."""
    rounded = _nearest(cups, _LARGE_STEPS)
    if abs(rounded - cups) <= cups * _CUP_TOLERANCE:
        return (Shown(rounded, "cup"),)
    quarters, spoons = divmod(_steps(cups, Fraction(1, 16)) * 16, 4)
    return (Shown(Fraction(quarters, 4), "cup"), *_some(spoons, "tbsp"))


def _some(rest: Fraction, unit: str) -> tuple[Shown, ...]:
    return (Shown(rest, unit),) if rest else ()


def _nearest(quantity: Fraction, steps: tuple) -> Fraction:
    """The nearest multiple of an allowed step; of two equally near the larger, and never nothing for something."""
    allowed = next(sizes for most, sizes in steps if most is None or quantity <= most)
    candidates = (_steps(quantity, step) for step in allowed)
    found = min(candidates, key=lambda candidate: (abs(candidate - quantity), -candidate))
    return found if found or not quantity else allowed[0]


def _steps(quantity: Fraction, step: Fraction) -> Fraction:
    """The nearest multiple of ``step``, halves upwards."""
    return (quantity / step + Fraction(1, 2)) // 1 * step
