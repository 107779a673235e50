"""One day of a strict first stage, against the reference intakes of a woman of 40 and a child of 6.

The rows are USDA FoodData Central's; totals, percent and bands were worked apart from the code under test, from those
rows and the printed Dietary Reference Intakes. The same plates for both only test the look-up: a child eats less.
"""

import csv
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from plans.domain.body import Body, Sex
from plans.domain.energy_shares import Place, general_kcal
from plans.domain.intake_week import WeekIntakes, week_intakes
from plans.domain.intakes import Above, Band
from plans.domain.nutrients import nutrients_from_rows
from plans.selectors import reference_intakes

PATH = Path(__file__).parent / "data" / "one-restricted-day.csv"
WOMAN, CHILD = Body(Decimal(40), Sex.FEMALE), Body(Decimal(6), Sex.FEMALE)
RDA, AI = Band.AT_OR_ABOVE_RDA, Band.AT_OR_ABOVE_AI


@cache
def _day(body: Body) -> WeekIntakes:
    with PATH.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return week_intakes(
        amounts={row["food"]: Decimal(row["grams"]) for row in rows},
        days=1,
        table=nutrients_from_rows(rows),
        references=reference_intakes(),
        body=body,
    )


# What the hen or the squash lacks makes a lower bound: then nothing is said to lie below.
@pytest.mark.parametrize(
    ("nutrient", "mean", "woman", "child"),
    [
        ("carb_g", "104.70", (130, 81, Band.EAR_TO_RDA), (130, 81, Band.EAR_TO_RDA)),
        ("fibre_g", "16.87", (25, 67, Band.BELOW_AI), (25, 67, Band.BELOW_AI)),
        ("calcium_mg", "376.37", (1000, 38, Band.BELOW_EAR), (1000, 38, Band.BELOW_EAR)),
        ("iron_mg", "10.58", (18, 59, Band.EAR_TO_RDA), (10, 106, RDA)),
        ("magnesium_mg", "247.97", (320, 77, Band.BELOW_EAR), (130, 191, RDA)),
        ("potassium_mg", "3860.75", (2600, 148, AI), (2300, 168, AI)),
        ("sodium_mg", "3765.74", (1500, 251, AI), (1000, 377, AI)),
        ("zinc_mg", "12.10", (8, 151, RDA), (5, 242, RDA)),
        ("vit_a_rae_ug", "3325.11", (700, 475, RDA), (400, 831, RDA)),
        ("vit_c_mg", "158.06", (75, 211, RDA), (25, 632, RDA)),
        ("vit_d_ug", "3.05", (15, 20, Band.UNKNOWN_LOW), (15, 20, Band.UNKNOWN_LOW)),
        ("vit_e_mg", "8.61", (15, 57, Band.BELOW_EAR), (7, 123, RDA)),
        ("vit_k_ug", "78.80", (90, 88, Band.BELOW_AI), (55, 143, AI)),
        ("thiamin_mg", "1.07", ("1.1", 98, Band.EAR_TO_RDA), ("0.6", 179, RDA)),
        ("niacin_mg", "35.02", (14, 250, RDA), (8, 438, RDA)),
        ("folate_ug", "377.66", (400, 94, Band.EAR_TO_RDA), (200, 189, RDA)),
        ("choline_mg", "706.69", (425, 166, AI), (250, 283, AI)),
    ],
)
def test_a_nutrient(nutrient: str, mean: str, woman: tuple, child: tuple) -> None:
    for body, (goal, percent, band) in ((WOMAN, woman), (CHILD, child)):
        found = _day(body).nutrients[nutrient]
        assert found.mean == pytest.approx(Decimal(mean), abs=Decimal("0.006"))
        assert (found.goal.most, found.percent, found.band) == (Decimal(goal), percent, band)


@pytest.mark.parametrize(
    ("nutrient", "woman", "child"),
    [
        ("sodium_mg", (2300, Above.ABOVE), (1500, Above.ABOVE)),
        ("zinc_mg", (40, Above.NOT_ABOVE), (12, Above.ABOVE)),
        ("magnesium_mg", (350, Above.NOT_COMPARED), (110, Above.NOT_COMPARED)),
        ("vit_a_rae_ug", (3000, Above.NOT_COMPARED), (900, Above.NOT_COMPARED)),
        ("niacin_mg", (35, Above.NOT_COMPARED), (15, Above.NOT_COMPARED)),
        ("choline_mg", (3500, Above.UNKNOWN), (1000, Above.UNKNOWN)),
    ],
)
def test_an_upper_amount(nutrient: str, woman: tuple, child: tuple) -> None:
    for body, expected in ((WOMAN, woman), (CHILD, child)):
        found = _day(body).nutrients[nutrient].upper
        assert (found.amount, found.place) == expected


def test_what_is_not_known_is_said() -> None:
    vitamin_d = _day(WOMAN).nutrients["vit_d_ug"]
    assert vitamin_d.unknown_for == ("chicken-stewing-cooked",)
    assert vitamin_d.coverage == pytest.approx(Decimal("0.92"), abs=Decimal("0.001"))
    assert _day(WOMAN).nutrients["choline_mg"].unknown_for == ("squash-butternut", "chicken-stewing-cooked")


def test_energy_and_its_split() -> None:
    day = _day(WOMAN)
    assert day.energy.mean == pytest.approx(Decimal("1770.3"), abs=Decimal("0.05"))
    grams = {name: day.nutrients[name].mean for name in ("protein_g", "fat_g", "carb_g")}
    assert grams == {
        "protein_g": pytest.approx(Decimal("108.41"), abs=Decimal("0.006")),
        "fat_g": pytest.approx(Decimal("102.75"), abs=Decimal("0.006")),
        "carb_g": pytest.approx(Decimal("104.70"), abs=Decimal("0.006")),
    }
    assert general_kcal(grams) == pytest.approx(Decimal("1777.2"), abs=Decimal("0.05"))
    shares = {name: share.quantize(Decimal("0.1")) for name, share in day.split.shares.items()}
    assert shares == {"protein_g": Decimal("24.4"), "fat_g": Decimal("52.0"), "carb_g": Decimal("23.6")}
    assert day.split.places == {"protein_g": Place.INSIDE, "fat_g": Place.ABOVE, "carb_g": Place.BELOW}
