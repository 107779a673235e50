"""Loose food as shops weigh it out: never short, at most one step over (the steps: common practice, no source)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coaching.domain.units import System, grams_per, millilitres_per
from plans.domain.packs import weighed_out
from tests.plans.domain.hand_made import food

SOLID = food("carrot", density_g_per_ml=None)
OIL = food("oil", density_g_per_ml=Decimal("0.92"))


@pytest.mark.parametrize(
    ("short", "metric", "ounces"),
    [("3", "10", 1), ("100", "100", 4), ("101", "150", 4), ("253", "300", 9), ("600", "600", 24)],
)
def test_steps(short: str, metric: str, ounces: int):
    # 600 g are 21.2 oz: a pound and a half.
    assert weighed_out(Decimal(short), SOLID, System.METRIC) == Decimal(metric)
    assert weighed_out(Decimal(short), SOLID, System.US) == ounces * grams_per("oz")


def test_what_is_poured_goes_by_volume():
    assert weighed_out(Decimal(100), OIL, System.METRIC) == 150 * Decimal("0.92")
    assert weighed_out(Decimal(100), OIL, System.US) == 4 * millilitres_per("fl-oz") * Decimal("0.92")


@given(st.decimals("0.1", "20000", places=2), st.sampled_from([SOLID, OIL]), st.sampled_from(list(System)))
def test_never_short_and_at_most_a_step_over(short, what, system):
    handed = weighed_out(short, what, system)
    step = 4 * grams_per("oz") * Decimal("1.1")
    assert short <= handed < short + step
