"""What the shipped foods carry, against the official allergen lists, as an eater's allowances see it.

US: Food Allergen Labeling and Consumer Protection Act 2004 and FASTER Act 2021; FDA Allergen Q&A, edition 5, 2025.
EU: Regulation 1169/2011, Annex II.
"""

from datetime import date

import pytest

from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.vocabulary import Allowance
from tests import shipped

ON = date(2026, 6, 1)


def barred_by(family: str) -> set[str]:
    """The foods an allergy to a family takes away from a grown-up who follows nothing."""
    rules = EaterRules(born=date(1980, 1, 1), allergies=frozenset({family}))
    answers = day_allowances(shipped.rulebook(None), rules, ON)
    return {key for key, answer in answers.items() if answer.allowance is Allowance.NOT_YET}


@pytest.mark.parametrize(
    ("family", "foods"),
    [
        ("celery", {"celery", "vegetable-stock"}),  # EU Annex II, 9; no US major allergen
        (
            "milk",
            {"ghee", "butter", "whey", "kefir", "yoghurt", "soured-cream", "goat-milk", "raw-milk"},
        ),  # FDA Q&A
        ("egg", {"egg", "egg-yolk", "egg-white", "mayonnaise"}),
        ("sesame", {"tahini", "sesame-seeds"}),  # FASTER Act
        ("tree-nut", {"pine-nuts", "ground-almonds", "almond-butter", "walnuts"}),  # FDA Q&A, table 1
        ("peanut", {"peanuts", "peanut-butter"}),
        ("fish", {"cod", "fish-stock", "fish-sauce", "kimchi"}),
        ("wheat", {"wheat-flour", "bread-wheat", "couscous", "soy-sauce"}),
        (
            "gluten",
            {"bread-wheat", "rye-bread", "barley", "oats", "malt-vinegar", "soy-sauce"},
        ),  # EU Annex II, 1
        ("soy", {"soy-sauce", "tamari", "miso", "firm-tofu"}),
        ("mollusc", {"mussels", "oysters", "squid"}),  # EU Annex II, 14; none of the US list
        ("crustacean", {"prawns", "crab"}),
        ("mustard", {"mustard", "mayonnaise"}),
        ("lupin", {"lupin-flour"}),
    ],
)
def test_an_allergy_takes_away(family: str, foods: set[str]):
    assert foods <= barred_by(family)


@pytest.mark.parametrize(
    ("family", "foods"),
    [
        (
            "tree-nut",
            {"coconut-milk", "desiccated-coconut", "chestnuts"},
        ),  # not since 6 January 2025: FDA Q&A, ed. 5
        ("wheat", {"barley", "malt-vinegar", "oats"}),
        ("crustacean", {"mussels", "squid"}),
        ("milk", {"coconut-milk", "beef-mince"}),
        ("peanut", {"walnuts"}),
    ],
)
def test_an_allergy_leaves(family: str, foods: set[str]):
    assert not foods & barred_by(family)


def test_celery_as_a_mere_flavour_still_counts():
    """Celery that is lifted out of a stock has been in it: EU Annex II knows no lower limit for celery."""
    facts = shipped.eater(allergies={"celery"}, protocol="hearth-five", stages=[(ON, "settle")])
    answers = day_allowances(shipped.rulebook("hearth-five"), shipped.eater_rules(facts), ON)
    assert answers["celery"].allowance is Allowance.NOT_YET
    assert answers["celery"].reasons[0].code == "allergy"
