"""Conversion is exact and rounding is kind.

Factors are those of NIST Handbook 44 (2024), Appendix C, "General Tables of Units of Measurement", and of NIST
Special Publication 811 (2008), Appendix B; the tables print them as exact.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.domain.units import (
    MASS,
    VOLUME,
    Shown,
    System,
    celsius,
    convert,
    fahrenheit,
    grams_per,
    millilitres_per,
    shown_count,
    shown_mass,
    shown_volume,
    whole,
)

HANDBOOK_44_G = {"g": "1", "kg": "1000", "oz": "28.349523125", "lb": "453.59237"}
HANDBOOK_44_ML = {
    "ml": "1",
    "l": "1000",
    "gallon": "3785.411784",
    "quart": "946.352946",
    "pint": "473.176473",
    "fl-oz": "29.5735295625",
}
HANDBOOK_44_PARTS_OF_A_GALLON = {"quart": 4, "pint": 8, "cup": 16, "fl-oz": 128, "tbsp": 256, "tsp": 768}


@pytest.mark.parametrize("unit", MASS)
def test_mass_units_are_exact(unit: str) -> None:
    assert grams_per(unit) == Decimal(HANDBOOK_44_G[unit])


@pytest.mark.parametrize("unit", HANDBOOK_44_ML)
def test_volume_units_are_exact(unit: str) -> None:
    assert millilitres_per(unit) == Decimal(HANDBOOK_44_ML[unit])


@pytest.mark.parametrize("unit", HANDBOOK_44_PARTS_OF_A_GALLON)
def test_parts_of_a_gallon_make_a_gallon(unit: str) -> None:
    assert millilitres_per(unit) * HANDBOOK_44_PARTS_OF_A_GALLON[unit] == Decimal("3785.411784")


def test_a_us_gallon_is_231_cubic_inches() -> None:
    """Handbook 44: 1 gallon = 231 cubic inches; 1 inch = 2.54 cm exactly."""
    assert millilitres_per("gallon") == 231 * Decimal("2.54") ** 3


@pytest.mark.parametrize(
    ("degrees_f", "degrees_c"),
    [("32", "0"), ("212", "100"), ("-40", "-40"), ("98.6", "37"), ("5", "-15"), ("135", "57.2222")],
)
def test_temperatures_are_exact(degrees_f: str, degrees_c: str) -> None:
    """SP 811, B.8: t/°C = (t/°F - 32)/1.8; fixed points by definition of the scales."""
    assert celsius(Decimal(degrees_f)).quantize(Decimal("0.0001")) == Decimal(degrees_c)


@given(st.decimals(-500, 1000, places=2))
def test_temperatures_come_back(degrees_c: Decimal) -> None:
    assert celsius(fahrenheit(degrees_c)) == degrees_c


@pytest.mark.parametrize(("degrees_f", "printed_c"), [(145, 63), (160, 71), (165, 74), (140, 60), (40, 4)])
def test_whole_degrees_are_those_of_the_chart(degrees_f: int, printed_c: int) -> None:
    """USDA FSIS, "Safe Minimum Internal Temperature Chart", prints these pairs; 40 °F as 4.4 °C."""
    assert whole(celsius(Decimal(degrees_f))) == printed_c


@given(st.decimals("0.001", 10_000, places=3), st.sampled_from(MASS), st.sampled_from(MASS))
def test_masses_come_back(quantity: Decimal, unit: str, other: str) -> None:
    assert abs(convert(convert(quantity, unit, other), other, unit) - quantity) < Decimal("1e-20")


@pytest.mark.parametrize(("unit", "to"), [("g", "ml"), ("cup", "oz"), ("piece", "g"), ("g", "piece")])
def test_unlike_units_do_not_convert(unit: str, to: str) -> None:
    with pytest.raises(KeyError):
        convert(Decimal(1), unit, to)


def words(parts: tuple[Shown, ...]) -> str:
    return " ".join(f"{part.number} {part.unit}" for part in parts)


@pytest.mark.parametrize(
    ("quantity_g", "metric", "us"),
    [
        ("0.04", "0.1 g", "0.1 g"),
        ("4", "4.0 g", "4.0 g"),
        ("94", "95 g", "13/4 oz"),
        ("453.59237", "450 g", "1 lb"),
        ("500", "500 g", "1 lb 2 oz"),
        ("1000", "1 kg", "2 lb 3 oz"),
        ("1020.58", "1 kg", "2 lb 4 oz"),
        ("450", "450 g", "1 lb"),
    ],
)
def test_masses_read_like_a_cook_writes_them(quantity_g: str, metric: str, us: str) -> None:
    """Common practice, no source."""
    assert words(shown_mass(Decimal(quantity_g), System.METRIC)) == metric
    assert words(shown_mass(Decimal(quantity_g), System.US)) == us


@pytest.mark.parametrize(
    ("unit", "quantity", "us"),
    [
        ("tsp", "1", "1 tsp"),
        ("tsp", "3", "1 tbsp"),
        ("tbsp", "4", "1/4 cup"),
        ("cup", "1.5", "3/2 cup"),
        ("cup", "0.4", "1/4 cup 2 tbsp"),
        ("cup", "1.125", "1 cup 2 tbsp"),
        ("quart", "2.5", "5/2 quart"),
        ("ml", "1000", "17/4 cup"),
        ("ml", "0.01", "1/8 tsp"),
    ],
)
def test_us_volumes_read_like_a_cook_writes_them(unit: str, quantity: str, us: str) -> None:
    """Common practice, no source."""
    assert words(shown_volume(Decimal(quantity) * millilitres_per(unit), System.US)) == us


def total_g(parts: tuple[Shown, ...]) -> Fraction:
    return sum(Fraction(part.number) * Fraction(grams_per(part.unit)) for part in parts)


def total_ml(parts: tuple[Shown, ...]) -> Fraction:
    return sum(Fraction(part.number) * Fraction(millilitres_per(part.unit)) for part in parts)


amounts = st.decimals(10, 50_000, places=2)


@given(amounts)
def test_metric_rounding_moves_nothing_by_more_than_a_twentieth(quantity: Decimal) -> None:
    exact = Fraction(quantity)
    assert abs(total_g(shown_mass(quantity, System.METRIC)) - exact) <= exact / 20
    assert abs(total_ml(shown_volume(quantity, System.METRIC)) - exact) <= exact / 20


@given(amounts)
def test_us_rounding_moves_nothing_by_more_than_an_eighth(quantity: Decimal) -> None:
    exact = Fraction(quantity)
    assert abs(total_g(shown_mass(quantity, System.US)) - exact) <= exact / 8
    assert abs(total_ml(shown_volume(quantity, System.US)) - exact) <= exact / 8


@given(st.decimals("0.001", 50_000, places=3), st.sampled_from(System))
def test_something_is_never_rounded_to_nothing(quantity: Decimal, system: System) -> None:
    for parts in (
        shown_mass(quantity, system),
        shown_volume(quantity, system),
        shown_count(quantity, "piece"),
    ):
        assert all(part.number > 0 for part in parts)


@pytest.mark.parametrize("system", System)
def test_nothing_stays_nothing(system: System) -> None:
    assert shown_mass(Decimal(0), system)[0].number == 0
    assert shown_volume(Decimal(0), system)[0].number == 0


@given(amounts, st.sampled_from(System))
def test_rounding_twice_changes_no_more(quantity: Decimal, system: System) -> None:
    once = shown_mass(quantity, system)
    again = shown_mass(Decimal(total_g(once).numerator) / Decimal(total_g(once).denominator), system)
    assert again == once


def test_every_unit_has_a_factor() -> None:
    assert all(grams_per(unit) > 0 for unit in MASS)
    assert all(millilitres_per(unit) > 0 for unit in VOLUME)
