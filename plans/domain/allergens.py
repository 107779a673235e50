"""The official allergen lists, in the families this house knows.

us-9: milk, egg, fish, crustacean shellfish, tree nuts, peanuts, wheat, soybeans (Food Allergen Labeling and Consumer
Protection Act of 2004) and sesame (FASTER Act of 2021).
eu-14: Regulation (EU) 1169/2011, Annex II; the United Kingdom keeps the same list.
ca: the priority allergens of Health Canada, labelled under the Food and Drug Regulations, B.01.010.1: eggs, milk,
mustard, peanuts, crustaceans and molluscs, fish, sesame, soy, sulphites, tree nuts, wheat and triticale; gluten sources
are declared beside them.
au-nz: Australia New Zealand Food Standards Code, Standard 1.2.3 and Schedule 9, as amended by Proposal P1044 (2021).
"""

from collections.abc import Iterable

from plans.domain.vocabulary import FAMILIES

ALLERGEN_LISTS = {
    "us-9": ("milk", "egg", "fish", "crustacean", "tree-nut", "peanut", "wheat", "soy", "sesame"),
    "eu-14": (
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
    ),
    "ca": (
        "egg",
        "milk",
        "mustard",
        "peanut",
        "crustacean",
        "mollusc",
        "fish",
        "sesame",
        "soy",
        "sulphite",
        "tree-nut",
        "wheat",
        "gluten",
    ),
    "au-nz": (
        "wheat",
        "gluten",
        "fish",
        "crustacean",
        "mollusc",
        "egg",
        "milk",
        "lupin",
        "peanut",
        "soy",
        "sesame",
        "tree-nut",
        "sulphite",
    ),
}


def on_and_off_list(name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The families of an official list in its order, and the families it leaves out. Raises KeyError."""
    listed = ALLERGEN_LISTS[name]
    return listed, tuple(family for family in FAMILIES if family not in listed)


def unknown_families(families: Iterable[str]) -> list[str]:
    """Those that are no family we know, sorted."""
    return sorted(set(families) - set(FAMILIES))
