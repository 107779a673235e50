"""Everything the engine can say has words, and the words say it."""

import ast
from pathlib import Path

import pytest

from plans.domain.brief import Reason
from plans.domain.limits import LIMITS
from plans.domain.planner.tight import WITH_SAVING
from plans.domain.vocabulary import CONDITIONS, FAMILIES, FORM_WORDS, Allowance, Slot
from plans.wording import FAMILY, FORM, SLOT, forms_said, say

DOMAIN = Path(__file__).parents[2] / "plans" / "domain"
FACTS: dict[str, str | int] = {
    "after": "2",
    "before": "3.5",
    "condition": "loose-stools",
    "days": 1,
    "dish": "Fish soup",
    "dishes": 12,
    "eater": "Ivo",
    "eaters": "Ivo, Ana",
    "family": "milk",
    "last": "2026-06-20",
    "left": 3,
    "saves": 12,
    "slots": "midday,evening",
    "takes": 25,
    "more": 15,
    "first_day": "2026-06-18",
    "food": "Egg",
    "form": "boiled",
    "forms": "boiled + peeled; pureed + peeled",
    "meals": 2,
    "minutes": 10,
    "months": 4,
    "most": 3,
    "most_g": "15",
    "mugs": 4,
    "needed": 40,
    "grams": 600,
    "nutrient": "iron_mg",
    "percent": 30,
    "needed_ml": 2400,
    "on": "2026-06-16",
    "pot_ml": 1800,
    "shortest": 20,
    "slot": "breakfast",
    "stage": "Taste",
    "times": 4,
    "tried": "2026-06-20",
    "until": "2026-07-04",
    "wanted": "Carrot soup",
}


def codes_in(source: str) -> set[str]:
    """The literal codes of every ``Reason(...)`` in a source, either side of a condition included."""
    return {
        constant.value
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "Reason"
        for constant in ast.walk(call.args[0])
        if isinstance(constant, ast.Constant) and isinstance(constant.value, str)
    }


SAID_IN_SOURCE = set().union(
    *(codes_in(path.read_text("utf-8")) for path in DOMAIN.rglob("*.py") if path.name != "brief_json.py")
)
SAID_BY_NAME = (
    {allowance.word.replace(" ", "-") for allowance in Allowance if allowance}
    | {limit.code for limit in LIMITS}
    | {"condition", "condition-flavour", "condition-form", "condition-tastes"}
    | set(WITH_SAVING.values())
    | {"opens-at", "not-in-protocol", "every-dish-needs", "no-dish-open"}
)
CODES = sorted(SAID_IN_SOURCE | SAID_BY_NAME)


def test_the_codes_of_the_source_are_found():
    assert {"allergy", "tolerated", "introduction", "more-minutes", "feeds-all"} <= SAID_IN_SOURCE


@pytest.mark.parametrize("code", CODES)
def test_every_code_has_words(code: str):
    words = say(Reason(code, FACTS))
    assert words and "%(" not in words


@pytest.mark.parametrize(
    ("code", "facts", "words"),
    [
        ("opens-at", {"stage": "Taste"}, "not yet: opens at Taste"),
        (
            "condition-form",
            {"forms": "peeled + deseeded", "condition": "loose-stools"},
            "peeled and seeds out while stools are loose",
        ),
        (
            "left-out",
            {"food": "Egg", "tried": "2026-06-20", "until": "2026-07-04"},
            "left out until 4 July: there was a reaction to Egg, tried on 20 June",
        ),
        (
            "every-dish-needs",
            {"eater": "Ivo", "slot": "breakfast", "on": "2026-06-16", "days": 1, "dishes": 9, "food": "Egg"},
            "Ivo, breakfast, Tuesday 16 June: every one of 9 dishes needs Egg, which is not open",
        ),
        (
            "too-little-time",
            {"on": "2026-06-16", "slot": "midday", "minutes": 10, "shortest": 20},
            "Tuesday 16 June has 10 minutes, and the shortest dish for the midday meal takes 20",
        ),
        ("more-minutes", {"on": "2026-06-16", "minutes": 10}, "find 10 more minutes on Tuesday 16 June"),
        ("feeds-all", {"meals": 1}, "feeds everyone at 1 meal"),
        ("feeds-all", {"meals": 3}, "feeds everyone at 3 meals"),
        (
            "uses-up",
            {"food": "Leek", "grams": 600, "on": "2026-06-16"},
            "uses up 600 g of Leek, good until Tuesday 16 June",
        ),
        ("larger-pot", {"needed_ml": 2400}, "use a pot of at least 2.4 l"),
    ],
)
def test_the_words_say_it(code: str, facts: dict[str, str | int], words: str):
    assert say(Reason(code, facts)) == words


def test_a_note_of_the_protocol_follows():
    assert (
        say(Reason("opens-at", {"stage": "Taste", "note": "Boil it firm."}))
        == "not yet: opens at Taste. Boil it firm."
    )


def test_forms_are_said_with_their_words():
    assert forms_said("boiled + peeled; pureed") == "boiled and peeled, or puréed"
    assert forms_said("") == ""


def test_closed_words_have_words():
    assert FORM.keys() == FORM_WORDS
    assert SLOT.keys() == set(Slot)
    assert set(FAMILIES) <= FAMILY.keys()
    for condition in CONDITIONS:
        assert say(Reason("condition", {"condition": condition}))


def test_a_code_without_words_is_an_error():
    with pytest.raises(KeyError):
        say(Reason("never-heard-of", {}))
