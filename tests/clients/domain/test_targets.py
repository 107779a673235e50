"""What days are to hold: published amounts, nothing by energy where eating is a worry, nothing without a reference."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.body_measures import Measures
from clients.domain.screening import RULES
from clients.domain.targets import AIMED_FOR, EATING, LEFT_TO_CLINICIANS, targets_on
from plans.domain.body import Activity
from plans.domain.nutrients import UNITS
from plans.selectors import reference_intakes

ON = date(2026, 6, 15)
MEASURED = Measures(ON, weight_kg=Decimal(75), height_cm=Decimal(175), activity=Activity.ACTIVE)


def targets(born=date(1996, 6, 15), sex="male", answers=None, cautions=(), measures=None):
    return targets_on(
        ON,
        born=born,
        sex=sex,
        answers=answers or {},
        cautions=cautions,
        measures=measures,
        references=reference_intakes(),
    )


def test_a_woman_of_thirty_has_the_published_amounts():
    """Dietary Reference Intakes, females 19-30 years: IOM 1997-2011 and National Academies 2019, summary tables."""
    found = targets(born=date(1997, 6, 15), sex="female")
    assert {key: found[key] for key in ("protein_g", "calcium_mg", "iron_mg", "vit_c_mg", "folate_ug")} == {
        "protein_g": 46.0,
        "calcium_mg": 1000.0,
        "iron_mg": 18.0,
        "vit_c_mg": 75.0,
        "folate_ug": 400.0,
    }
    assert found["potassium_mg"] == 2600.0
    assert found["choline_mg"] == 425.0


def test_energy_comes_from_the_published_equation_where_it_has_all():
    """Active man of 30, 175 cm, 75 kg: 1004.82 - 10.83 x 30 + 6.52 x 175 + 15.91 x 75 = 3014.17 kcal, NASEM 2023."""
    found = targets(measures=MEASURED)
    assert found["energy_kcal"] == 3010.0
    # 0.8 g of protein for each kg, IOM 2005.
    assert found["protein_g"] == 60.0


@pytest.mark.parametrize(
    "measures",
    [None, Measures(ON), Measures(ON, weight_kg=Decimal(75)), Measures(ON, height_cm=Decimal(175))],
)
def test_without_all_measures_there_is_no_energy(measures):
    assert "energy_kcal" not in targets(measures=measures)


@pytest.mark.parametrize("rule", sorted(EATING))
def test_where_eating_is_a_worry_nothing_is_counted_by_energy_or_weight(rule):
    found = targets(cautions={rule}, measures=MEASURED)
    assert "energy_kcal" not in found
    # The amount for the group, IOM 2005: what somebody weighs plays no part.
    assert found["protein_g"] == 56.0


@pytest.mark.parametrize(
    ("rule", "left"),
    [
        ("kidney-disease", {"protein_g", "potassium_mg"}),
        ("warfarin", {"vit_k_ug"}),
        ("refeeding-risk", {"energy_kcal"}),
    ],
)
def test_what_is_set_for_the_person_is_left_to_clinicians(rule, left):
    assert targets(measures=MEASURED).keys() - targets(cautions={rule}, measures=MEASURED).keys() == left


def test_every_rule_is_one_of_the_screening():
    assert EATING | LEFT_TO_CLINICIANS.keys() <= set(RULES)


@pytest.mark.parametrize(
    "who",
    [
        {"born": date(2025, 6, 16)},
        {"born": date(2027, 1, 1)},
        {"born": date(1850, 1, 1)},
        {"born": date(1970, 1, 1), "sex": "female", "answers": {"pregnant": True}},
        {"sex": "female", "answers": {"pregnant": True, "breastfeeding": True}},
        {"sex": "male", "answers": {"pregnant": True}},
    ],
)
def test_there_is_nothing_without_a_published_group(who):
    assert targets(**who, measures=MEASURED) == {}


def test_with_the_sex_not_stated_the_higher_amount_counts():
    # Iron 8 mg for men and 18 mg for women of 30 years, protein 56 g and 46 g: IOM 2001 and 2005.
    found = targets(sex="unstated")
    assert (found["iron_mg"], found["protein_g"]) == (18.0, 56.0)


def test_nobody_is_led_to_salt_fat_starch_or_roughage():
    assert set(UNITS) - set(AIMED_FOR) == {"fat_g", "carb_g", "fibre_g", "sodium_mg"}


@given(
    born=st.dates(date(1900, 1, 1), date(2027, 1, 1)),
    sex=st.sampled_from(["female", "male", "unstated"]),
    answers=st.fixed_dictionaries({"pregnant": st.booleans(), "breastfeeding": st.booleans()}),
    cautions=st.frozensets(st.sampled_from(RULES), max_size=4),
    weight=st.none() | st.decimals("0.3", 650, places=1),
    height=st.none() | st.decimals(20, 280, places=1),
    activity=st.none() | st.sampled_from(Activity),
)
def test_amounts_are_positive_short_and_of_the_table(born, sex, answers, cautions, weight, height, activity):
    measures = Measures(ON, weight_kg=weight, height_cm=height, activity=activity)
    found = targets(born=born, sex=sex, answers=answers, cautions=cautions, measures=measures)
    assert found.keys() <= set(AIMED_FOR)
    assert all(type(amount) is float and amount > 0 for amount in found.values())
    assert all(float(f"{amount:.3g}") == amount for amount in found.values())
    assert not (cautions & EATING and "energy_kcal" in found)
