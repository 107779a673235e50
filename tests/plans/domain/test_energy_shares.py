"""Shares of energy by the general Atwater factors, and the acceptable ranges for them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.energy_shares import (
    KCAL_PER_G,
    Place,
    amdr,
    amdr_grams,
    energy_shares,
    general_kcal,
    whole_shares,
)

GRAMS = st.fixed_dictionaries(dict.fromkeys(KCAL_PER_G, st.decimals("0", "2000", places=2)))


def _grams(protein: str, fat: str, carb: str) -> dict[str, Decimal]:
    return {"protein_g": Decimal(protein), "fat_g": Decimal(fat), "carb_g": Decimal(carb)}


def _rounded(figures: dict[str, Decimal]) -> dict[str, Decimal]:
    return {name: figure.quantize(Decimal("0.1")) for name, figure in figures.items()}


# Worked by hand: 380 + 810 + 480 = 1670 kcal. Ranges for adults: Institute of Medicine 2005.
def test_a_day_splits() -> None:
    grams = _grams("95", "90", "120")
    shares = energy_shares(grams)
    assert general_kcal(grams) == 1670
    assert _rounded(shares) == _grams("22.8", "48.5", "28.7")
    places = {name: span.place(shares[name]) for name, span in amdr(Decimal(40)).items()}
    assert places == {"protein_g": Place.INSIDE, "fat_g": Place.ABOVE, "carb_g": Place.BELOW}


def test_whole_shares_still_add_up() -> None:
    """Rounded one by one 22.8, 48.5 and 28.7 would make 101."""
    assert whole_shares(energy_shares(_grams("95", "90", "120"))) == {
        "protein_g": 23,
        "fat_g": 48,
        "carb_g": 29,
    }


@pytest.mark.parametrize("grams", [_grams("0", "0", "0"), _grams("0", "0", "-0.5")])
def test_nothing_has_no_shares(grams: dict[str, Decimal]) -> None:
    assert energy_shares(grams) is None


def test_carbohydrate_below_zero_counts_as_none() -> None:
    """USDA gives carbohydrate by difference, so that a raw chicken wing has slightly less than none."""
    assert energy_shares(_grams("20", "10", "-0.35")) == energy_shares(_grams("20", "10", "0"))


@given(GRAMS)
def test_shares_add_up_to_a_hundred(grams: dict[str, Decimal]) -> None:
    shares = energy_shares(grams)
    if shares is None:
        assert not any(grams.values())
        return
    assert sum(shares.values()) == pytest.approx(Decimal(100), abs=Decimal("1e-20"))
    whole = whole_shares(shares)
    assert sum(whole.values()) == 100
    assert all(abs(whole[name] - shares[name]) < 1 for name in shares)


# Acceptable macronutrient distribution ranges, Institute of Medicine 2005, by way of odphp.health.gov.
@pytest.mark.parametrize(
    ("age", "protein", "fat", "carb"),
    [
        ("1", (5, 20), (30, 40), (45, 65)),
        ("3.99", (5, 20), (30, 40), (45, 65)),
        ("4", (10, 30), (25, 35), (45, 65)),
        ("18.99", (10, 30), (25, 35), (45, 65)),
        ("19", (10, 35), (20, 35), (45, 65)),
        ("90", (10, 35), (20, 35), (45, 65)),
    ],
)
def test_ranges_by_age(age: str, protein: tuple, fat: tuple, carb: tuple) -> None:
    found = {name: (span.least, span.most) for name, span in amdr(Decimal(age)).items()}
    assert found == {"protein_g": protein, "fat_g": fat, "carb_g": carb}


def test_no_range_before_the_first_birthday() -> None:
    assert amdr(Decimal("0.99")) is None
    assert amdr_grams(Decimal("0.99"), Decimal(700)) is None


# Worked by hand: kcal × percent / 100 / kcal per gram.
@pytest.mark.parametrize(
    ("age", "kcal", "protein", "fat", "carb"),
    [
        (30, 2000, ("50", "175"), ("44.4", "77.8"), ("225", "325")),
        (2, 1000, ("12.5", "50"), ("33.3", "44.4"), ("112.5", "162.5")),
        (6, 1500, ("37.5", "112.5"), ("41.7", "58.3"), ("168.75", "243.75")),
    ],
)
def test_ranges_in_grams(age: int, kcal: int, protein: tuple, fat: tuple, carb: tuple) -> None:
    found = amdr_grams(Decimal(age), Decimal(kcal))
    for name, (least, most) in {"protein_g": protein, "fat_g": fat, "carb_g": carb}.items():
        assert found[name].least == pytest.approx(Decimal(least), abs=Decimal("0.06")), name
        assert found[name].most == pytest.approx(Decimal(most), abs=Decimal("0.06")), name


@pytest.mark.parametrize(
    ("share", "place"),
    [("9.99", Place.BELOW), ("10", Place.INSIDE), ("35", Place.INSIDE), ("35.01", Place.ABOVE)],
)
def test_a_range_includes_its_ends(share: str, place: Place) -> None:
    assert amdr(Decimal(30))["protein_g"].place(Decimal(share)) is place
