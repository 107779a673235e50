"""What follows from the country a practice works in: emergency number, allergen list, units, paper, time zone.

Emergency numbers: 911 in the United States (47 U.S.C. 251(e)(3)) and Canada (CRTC, 9-1-1 services); 999 and 112 in the
United Kingdom (Ofcom, General Conditions of Entitlement, A3) and Ireland (Emergency Call Answering Service); 112 in
every member state of the European Union (Directive (EU) 2018/1972, Article 109); 000 in Australia (ACMA, Emergency
Call Service); 111 in New Zealand (New Zealand Police).
Allergen lists are named here and spelled out in ``plans.domain.allergens``.
Units and paper are common practice, no source: US customary units in the United States, Letter there and in Canada.
Time zones are a first guess, the one of the largest city where a country has several (IANA time zone database).
"""

from dataclasses import dataclass

LONGEST_LIST = "eu-14"


@dataclass(frozen=True, slots=True)
class Country:
    """One country by its ISO 3166-1 code. The first emergency number is the one we print unless told otherwise."""

    code: str
    time_zone: str
    emergency_numbers: tuple[str, ...] = ("112",)
    allergen_list: str = LONGEST_LIST
    units: str = "metric"
    paper: str = "a4"


_EUROPEAN_UNION = {
    "AT": "Europe/Vienna",
    "BE": "Europe/Brussels",
    "BG": "Europe/Sofia",
    "CY": "Asia/Nicosia",
    "CZ": "Europe/Prague",
    "DE": "Europe/Berlin",
    "DK": "Europe/Copenhagen",
    "EE": "Europe/Tallinn",
    "ES": "Europe/Madrid",
    "FI": "Europe/Helsinki",
    "FR": "Europe/Paris",
    "GR": "Europe/Athens",
    "HR": "Europe/Zagreb",
    "HU": "Europe/Budapest",
    "IT": "Europe/Rome",
    "LT": "Europe/Vilnius",
    "LU": "Europe/Luxembourg",
    "LV": "Europe/Riga",
    "MT": "Europe/Malta",
    "NL": "Europe/Amsterdam",
    "PL": "Europe/Warsaw",
    "PT": "Europe/Lisbon",
    "RO": "Europe/Bucharest",
    "SE": "Europe/Stockholm",
    "SI": "Europe/Ljubljana",
    "SK": "Europe/Bratislava",
}

COUNTRIES = {
    country.code: country
    for country in (
        Country("US", "America/New_York", ("911",), "us-9", "us", "letter"),
        Country("CA", "America/Toronto", ("911",), "ca", "metric", "letter"),
        Country("GB", "Europe/London", ("999", "112")),
        Country("IE", "Europe/Dublin", ("112", "999")),
        Country("AU", "Australia/Sydney", ("000",), "au-nz"),
        Country("NZ", "Pacific/Auckland", ("111",), "au-nz"),
        *(Country(code, zone) for code, zone in _EUROPEAN_UNION.items()),
    )
}


def country_of(code: str) -> Country:
    """The country with this code. Raises KeyError for one we have no published facts for."""
    return COUNTRIES[code]


def allergen_list_of(code: str) -> str:
    """The allergen list of a country; the longest one for a country we have no facts for."""
    return COUNTRIES[code].allergen_list if code in COUNTRIES else LONGEST_LIST
