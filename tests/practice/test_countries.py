"""Emergency numbers as published: 47 U.S.C. 251(e)(3) (US); CRTC (Canada); Ofcom General Conditions A3 (UK); Emergency
Call Answering Service (Ireland); ACMA (Australia); New Zealand Police; Directive (EU) 2018/1972, Article 109 (EU).
"""

import zoneinfo

import pytest

from coaching.practice.domain.countries import COUNTRIES, allergen_list_of, country_of
from coaching.practice.models import Practice
from coaching.practice.wording import ALLERGEN_LIST, COUNTRY

EU_27 = (
    *("AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI"),
    *("FR", "DE", "GR", "HU", "IE", "IT", "LV", "LT", "LU"),
    *("MT", "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE"),
)


@pytest.mark.parametrize(
    ("code", "numbers"),
    [
        ("US", ("911",)),
        ("CA", ("911",)),
        ("GB", ("999", "112")),
        ("IE", ("112", "999")),
        ("AU", ("000",)),
        ("NZ", ("111",)),
    ],
)
def test_emergency_numbers_are_the_published_ones(code: str, numbers: tuple[str, ...]):
    assert country_of(code).emergency_numbers == numbers


def test_every_member_state_answers_112_and_follows_the_fourteen_allergens():
    """The 27 members since 2020; labels follow Regulation (EU) 1169/2011, Annex II."""
    assert len(EU_27) == 27
    for code in EU_27:
        assert "112" in country_of(code).emergency_numbers
        assert country_of(code).allergen_list == "eu-14"


def test_every_country_can_be_named_and_used():
    assert set(COUNTRY) == set(COUNTRIES)
    for country in COUNTRIES.values():
        assert country.time_zone in zoneinfo.available_timezones()
        assert country.units in Practice.UnitSystem.values
        assert country.paper in Practice.Paper.values
        assert country.allergen_list in ALLERGEN_LIST


def test_an_unknown_country_is_an_error():
    with pytest.raises(KeyError):
        country_of("XX")


def test_a_country_we_have_no_facts_for_gets_the_longest_list():
    assert allergen_list_of("XX") == "eu-14"
    assert allergen_list_of("US") == "us-9"
