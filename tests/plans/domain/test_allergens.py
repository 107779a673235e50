"""The official allergen lists: FALCPA 2004 with the FASTER Act 2021; Regulation (EU) 1169/2011, Annex II; Health
Canada's priority allergens; the Australia New Zealand Food Standards Code, Schedule 9.
"""

import pytest

from coaching.practice.domain.countries import COUNTRIES
from plans.domain.allergens import ALLERGEN_LISTS, on_and_off_list, unknown_families
from plans.domain.vocabulary import FAMILIES


def test_the_us_list_is_the_eight_of_2004_and_sesame():
    eight = {"milk", "egg", "fish", "crustacean", "tree-nut", "peanut", "wheat", "soy"}
    assert set(ALLERGEN_LISTS["us-9"]) == eight | {"sesame"}
    assert len(ALLERGEN_LISTS["us-9"]) == 9


def test_the_us_list_knows_no_mollusc_celery_mustard_lupin_or_sulphite():
    assert not {"mollusc", "celery", "mustard", "lupin", "sulphite"} & set(ALLERGEN_LISTS["us-9"])


def test_the_european_list_has_the_fourteen_of_annex_two():
    annex_two = [
        "gluten",
        "crustacean",
        "egg",
        "fish",
        "peanut",
        "soy",
        "milk",
        "tree-nut",
        "celery",
        "mustard",
        "sesame",
        "sulphite",
        "lupin",
        "mollusc",
    ]
    assert list(ALLERGEN_LISTS["eu-14"]) == annex_two


def test_canada_lists_mustard_and_sulphite_but_not_celery_or_lupin():
    assert {"mustard", "sulphite", "mollusc"} <= set(ALLERGEN_LISTS["ca"])
    assert not {"celery", "lupin"} & set(ALLERGEN_LISTS["ca"])


def test_australia_and_new_zealand_list_lupin_but_not_celery_or_mustard():
    assert {"lupin", "sulphite", "mollusc"} <= set(ALLERGEN_LISTS["au-nz"])
    assert not {"celery", "mustard"} & set(ALLERGEN_LISTS["au-nz"])


@pytest.mark.parametrize("name", ALLERGEN_LISTS)
def test_a_list_holds_known_families_once_and_the_rest_makes_up_all(name: str):
    listed, rest = on_and_off_list(name)
    assert len(set(listed)) == len(listed)
    assert sorted(listed + rest) == sorted(FAMILIES)


def test_every_country_names_a_list_we_have():
    assert {country.allergen_list for country in COUNTRIES.values()} == set(ALLERGEN_LISTS)


def test_unknown_families_are_named():
    assert unknown_families(["milk", "shellfish", "dairy"]) == ["dairy", "shellfish"]
