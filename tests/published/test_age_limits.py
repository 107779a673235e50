"""Limits of age and condition against what public-health bodies publish; each check names its source."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, allowance, day_allowances
from plans.domain.limits import (
    BREASTFEEDING,
    FLAGS,
    PREGNANT,
    WARFARIN,
    WEAK_IMMUNITY,
    birthday,
    younger_than,
)
from plans.domain.limits import LIMITS as TABLE
from plans.domain.records import form_of
from plans.domain.tighten import permits
from plans.domain.vocabulary import LIMITS, Allowance, Use
from tests import shipped

ON = date(2026, 6, 1)


def born(*, years: int = 0, months: int = 0) -> date:
    """A birthday that makes somebody this old on the day of the checks."""
    month = ON.year * 12 + ON.month - 1 - 12 * years - months
    return date(month // 12, month % 12 + 1, ON.day)


def given_to(food: str, form: str, *flags: str, birth: date = date(1980, 1, 1), on: date = ON) -> Allowance:
    rules = EaterRules(born=birth, flags=frozenset(flags))
    return allowance(shipped.rulebook(None), rules, food, form_of(form), on).allowance


@pytest.mark.parametrize("form", ["raw", "baked"])
def test_honey_is_barred_until_twelve_months_also_baked(form: str):
    """CDC, Foods and Drinks to Avoid or Limit (2020); INSPQ (Quebec), Honey: never for babies under age 1."""
    eleven_months_thirty_days = date(2025, 6, 2)
    assert given_to("honey", form, birth=eleven_months_thirty_days) is Allowance.NOT_YET
    assert given_to("honey", form, birth=born(months=12)) is not Allowance.NOT_YET


def test_a_child_of_29_february_may_have_honey_from_the_first_of_march():
    """The later of two possible days is the safer one (our choice)."""
    leap = date(2024, 2, 29)
    assert given_to("honey", "raw", birth=leap, on=date(2025, 2, 28)) is Allowance.NOT_YET
    assert given_to("honey", "raw", birth=leap, on=date(2025, 3, 1)) is not Allowance.NOT_YET


def test_honey_before_two_years_is_pointed_out_not_barred():
    """CDC: no added sugars before 24 months; that honey counts as one is from memory."""
    answer = allowance(shipped.rulebook(None), EaterRules(born=born(months=18)), "honey", None, ON)
    assert answer.allowance is not Allowance.NOT_YET
    assert "sugar-under-two" in [reason.code for reason in answer.reasons]


@pytest.mark.parametrize(
    ("birth", "flags"),
    [
        (born(years=4, months=11), ()),
        (born(years=65), ()),
        (date(1990, 1, 1), (PREGNANT,)),
        (date(1990, 1, 1), (WEAK_IMMUNITY,)),
    ],
)
def test_raw_milk_is_barred_for_those_at_risk(birth: date, flags: tuple[str, ...]):
    """CDC, Listeria outbreak linked to raw milk, Advice to Consumers (2016): under 5, 65 and over, pregnant, weak
    immunity."""
    assert given_to("raw-milk", "raw", *flags, birth=birth) is Allowance.NOT_YET


def test_raw_milk_is_not_barred_by_this_limit_for_others():
    assert given_to("raw-milk", "raw", birth=born(years=5)) is Allowance.FREELY
    assert given_to("raw-milk", "raw", birth=born(years=64, months=11)) is Allowance.FREELY


@pytest.mark.parametrize("food", ["egg", "egg-yolk", "bean-sprouts", "alfalfa-sprouts"])
def test_eggs_and_sprouts_are_cooked_through_for_those_at_risk(food: str):
    """foodsafety.gov, Safe Minimum Internal Temperatures, eggs; FDA advice on sprouts (groups from memory)."""
    assert given_to(food, "raw", PREGNANT) is Allowance.NOT_YET
    assert given_to(food, "boiled", PREGNANT) is Allowance.AS_PREPARED
    assert given_to(food, "raw") is Allowance.FREELY


@pytest.mark.parametrize("food", ["chicken-liver", "beef-liver", "lamb-liver", "cod-liver-oil"])
def test_liver_is_barred_in_pregnancy(food: str):
    """UK NHS advice by way of Tommy's, Foods to avoid in pregnancy."""
    assert given_to(food, "stewed", PREGNANT) is Allowance.NOT_YET
    assert given_to(food, "stewed") is Allowance.FREELY


@pytest.mark.parametrize(
    "who", [{"birth": born(years=11)}, {"flags": (PREGNANT,)}, {"flags": (BREASTFEEDING,)}]
)
def test_swordfish_is_barred_for_children_and_mothers(who: dict):
    """FDA and EPA, Advice about Eating Fish: choices to avoid (from memory)."""
    assert given_to("swordfish", "grilled", *who.pop("flags", ()), **who) is Allowance.NOT_YET


def test_alcohol_is_barred_in_pregnancy_also_cooked():
    """CDC, Alcohol Use During Pregnancy: no known safe amount (from memory)."""
    assert given_to("white-wine", "stewed", PREGNANT) is Allowance.NOT_YET


@pytest.mark.parametrize("food", ["grapes", "popcorn", "carrot", "raisins", "sunflower-seeds"])
def test_what_chokes_is_barred_before_four_years(food: str):
    """USDA MyPlate, Choking hazards; University of Illinois Extension: watch children under 4."""
    assert given_to(food, "raw", birth=born(years=3, months=11)) is Allowance.NOT_YET
    assert given_to(food, "raw", birth=born(years=4)) is Allowance.FREELY


def test_a_soft_carrot_is_no_choking_hazard():
    assert given_to("carrot", "boiled + peeled", birth=born(years=2)) is Allowance.AS_PREPARED


def test_whole_nuts_wait_for_five_years_ground_ones_do_not():
    """UK NHS, Foods to avoid giving babies and young children: 5 years (from memory); US sources say 4."""
    assert given_to("walnuts", "raw", birth=born(years=4, months=11)) is Allowance.NOT_YET
    assert given_to("walnuts", "raw", birth=born(years=5)) is Allowance.FREELY
    assert given_to("walnuts", "raw + minced", birth=born(years=3)) is not Allowance.NOT_YET
    assert given_to("ground-almonds", "baked", birth=born(years=3)) is Allowance.FREELY


@pytest.mark.parametrize("food", ["egg", "egg-yolk", "mayonnaise", "bean-sprouts"])
@pytest.mark.parametrize("who", [{"birth": born(years=4)}, {"birth": born(years=70)}, {"flags": (PREGNANT,)}])
def test_raw_egg_and_sprouts_do_not_flavour_a_pot_for_those_at_risk(food: str, who: dict):
    """foodsafety.gov and FDA, as beside the limits: germs stay in the pot when the food is taken out."""
    assert not flavours(food, "raw", **who)
    assert flavours(food, "boiled", **who)
    assert flavours(food, "raw")


def test_a_piece_that_could_choke_may_flavour_a_pot_since_it_is_taken_out():
    """Our reading of what USDA MyPlate and the UK NHS say of pieces in the mouth; no source on flavours."""
    assert flavours("celery", "raw", birth=born(years=2))
    assert flavours("walnuts", "raw", birth=born(years=2))


def flavours(food: str, form: str, flags: tuple[str, ...] = (), birth: date = date(1980, 1, 1)) -> bool:
    rules = EaterRules(born=birth, flags=frozenset(flags))
    given_ = day_allowances(shipped.rulebook(None), rules, ON)[food]
    return permits(given_, form_of(form), Use.FLAVOUR)


def test_vitamin_k_with_warfarin_is_a_word_to_the_clinic_not_a_ban():
    """NIH Office of Dietary Supplements, Vitamin K: keep the amount steady, do not avoid."""
    answer = allowance(
        shipped.rulebook(None), EaterRules(born(years=50), flags=frozenset({WARFARIN})), "kale", None, ON
    )
    assert answer.allowance is Allowance.FREELY
    assert "vitamin-k-steady" in [reason.code for reason in answer.reasons]


def test_no_solid_food_before_four_months():
    """American Academy of Pediatrics and CDC: about six months, never before four."""
    assert given_to("carrot", "boiled + pureed", birth=born(months=3)) is Allowance.NOT_YET


def test_what_contains_a_barred_food_is_barred_too():
    assert given_to("mayonnaise", "raw", PREGNANT) is Allowance.NOT_YET


def test_every_limit_a_food_can_carry_has_a_row_with_a_source():
    assert {limit.name for limit in TABLE} == set(LIMITS)
    assert all(limit.source for limit in TABLE)
    assert {flag for limit in TABLE for flag in limit.flags} == FLAGS


@given(st.dates(date(1920, 1, 1), date(2030, 1, 1)), st.integers(0, 1200))
def test_a_birthday_is_never_before_the_same_day_of_the_month(day: date, months: int):
    reached = birthday(day, months=months)
    counted = (reached.year - day.year) * 12 + reached.month - day.month
    assert (counted, reached.day) in ((months, day.day), (months + 1, 1))
    assert younger_than(day, reached - timedelta(days=1), months=months)
    assert not younger_than(day, reached, months=months)
