"""What an eater's days hold on average, against reference intakes."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.body import Activity, Body, Condition, Sex
from plans.domain.energy import Energy, NoEquation
from plans.domain.energy_shares import KCAL_PER_G, Place
from plans.domain.intake_week import WeekIntakes, week_intakes
from plans.domain.intakes import NOT_IN_TABLE, Above, Band, Goal
from plans.domain.nutrients import UNITS, NutrientRow
from plans.selectors import nutrient_table, reference_intakes

WOMAN = Body(Decimal(40), Sex.FEMALE)


def _week(amounts: Mapping[str, int], *, days: int = 1, body: Body = WOMAN, **more) -> WeekIntakes:
    return week_intakes(
        amounts={food: Decimal(grams) for food, grams in amounts.items()},
        days=days,
        table=more.pop("table", nutrient_table()),
        references=reference_intakes(),
        body=body,
        **more,
    )


# 200 g thigh with skin, 100 g carrot, 10 g ghee: USDA figures × grams / 100. The thigh's row has no vitamins.
def test_a_blank_is_not_known_and_never_none() -> None:
    found = _week({"chicken-thigh": 200, "carrot": 100, "ghee": 10})
    b12 = found.nutrients["b12_ug"]
    assert (b12.mean, b12.at_least, b12.percent, b12.band) == (Decimal("0.001"), True, None, Band.UNKNOWN)
    folate = found.nutrients["folate_ug"]
    assert (folate.mean, folate.percent, folate.band) == (19, 5, Band.UNKNOWN_LOW)
    for intake in (b12, folate):
        assert intake.coverage == Decimal(110) / Decimal(310)
        assert intake.unknown_for == ("chicken-thigh",)
    assert found.nutrients["calcium_mg"].band is Band.BELOW_EAR
    assert found.energy.mean == pytest.approx(Decimal("504.4"), abs=Decimal("0.05"))


def test_foods_that_are_unknown_are_named_by_weight() -> None:
    found = _week({"oxtail": 50, "carrot": 100, "nettle": 300, "dock": 50}).nutrients["iron_mg"]
    assert found.unknown_for == ("nettle", "dock", "oxtail")
    assert found.coverage == Decimal("0.2")


def test_means_are_a_day() -> None:
    one, seven = _week({"carrot": 100}), _week({"carrot": 700}, days=7)
    for nutrient, intake in one.nutrients.items():
        # More days alike make one surer of the same mean.
        assert intake == replace(seven.nutrients[nutrient], sure=intake.sure)
    assert one.energy == seven.energy
    assert (one.days, seven.days) == (1, 7)


def test_every_nutrient_is_there_and_what_the_table_lacks_is_named() -> None:
    found = _week({"carrot": 100})
    assert list(found.nutrients) == [nutrient for nutrient in UNITS if nutrient != "energy_kcal"]
    assert found.not_in_table == NOT_IN_TABLE
    assert {"iodine", "copper"} <= set(NOT_IN_TABLE)
    assert found.groups == ("females-31-50",)
    assert found.nutrients["fat_g"].band is Band.NO_REFERENCE


def test_every_amount_brings_its_source() -> None:
    sources = {reference.source for reference in _week({}).nutrients["sodium_mg"].references}
    assert sources == {"NASEM 2019, sodium and potassium"}


@pytest.mark.parametrize(
    ("nutrient", "note"),
    [("niacin_mg", "preformed-niacin"), ("folate_ug", "total-folate"), ("vit_d_ug", "little-sun-assumed")],
)
def test_what_a_reader_must_know_of_a_figure_goes_along(nutrient: str, note: str) -> None:
    assert _week({"carrot": 100}).nutrients[nutrient].notes == (note,)


# Upper level of vitamin A for children of 4 to 8 years: 900 µg, of retinol only (Institute of Medicine 2001).
def test_liver_reaches_the_upper_level_of_vitamin_a_and_carrots_do_not() -> None:
    child = Body(Decimal(5), Sex.MALE)
    carrots = _week({"carrot": 400}, body=child, preformed=["chicken-liver"]).nutrients["vit_a_rae_ug"]
    assert (carrots.mean, carrots.upper.place) == (3340, Above.NOT_COMPARED)
    liver = _week({"carrot": 400, "chicken-liver": 50}, body=child, preformed=["chicken-liver"])
    found = liver.nutrients["vit_a_rae_ug"].upper
    assert (found.place, found.amount) == (Above.ABOVE, 900)
    assert found.found < liver.nutrients["vit_a_rae_ug"].mean


def test_no_published_group_is_said() -> None:
    found = _week({"carrot": 100}, body=Body(Decimal(52), Sex.FEMALE, Condition.PREGNANCY))
    assert found.groups == ()
    assert {intake.band for intake in found.nutrients.values()} == {Band.NO_REFERENCE}
    assert {intake.goal for intake in found.nutrients.values()} == {None}
    assert {intake.percent for intake in found.nutrients.values()} == {None}
    assert found.energy.requirement == NoEquation("no-published-group")


def test_with_the_sex_not_stated_both_groups_are_shown() -> None:
    found = _week({"carrot": 1000}, body=Body(Decimal(40)))
    assert set(found.groups) == {"females-31-50", "males-31-50"}
    iron = found.nutrients["iron_mg"]
    assert iron.goal == Goal("rda", Decimal(8), Decimal(18))
    assert (iron.mean, iron.percent) == (3, 17)


# EER for a woman of 35, 165 cm, 62 kg, inactive: 2009.37 kcal (National Academies 2023).
def test_energy_is_held_against_the_requirement() -> None:
    measured = Body(
        Decimal(35), Sex.FEMALE, weight_kg=Decimal(62), height_cm=Decimal(165), activity=Activity.INACTIVE
    )
    found = _week({"ghee": 150}, body=measured).energy
    assert isinstance(found.requirement, Energy)
    assert found.requirement.most == Decimal("2009.37")
    assert found.percent == 65
    unmeasured = _week({"ghee": 150}).energy
    assert (unmeasured.mean, unmeasured.percent) == (found.mean, None)
    assert unmeasured.requirement == NoEquation("not-known", ("weight_kg", "height_cm", "activity"))


def test_shares_leave_out_foods_that_are_not_known_in_all_three() -> None:
    found = _week({"carrot": 100, "ghee": 100, "oxtail": 200}).split
    assert found.shares == _week({"carrot": 100, "ghee": 100}).split.shares
    assert found.coverage == Decimal("0.5")
    assert found.places == {"protein_g": Place.BELOW, "fat_g": Place.ABOVE, "carb_g": Place.BELOW}


@pytest.mark.parametrize("amounts", [{}, {"oxtail": 100}, {"water": 500}])
def test_no_energy_is_not_split(amounts: dict[str, int]) -> None:
    assert _week(amounts).split is None


def test_there_is_no_range_for_infants() -> None:
    assert _week({"carrot": 100}, body=Body(Decimal("0.75"))).split.places == {}


def test_carbohydrate_by_difference_is_never_shown_below_zero() -> None:
    """USDA has -0.17 g in 100 g of raw chicken thigh."""
    carbohydrate = _week({"chicken-thigh": 300}).nutrients["carb_g"]
    assert (carbohydrate.mean, carbohydrate.band) == (0, Band.BELOW_EAR)


def test_wrong_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one day"):
        _week({"carrot": 100}, days=0)
    with pytest.raises(ValueError, match="below zero"):
        _week({"carrot": -1})


FIGURES = st.dictionaries(st.sampled_from(list(UNITS)), st.decimals("0", "4000", places=2))
TABLES = st.fixed_dictionaries(dict.fromkeys("abcd", FIGURES)).map(
    lambda foods: {food: NutrientRow(food, food, "made up", figures) for food, figures in foods.items()}
)
AMOUNTS = st.dictionaries(st.sampled_from("abcd"), st.integers(0, 3000), min_size=1)
BODIES = st.builds(
    Body,
    age=st.decimals("0", "95", places=1),
    sex=st.sampled_from(Sex),
    condition=st.sampled_from(Condition),
    weight_kg=st.none() | st.decimals("3", "150", places=1),
)


@given(TABLES, AMOUNTS, BODIES, st.integers(1, 31), st.sampled_from("abcd"), st.integers(1, 500))
def test_more_food_never_lowers_a_known_mean(table, amounts, body, days, food, grams) -> None:
    before = _week(amounts, days=days, body=body, table=table)
    after = _week({**amounts, food: amounts.get(food, 0) + grams}, days=days, body=body, table=table)
    for nutrient, intake in before.nutrients.items():
        if intake.mean is not None and any(amounts.values()):
            assert after.nutrients[nutrient].mean >= intake.mean


@given(TABLES, AMOUNTS, BODIES, st.integers(1, 3000))
def test_an_unknown_food_is_never_counted_as_none(table, amounts, body, grams) -> None:
    found = _week({**amounts, "unknown": grams}, body=body, table=table)
    surely_below = {Band.BELOW_EAR, Band.BELOW_RDA, Band.BELOW_AI, Band.EAR_TO_RDA}
    for intake in found.nutrients.values():
        assert intake.at_least
        assert "unknown" in intake.unknown_for
        assert intake.coverage < 1
        assert intake.band not in surely_below
        assert intake.upper.place is not Above.NOT_ABOVE
        assert intake.percent != 0


@given(TABLES, AMOUNTS, BODIES)
def test_a_split_adds_up(table, amounts, body) -> None:
    split = _week(amounts, body=body, table=table).split
    if split is not None:
        assert split.shares.keys() == KCAL_PER_G.keys()
        assert sum(split.shares.values()) == pytest.approx(Decimal(100), abs=Decimal("1e-20"))
        assert 0 < split.coverage <= 1


def test_what_nobody_can_weigh_makes_every_figure_a_lower_bound() -> None:
    found = _week({"carrot": 100}, unweighed=["ghee"])
    assert found.energy.at_least and found.energy.unknown_for == ("ghee",)
    assert found.nutrients["calcium_mg"].unknown_for == ("ghee",)
    assert found.nutrients["calcium_mg"].band is Band.UNKNOWN_LOW


def test_nothing_but_what_nobody_can_weigh_is_not_known_and_no_zero() -> None:
    found = _week({}, unweighed=["oxtail"])
    assert (found.energy.mean, found.energy.coverage, found.split) == (None, 0, None)
    assert found.nutrients["iron_mg"].band is Band.UNKNOWN


def test_liver_nobody_can_weigh_leaves_the_upper_level_open() -> None:
    upper = _week({"carrot": 100}, unweighed=["beef-liver"], preformed=["beef-liver"])
    assert upper.nutrients["vit_a_rae_ug"].upper.place is Above.UNKNOWN


def test_pregnant_and_breast_feeding_at_once_has_no_reference() -> None:
    found = _week({"carrot": 100}, body=Body(Decimal(30), Sex.FEMALE, Condition.BOTH, weight_kg=Decimal(60)))
    assert found.groups == ()
    assert {intake.band for intake in found.nutrients.values()} == {Band.NO_REFERENCE}
    assert found.energy.requirement == NoEquation("no-published-group")


def test_how_sure_a_plan_makes_one_is_what_as_many_recorded_days_would_tell() -> None:
    # Magnesium, woman of 40, mean of 320 mg over 3 days: confidence 0.836 (Applications in Dietary Assessment, 2000,
    # pages 54 to 57, where it is rounded to 85 %).
    table = {"nuts": NutrientRow("nuts", "", "", {"magnesium_mg": Decimal(320)})}
    found = week_intakes(
        amounts={"nuts": Decimal(300)}, days=3, table=table, references=reference_intakes(), body=WOMAN
    )
    magnesium = found.nutrients["magnesium_mg"]
    assert not magnesium.at_least
    assert magnesium.sure.share == pytest.approx(0.836, abs=0.001)
    assert found.nutrients["selenium_ug"].sure is None
