"""Reference intakes: who belongs to which group, and where an average lies against its amounts."""

from collections.abc import Mapping
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.body import Body, Condition, Sex
from plans.domain.intakes import (
    Above,
    Band,
    Goal,
    Reference,
    ReferenceTable,
    band,
    goal_of,
    groups_for,
    is_at_least,
    percent_of,
    references_for,
    references_from_rows,
    upper,
)
from plans.domain.nutrients import NutrientTotal
from plans.selectors import reference_intakes

F, M, UNSTATED = Sex.FEMALE, Sex.MALE, Sex.UNSTATED
PREGNANCY, LACTATION = Condition.PREGNANCY, Condition.LACTATION


@pytest.fixture(scope="module")
def table() -> ReferenceTable:
    return reference_intakes()


def _body(sex: Sex, age: str, condition: Condition = Condition.NONE, **more) -> Body:
    return Body(Decimal(age), sex, condition, **more)


def _total(value: str | None, coverage: str = "1", unknown_for: tuple[str, ...] = ()) -> NutrientTotal:
    return NutrientTotal(None if value is None else Decimal(value), Decimal(coverage), unknown_for)


def _reference(nutrient: str = "calcium_mg", **amounts: int | None) -> Reference:
    row = {"nutrient": nutrient, "group": "made-up", "sex": "any", "age_from_y": "0", "age_below_y": ""}
    row |= {"condition": "none", "source": "made up", "confirmed": ""}
    row |= {name: str(amounts.get(name) or "") for name in ("ear", "rda", "ai", "ul", "cdrr")}
    ((found,),) = references_from_rows([row]).values()
    return found


# Dietary Reference Intakes: Institute of Medicine 2011 (calcium, vitamin D), 1997 (magnesium), 2001 (iron).
@pytest.mark.parametrize(
    ("sex", "age", "nutrient", "amount", "expected"),
    [
        (F, "8.99", "calcium_mg", "rda", "1000"),
        (F, "9.0", "calcium_mg", "rda", "1300"),
        (F, "30.99", "magnesium_mg", "rda", "310"),
        (F, "31.0", "magnesium_mg", "rda", "320"),
        (F, "50.9", "iron_mg", "rda", "18"),
        (F, "51.0", "iron_mg", "rda", "8"),
        (M, "70.9", "vit_d_ug", "rda", "15"),
        (M, "71.0", "vit_d_ug", "rda", "20"),
        (M, "50.9", "calcium_mg", "rda", "1000"),
        (M, "50.9", "calcium_mg", "ul", "2500"),
        (M, "51.0", "calcium_mg", "rda", "1000"),
        (M, "51.0", "calcium_mg", "ul", "2000"),
        (UNSTATED, "0.45", "iron_mg", "ai", "0.27"),
        (UNSTATED, "0.5", "iron_mg", "rda", "11"),
    ],
)
def test_amounts_change_on_the_birthday(table, sex, age, nutrient, amount, expected) -> None:
    (reference,) = references_for(nutrient, _body(sex, age), table)
    assert getattr(reference, amount) == Decimal(expected)


# Institute of Medicine 2011 and 2001.
def test_a_pregnancy_has_amounts_of_its_own(table) -> None:
    body = _body(F, "18.5", PREGNANCY)
    assert references_for("calcium_mg", body, table)[0].rda == 1300
    assert references_for("iron_mg", body, table)[0].rda == 27


@pytest.mark.parametrize(
    ("sex", "age", "condition", "groups"),
    [
        (F, "13.99", PREGNANCY, ()),
        (F, "14", PREGNANCY, ("pregnancy-14-18",)),
        (F, "50.99", PREGNANCY, ("pregnancy-31-50",)),
        (F, "51", PREGNANCY, ()),
        (F, "51", LACTATION, ()),
        (F, "30", LACTATION, ("lactation-19-30",)),
        (UNSTATED, "30", LACTATION, ("lactation-19-30",)),
        (M, "30", PREGNANCY, ()),
        (UNSTATED, "8.99", Condition.NONE, ("children-4-8",)),
        (UNSTATED, "9", Condition.NONE, ("males-9-13", "females-9-13")),
        (F, "0", Condition.NONE, ("infants-0-6mo",)),
        (F, "0.5", Condition.NONE, ("infants-7-12mo",)),
        (F, "1", Condition.NONE, ("children-1-3",)),
        (M, "99", Condition.NONE, ("males-over-70",)),
    ],
)
def test_groups(table, sex, age, condition, groups) -> None:
    body = _body(sex, age, condition)
    assert groups_for(body, table) == groups
    assert {reference.group for reference in references_for("calcium_mg", body, table)} == set(groups)


def test_with_the_sex_not_stated_the_goal_is_a_range_and_the_answer_the_more_cautious(table) -> None:
    """Iron at 31 to 50 years: women EAR 8.1 and RDA 18 mg, men 6 and 8 mg (Institute of Medicine 2001)."""
    references = references_for("iron_mg", _body(UNSTATED, "40"), table)
    assert goal_of(references) == Goal("rda", Decimal(8), Decimal(18))
    assert band(Decimal(10), references) is Band.EAR_TO_RDA
    assert band(Decimal(7), references) is Band.BELOW_EAR
    assert band(Decimal(18), references) is Band.AT_OR_ABOVE_RDA


def test_of_two_upper_levels_the_lower_counts() -> None:
    references = (_reference(rda=10, ul=40), _reference(rda=10, ul=30))
    assert upper(_total("35"), references).place is Above.ABOVE


# Protein by weight, Institute of Medicine 2005: adults EAR 0.66 and RDA 0.8 g/kg; girls 9-13 EAR 0.76 g/kg.
def test_protein_goes_by_weight_where_it_is_known(table) -> None:
    (adult,) = references_for("protein_g", _body(M, "40", weight_kg=Decimal(80)), table)
    assert (adult.nutrient, adult.ear, adult.rda) == ("protein_g", Decimal("52.8"), Decimal(64))
    (girl,) = references_for("protein_g", _body(F, "11", weight_kg=Decimal(40)), table)
    assert girl.ear == Decimal("30.4")
    (unweighed,) = references_for("protein_g", _body(M, "40"), table)
    assert (unweighed.ear, unweighed.rda) == (None, 56)


def test_protein_in_pregnancy_goes_by_the_weight_before(table) -> None:
    """1.1 g/kg of the weight before the pregnancy, both from memory; without that weight 71 g, as printed."""
    body = _body(F, "30", PREGNANCY, weight_kg=Decimal(70))
    assert references_for("protein_g", body, table)[0].rda == 71
    known = _body(F, "30", PREGNANCY, weight_kg=Decimal(70), weight_before_kg=Decimal(60))
    assert references_for("protein_g", known, table)[0].rda == 66


# Bands as Health Canada's summary of the Institute of Medicine's report of 2000 has them.
@pytest.mark.parametrize(
    ("value", "complete", "at_least"),
    [
        ("799", Band.BELOW_EAR, Band.UNKNOWN_LOW),
        ("800", Band.EAR_TO_RDA, Band.AT_LEAST_EAR),
        ("999.9", Band.EAR_TO_RDA, Band.AT_LEAST_EAR),
        ("1000", Band.AT_OR_ABOVE_RDA, Band.AT_OR_ABOVE_RDA),
        ("0", Band.BELOW_EAR, Band.UNKNOWN),
    ],
)
def test_bands_with_an_ear(value: str, complete: Band, at_least: Band) -> None:
    references = (_reference(ear=800, rda=1000),)
    assert band(Decimal(value), references) is complete
    assert band(Decimal(value), references, at_least=True) is at_least


@pytest.mark.parametrize(
    ("value", "complete", "at_least"),
    [
        ("24.9", Band.BELOW_AI, Band.UNKNOWN_LOW),
        ("25", Band.AT_OR_ABOVE_AI, Band.AT_OR_ABOVE_AI),
    ],
)
def test_bands_with_an_ai(value: str, complete: Band, at_least: Band) -> None:
    references = (_reference(ai=25),)
    assert band(Decimal(value), references) is complete
    assert band(Decimal(value), references, at_least=True) is at_least


def test_bands_without_what_they_need() -> None:
    assert band(Decimal(40), (_reference("protein_g", rda=56),)) is Band.BELOW_RDA
    assert band(Decimal(40), ()) is Band.NO_REFERENCE
    assert band(Decimal(40), (_reference(ul=100),)) is Band.NO_REFERENCE
    assert band(None, (_reference(ear=800, rda=1000),)) is Band.UNKNOWN
    assert goal_of((_reference(ul=100),)) is None


@pytest.mark.parametrize(
    ("nutrient", "total", "expected"),
    [
        ("iron_mg", _total("5"), False),
        ("iron_mg", _total("5", "0.9", ("oxtail",)), True),
        ("iron_mg", _total("5", "1", ("bouquet-garni",)), True),
        ("niacin_mg", _total("5"), True),
    ],
)
def test_a_mean_is_a_lower_bound_when_anything_is_unknown(nutrient, total, expected) -> None:
    """Niacin always: the table has the preformed only, and the body makes more from tryptophan."""
    assert is_at_least(nutrient, total) is expected


@pytest.mark.parametrize("nutrient", ["magnesium_mg", "vit_e_mg", "niacin_mg", "folate_ug"])
def test_upper_levels_of_supplements_are_not_held_against_food(table, nutrient: str) -> None:
    references = references_for(nutrient, _body(F, "6"), table)
    found = upper(_total("100000"), references)
    assert (found.place, found.found) == (Above.NOT_COMPARED, None)
    assert found.why in {"supplements-only", "synthetic-only"}


def test_carrots_never_reach_the_upper_level_of_vitamin_a(table) -> None:
    """3000 µg of retinol for adults, Institute of Medicine 2001."""
    references = references_for("vit_a_rae_ug", _body(F, "40"), table)
    carrots = _total("5000")
    assert upper(carrots, references).place is Above.NOT_COMPARED
    assert upper(carrots, references).why == "preformed-only"
    assert upper(carrots, references, preformed=_total("2900")).place is Above.NOT_ABOVE
    liver = upper(carrots, references, preformed=_total("3100"))
    assert (liver.place, liver.found, liver.amount) == (Above.ABOVE, 3100, 3000)
    assert upper(carrots, references, preformed=_total(None, "0", ("liver",))).place is Above.UNKNOWN


@pytest.mark.parametrize(
    ("total", "place"),
    [
        (_total("2300"), Above.NOT_ABOVE),
        (_total("2300.1"), Above.ABOVE),
        (_total("2300.1", "0.5", ("oxtail",)), Above.ABOVE),
        (_total("100", "0.5", ("oxtail",)), Above.UNKNOWN),
        (_total(None, "0", ("oxtail",)), Above.UNKNOWN),
    ],
)
def test_sodium_is_held_against_its_cdrr(table, total: NutrientTotal, place: Above) -> None:
    """2300 mg for adults, National Academies 2019, which set no upper level."""
    found = upper(total, references_for("sodium_mg", _body(M, "40"), table))
    assert (found.kind, found.amount, found.place) == ("cdrr", 2300, place)


def test_potassium_has_no_upper_amount(table) -> None:
    found = upper(_total("9000"), references_for("potassium_mg", _body(M, "40"), table))
    assert (found.kind, found.place) == ("", Above.NOT_SET)


@pytest.mark.parametrize(
    ("value", "goal", "percent"),
    [("104.70", "130", 81), ("0.5", "100", 1), ("0.4", "100", 0), ("2", "1", 200)],
)
def test_percent_is_whole(value: str, goal: str, percent: int) -> None:
    assert percent_of(Decimal(value), Decimal(goal)) == percent
    assert percent_of(None, Decimal(goal)) is None


AMOUNT = st.decimals("0", "5000", places=2)
REFERENCES = st.one_of(
    st.tuples(st.integers(1, 2000), st.integers(1, 2000)).map(
        lambda pair: _reference(ear=pair[0], rda=sum(pair))
    ),
    st.integers(1, 2000).map(lambda amount: _reference(ai=amount)),
    st.integers(1, 2000).map(lambda amount: _reference(rda=amount)),
)
RANK = {
    Band.UNKNOWN: 0,
    Band.BELOW_EAR: 0,
    Band.UNKNOWN_LOW: 1,
    Band.BELOW_RDA: 1,
    Band.BELOW_AI: 1,
    Band.EAR_TO_RDA: 2,
    Band.AT_LEAST_EAR: 2,
    Band.AT_OR_ABOVE_RDA: 3,
    Band.AT_OR_ABOVE_AI: 3,
}


@given(REFERENCES, AMOUNT, AMOUNT, st.booleans())
def test_more_never_lies_lower(reference: Reference, one: Decimal, other: Decimal, at_least: bool) -> None:
    less, more = sorted((one, other))
    low, high = (band(value, (reference,), at_least=at_least) for value in (less, more))
    assert RANK[low] <= RANK[high]


@given(st.lists(REFERENCES, min_size=2, max_size=2), AMOUNT, st.booleans())
def test_of_two_groups_the_more_cautious_answer_stands(references, value, at_least) -> None:
    bands = [band(value, (reference,), at_least=at_least) for reference in references]
    assert RANK[band(value, references, at_least=at_least)] == min(RANK[found] for found in bands)


@given(REFERENCES, AMOUNT)
def test_a_lower_bound_never_says_below(reference: Reference, value: Decimal) -> None:
    below = {Band.BELOW_EAR, Band.BELOW_RDA, Band.BELOW_AI, Band.EAR_TO_RDA}
    assert band(value, (reference,), at_least=True) not in below


def _row(**changed: str) -> Mapping[str, str]:
    row = {"nutrient": "iron_mg", "group": "g", "sex": "any", "age_from_y": "1", "age_below_y": "4"}
    row |= {"condition": "none", "ear": "3", "rda": "7", "ai": "", "ul": "40", "cdrr": ""}
    return row | {"source": "s", "confirmed": "c"} | changed


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"nutrient": "copper_mg"}, "no nutrient"),
        ({"ear": "some"}, "not a number"),
        ({"rda": "0"}, "no amount"),
        ({"rda": "NaN"}, "no amount"),
        ({"sex": "both"}, "both"),
        ({"condition": "old"}, "old"),
    ],
)
def test_a_wrong_row_is_refused(changed: dict[str, str], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        references_from_rows([_row(**changed)])


def test_a_group_given_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="two rows"):
        references_from_rows([_row(), _row()])
