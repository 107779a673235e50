"""Bones, water and pots: what goes in comes out, and no pot runs over."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.batch.scaling import (
    Losses,
    boiled_down,
    bones_g_for_broth,
    bones_g_for_meat,
    fill_pot,
    pot_holds_g,
    share_out,
)
from plans.domain.batch.trade import (
    EVAPORATION_PER_HOUR,
    HELD_BACK_ML_PER_G,
    MOST_STRENGTH,
    salt_ml_for,
    water_ml_for,
)
from tests.plans.domain.batch_asks import HAIR, LB, QT, grams

losses = st.builds(Losses, st.decimals("0.005", "0.6", places=3), st.decimals("0.05", "0.2", places=2))


@given(grams(15000), losses, st.decimals(1, 3, places=2))
def test_water_in_is_broth_and_steam_and_what_the_bones_hold(pot_ml, lost, strength):
    filled = fill_pot(pot_ml, pot_holds_g(pot_ml, strength), lost)
    out_ml = filled.broth_ml + filled.evaporated_ml + filled.held_back_ml
    assert abs(filled.water_ml - out_ml) < HAIR
    assert min(filled.broth_ml, filled.evaporated_ml, filled.held_back_ml) > 0


@given(grams(15000), losses, st.decimals("0.01", 3, places=2))
def test_no_pot_is_overfilled_and_none_stronger_than_its_bones_make_it(pot_ml, lost, strength):
    filled = fill_pot(pot_ml, pot_holds_g(pot_ml, strength), lost)
    assert filled.full_ml <= pot_ml + HAIR
    assert abs(filled.strength - max(strength, Decimal(1))) < HAIR


@given(grams(15000), losses)
def test_let_down_a_strong_broth_is_as_much_as_the_bones_give_in_a_pot_large_enough(pot_ml, lost):
    bones_g = pot_holds_g(pot_ml, MOST_STRENGTH)
    strong, usual = fill_pot(pot_ml, bones_g, lost), fill_pot(pot_ml * 4, bones_g, lost)
    assert usual.strength == 1 and usual.let_down_ml == 0
    assert abs(strong.broth_ml + strong.let_down_ml - usual.broth_ml) < HAIR


@given(grams(20000), grams(20000), losses)
def test_more_broth_takes_more_bones_and_exactly_enough(one_ml, other_ml, lost):
    less, more = sorted((one_ml, other_ml))
    assert bones_g_for_broth(less, lost) <= bones_g_for_broth(more, lost)
    bones_g = bones_g_for_broth(more, lost)
    assert abs(fill_pot(bones_g * 4, bones_g, lost).broth_ml - more) < HAIR


def test_meat_asks_for_bones_only_where_there_is_meat_on_them():
    assert bones_g_for_meat(Decimal(500), Decimal("0.25")) == 2000
    assert bones_g_for_meat(Decimal(500), Decimal(0)) == 0


@given(grams(20000), st.lists(grams(15000), min_size=1, max_size=5).map(tuple))
def test_bones_are_shared_out_whole_and_alike(bones_g, pots_ml):
    shares = share_out(bones_g, pots_ml)
    assert abs(sum(shares) - bones_g) < HAIR
    assert (
        max(share / pot for share, pot in zip(shares, pots_ml, strict=True))
        - min(share / pot for share, pot in zip(shares, pots_ml, strict=True))
        < HAIR
    )


def test_an_eight_quart_pot_with_a_quart_free_makes_eight_pounds_stronger():
    """8 lb at 1.05 g/ml take 3.65 quarts, so that 3.35 are left for water where 8 are asked for (arithmetic)."""
    filled = fill_pot(7 * QT, 8 * LB, Losses(Decimal("0.25"), Decimal("0.1")))
    assert round(filled.water_ml / QT, 2) == Decimal("3.35")
    assert round(filled.strength, 2) == Decimal("2.39")


def test_a_pot_of_seven_quarts_keeps_the_usual_strength_up_to_nearly_five_pounds():
    """7 quarts = 4.81 lb of bones (2.19 quarts) and 4.81 quarts of water (arithmetic)."""
    assert round(pot_holds_g(7 * QT) / LB, 2) == Decimal("4.81")


def test_a_thin_stock_boiled_down_gets_stronger_and_keeps_its_salt():
    """Four quarts with 0.76 % salt down to two and a half: 1.6 times as strong, 1.22 % salt (arithmetic)."""
    broth_ml = 4 * QT
    found = boiled_down(broth_ml, Decimal("2.5") * QT, salt_g=broth_ml * Decimal("0.0076"))
    assert round(found.strength, 9) == Decimal("1.6")
    assert round(found.salt_g_per_ml, 4) == Decimal("0.0122")


@pytest.mark.parametrize("to_ml", ["0", "-1", "1001"])
def test_boiling_down_never_leaves_nothing_or_more(to_ml):
    with pytest.raises(ValueError, match="boiling down"):
        boiled_down(Decimal(1000), Decimal(to_ml))


@pytest.mark.parametrize("figure", [EVAPORATION_PER_HOUR, HELD_BACK_ML_PER_G])
def test_an_own_figure_stays_within_practice(figure):
    assert figure.of(None) == figure.usual
    assert figure.of(figure.most) == figure.most
    for outside in (figure.least - Decimal("0.001"), figure.most + Decimal("0.001")):
        with pytest.raises(ValueError, match="not between"):
            figure.of(outside)


@given(grams(20000), st.integers(2, 9))
def test_water_and_salt_go_with_the_bones(bones_g, times):
    assert abs(water_ml_for(bones_g * times) - water_ml_for(bones_g) * times) < HAIR
    assert abs(salt_ml_for(bones_g * times) - salt_ml_for(bones_g) * times) < HAIR
