"""Jars hold what is poured into them, with room above it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.domain.units import millilitres_per
from plans.domain.batch.jars import (
    A_SIP_ML,
    COMMON_JARS,
    HALF_GALLON,
    JarSize,
    JarStock,
    Place,
    fill,
    headspace_in,
    headspace_is_published,
    jars_for,
    most_ml,
)
from tests.plans.domain.batch_asks import HAIR, SAFETY, grams, jar_stocks

JAR = {size.key: size for size in COMMON_JARS}


@given(grams(30000), jar_stocks, st.sampled_from(Place), grams(200))
def test_everything_is_in_a_jar_or_said_to_be_without(amount_ml, stock, place, spare_ml):
    found = fill(amount_ml, stock, place, SAFETY, spare_ml=spare_ml)
    assert abs(sum(jar.holds_ml for jar in found.jars) + found.left_ml - amount_ml) < HAIR
    assert len(found.jars) + sum(each.count for each in found.spare) == sum(each.count for each in stock)
    if any(each.count for each in found.spare):
        over_ml = min(A_SIP_ML, spare_ml) if found.jars else Decimal(0)
        assert found.left_ml <= max(over_ml, Decimal("1e-9"))


@given(grams(30000), jar_stocks, st.sampled_from(Place))
def test_each_jar_has_its_headspace_and_room_for_ice(amount_ml, stock, place):
    for jar in fill(amount_ml, stock, place, SAFETY).jars:
        inch_ml = jar.size.volume_ml / jar.size.height_in
        assert 0 < jar.holds_ml <= jar.size.volume_ml - jar.headspace_in * inch_ml + HAIR
        if place is Place.FREEZER:
            assert jar.holds_ml * (1 + SAFETY.ice_growth) <= jar.size.volume_ml + HAIR


@given(grams(30000), st.sampled_from(COMMON_JARS), st.sampled_from(Place))
def test_so_many_jars_of_a_size_are_enough_and_one_less_is_not(amount_ml, size, place):
    count = jars_for(amount_ml, size, place, SAFETY)
    assert fill(amount_ml, [JarStock(size, count)], place, SAFETY).left_ml < Decimal("1e-9")
    assert fill(amount_ml, [JarStock(size, count - 1)], place, SAFETY).left_ml > 0


@pytest.mark.parametrize(
    ("key", "inches"),
    [("pint-wide", "0.5"), ("quart-wide", "1"), ("pint-narrow", "0.75"), ("quart-narrow", "1.5")],
)
def test_headspace_for_freezing_is_as_published(key, inches):
    """National Center for Home Food Preservation, Headspace to Allow: liquid pack for the freezer."""
    assert headspace_in(JAR[key], Place.FREEZER, SAFETY) == Decimal(inches)
    assert headspace_is_published(JAR[key])


def test_the_half_gallon_takes_the_quarts_headspace_and_says_so():
    assert headspace_in(HALF_GALLON, Place.FREEZER, SAFETY) == 1
    assert not headspace_is_published(HALF_GALLON)
    assert HALF_GALLON.volume_ml == 2 * millilitres_per("quart")


def test_a_squat_jar_still_has_room_for_ice():
    squat = JarSize("crock", Decimal(1000), narrow=False, height_in=Decimal(40))
    assert most_ml(squat, Place.FREEZER, SAFETY) == 1000 / Decimal("1.089")


def test_a_jar_lower_than_its_headspace_holds_nothing():
    flat = JarSize("saucer", Decimal(900), narrow=False, height_in=Decimal("0.8"))
    found = fill(Decimal(100), [JarStock(flat, 3)], Place.FREEZER, SAFETY)
    assert (found.jars, found.left_ml) == ((), 100)


def test_the_last_of_it_goes_into_the_smallest_jar_that_holds_it():
    stock = [JarStock(JAR["pint-wide"], 2), JarStock(JAR["quart-wide"], 1), JarStock(HALF_GALLON, 1)]
    found = fill(Decimal(2000), stock, Place.FREEZER, SAFETY)
    assert [jar.size.key for jar in found.jars] == ["half-gallon-wide", "pint-wide"]
    assert [each.count for each in found.spare] == [1, 1, 0]


def test_a_sip_that_is_meant_for_nobody_opens_no_jar():
    stock = [JarStock(JAR["pint-wide"], 2)]
    full_ml = most_ml(JAR["pint-wide"], Place.FREEZER, SAFETY)

    def left_ml(amount_ml: Decimal, spare_ml: int) -> Decimal:
        return fill(amount_ml, stock, Place.FREEZER, SAFETY, spare_ml=Decimal(spare_ml)).left_ml

    assert left_ml(full_ml + 40, 500) == 40
    assert left_ml(full_ml + 40, 30) == 0
    assert left_ml(full_ml + 80, 500) == 0
    assert left_ml(Decimal(40), 40) == 0
