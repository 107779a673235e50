"""Every row of the reference intakes we ship: against the rules the published sets keep, and known wrong copies."""

import csv
import re
from decimal import Decimal

import pytest

from plans.domain.body import Body, Condition, Sex
from plans.domain.intakes import NUTRIENTS, Reference, groups_for, references_for
from plans.selectors import nutrient_table, reference_intakes
from tests import shipped

AMOUNTS = ("ear", "rda", "ai", "ul", "cdrr")


def _rows() -> list[Reference]:
    return [reference for references in reference_intakes().values() for reference in references]


def _name(reference: Reference) -> str:
    return f"{reference.nutrient} {reference.group}"


@pytest.mark.parametrize("row", _rows(), ids=_name)
def test_a_row_keeps_the_rules(row: Reference) -> None:
    assert (row.rda is None) != (row.ai is None), "either an RDA or an AI"
    if row.ear is not None:
        assert row.rda is not None, "an RDA is made from the EAR"
        assert row.ear < row.rda
    if row.rda is not None and row.ear is None:
        assert row.nutrient == "protein_g", "only protein a day has an RDA without an EAR beside it"
    if row.ul is not None and row.nutrient != "magnesium_mg":
        assert row.ul > row.goal
    assert row.cdrr is None or (row.nutrient == "sodium_mg" and row.cdrr > row.goal)
    assert row.age_below is None or row.age_below > row.age_from
    assert row.condition is Condition.NONE or (row.sex is Sex.FEMALE and row.age_below <= 51)
    assert row.source.startswith(("IOM ", "NASEM "))


@pytest.mark.parametrize("row", _rows(), ids=_name)
def test_every_amount_says_how_it_was_checked(row: Reference) -> None:
    checks = dict(check.split(":") for check in row.confirmed.split("; "))
    assert list(checks) == [name for name in AMOUNTS if getattr(row, name) is not None]
    assert set(checks.values()) <= {"page+dataset", "page", "dataset", "memory"}


def test_what_is_from_memory_is_counted() -> None:
    remembered = [row.nutrient for row in _rows() if "memory" in row.confirmed]
    assert {name: remembered.count(name) for name in remembered} == {"protein_g_per_kg": 14, "sodium_mg": 3}
    text = (shipped.DATA / "LICENCES.md").read_text("utf-8")
    assert "`reference_intakes.csv`" in text


def test_every_nutrient_of_the_food_table_but_energy_has_references() -> None:
    assert set(NUTRIENTS) - set(reference_intakes()) == {"energy_kcal"}


def test_every_nutrient_has_all_22_groups_where_any_is_set() -> None:
    """Fibre has none for infants, fat an AI for infants only."""
    counts = {nutrient: len(references) for nutrient, references in reference_intakes().items()}
    assert {name: count for name, count in counts.items() if count != 22} == {"fibre_g": 20, "fat_g": 2}
    assert len({row.group for row in _rows()}) == 22


@pytest.mark.parametrize("sex", [Sex.FEMALE, Sex.MALE])
def test_every_age_has_exactly_one_group(sex: Sex) -> None:
    for months in range(100 * 12):
        body = Body(Decimal(months) / 12, sex)
        assert len(groups_for(body, reference_intakes())) == 1, months


def test_both_sexes_of_an_age_have_the_same_kinds_of_amounts() -> None:
    """So that a range over both never mixes an RDA with an AI."""
    for nutrient in reference_intakes():
        for years in range(100):
            found = references_for(nutrient, Body(Decimal(years)), reference_intakes())
            kinds = {tuple(getattr(row, name) is None for name in AMOUNTS) for row in found}
            assert len(kinds) <= 1, (nutrient, years)


def test_infants_have_adequate_intakes_but_for_three() -> None:
    """Iron, zinc and protein have an RDA from the seventh month on (Institute of Medicine 2001 and 2005)."""
    infants = [row for row in _rows() if row.age_below is not None and row.age_below <= 1]
    with_rda = {(row.nutrient, row.group) for row in infants if row.rda is not None}
    names = {"iron_mg", "zinc_mg", "protein_g", "protein_g_per_kg"}
    assert with_rda == {(name, "infants-7-12mo") for name in names}


def test_the_upper_level_of_magnesium_lies_below_the_rda_in_eleven_groups() -> None:
    """It counts supplements only (Institute of Medicine 1997), which is why food is not held against it."""
    low = [
        row.group for row in reference_intakes()["magnesium_mg"] if row.ul is not None and row.ul < row.goal
    ]
    assert len(low) == 11


# Figures that older copies still carry wrong.
@pytest.mark.parametrize(
    ("nutrient", "group", "amount", "expected", "source"),
    [
        ("potassium_mg", "females-31-50", "ai", "2600", "NASEM 2019; before 2019 4700"),
        ("potassium_mg", "males-31-50", "ai", "3400", "NASEM 2019; before 2019 4700"),
        ("calcium_mg", "pregnancy-14-18", "ear", "1100", "IOM 2011, text of page 362; its table prints 1000"),
        ("calcium_mg", "lactation-14-18", "ear", "1100", "IOM 2011, text of page 362; its table prints 1000"),
        ("calcium_mg", "females-31-50", "ear", "800", "IOM 2011; before 2011 an AI"),
        ("vit_d_ug", "males-31-50", "rda", "15", "IOM 2011; before 2011 an AI of 5"),
        ("vit_d_ug", "males-31-50", "ul", "100", "IOM 2011; before 2011 50"),
        ("vit_d_ug", "infants-0-6mo", "ai", "10", "IOM 2011; an AI, not an RDA"),
        ("choline_mg", "males-31-50", "ul", "3500", "IOM 1998, printed as 3.5 g"),
        ("protein_g", "infants-7-12mo", "rda", "11", "IOM 2005; older copies 13.5"),
        ("vit_a_rae_ug", "lactation-14-18", "ear", "885", "IOM 2001; one older table 880"),
        ("sodium_mg", "males-31-50", "cdrr", "2300", "NASEM 2019"),
        ("protein_g_per_kg", "females-31-50", "rda", "0.8", "IOM 2005, from memory for women"),
    ],
)
def test_a_figure_known_for_wrong_copies(nutrient, group, amount, expected, source) -> None:
    (row,) = (row for row in reference_intakes()[nutrient] if row.group == group)
    assert getattr(row, amount) == Decimal(expected), source


def test_the_file_has_plain_numbers_and_is_read_once() -> None:
    with (shipped.DATA / "reference_intakes.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(_rows())
    for row in rows:
        for name in ("age_from_y", "age_below_y", *AMOUNTS):
            assert re.fullmatch(r"(\d+(\.\d+)?)?", row[name]), row
    assert reference_intakes() is reference_intakes()
    assert nutrient_table() is nutrient_table()
