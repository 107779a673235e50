"""Recipes leave and come back whole, and recipes from elsewhere are read as far as they go.

Names of types and properties: schema.org vocabulary, Recipe (with HowTo, CreativeWork and Thing), HowToStep and
PropertyValue. Durations: ISO 8601, as schema.org/Duration asks.
"""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.filing.recipes import read_recipe
from plans.domain.ingredient_lines import Doubt
from plans.domain.jsonld import Draft, draft_of, duration, minutes_of, read_jsonld, recipe_jsonld
from tests.plans.book_strategies import recipes
from tests.plans.domain.filing.test_problems import BOOK as SMALL_BOOK
from tests.plans.domain.filing.test_round_trips import BOOK

SCHEMA_ORG_RECIPE = {
    "cookTime",
    "cookingMethod",
    "nutrition",
    "recipeCategory",
    "recipeCuisine",
    "recipeIngredient",
    "recipeInstructions",
    "recipeYield",
    "suitableForDiet",
    "estimatedCost",
    "performTime",
    "prepTime",
    "step",
    "supply",
    "tool",
    "totalTime",
    "yield",
    "author",
    "description",
    "image",
    "name",
    "url",
    "identifier",
    "additionalProperty",
}
"""schema.org gives ``additionalProperty`` to products and places; here it carries what Recipe has no name for."""
SCHEMA_ORG_STEP = {"text", "name", "position", "url", "image", "itemListElement"}
SCHEMA_ORG_PROPERTY_VALUE = {"propertyID", "name", "value", "unitCode", "unitText", "minValue", "maxValue"}


def values_of(draft: Draft) -> dict:
    """What the review form would send back untouched."""
    names = ("quantity", "unit", "food", "form", "use", "size")
    parts = [{name: getattr(part, name) for name in names} for part in draft.ingredients]
    return {**draft.values, "ingredients": parts}


@given(recipes())
def test_a_recipe_comes_back_from_its_own_jsonld(recipe) -> None:
    text = json.dumps(recipe_jsonld(recipe, {}))
    draft, problems = read_jsonld(text, BOOK)
    assert problems == ()
    assert read_recipe(values_of(draft), BOOK) == (recipe, ())


@given(recipes())
def test_a_recipe_comes_back_from_the_form(recipe) -> None:
    assert read_recipe(values_of(draft_of(recipe)), BOOK) == (recipe, ())


@given(recipes())
def test_only_names_of_the_vocabulary_are_written(recipe) -> None:
    written = recipe_jsonld(recipe, {food.key: food for food in BOOK})
    assert written["@context"] == "https://schema.org"
    assert written["@type"] == "Recipe"
    assert {name for name in written if name[0] != "@"} <= SCHEMA_ORG_RECIPE
    for step in written["recipeInstructions"]:
        assert step["@type"] == "HowToStep"
        assert set(step) - {"@type"} <= SCHEMA_ORG_STEP
    for entry in written["additionalProperty"]:
        assert entry["@type"] == "PropertyValue"
        assert set(entry) - {"@type"} <= SCHEMA_ORG_PROPERTY_VALUE


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("PT45M", 45),
        ("PT1H30M", 90),
        ("PT1H", 60),
        ("P0DT0H20M", 20),
        ("P1DT2H", 1560),
        ("PT90S", 2),
        ("P1W", 10_080),
        ("PT0M", 0),
        ("pt5m", 5),
        ("PT", None),
        ("P", None),
        ("P1M", None),
        ("45 minutes", None),
        ("", None),
        ("P9W", None),
    ],
)
def test_durations_are_read(typed: str, minutes: int | None) -> None:
    assert minutes_of(typed) == minutes


@given(st.integers(0, 14_400))
def test_durations_come_back(minutes: int) -> None:
    assert minutes_of(duration(minutes)) == minutes


FOREIGN = {
    "@context": "http://schema.org/",
    "@graph": [
        {"@type": "WebPage", "name": "A page"},
        {
            "@type": ["Recipe", "NewsArticle"],
            "name": "Grandmother&#39;s <b>carrots</b>",
            "recipeYield": ["6", "6 to 8 bowls"],
            "prepTime": "PT15M",
            "cookTime": "PT1H",
            "totalTime": "about an hour",
            "recipeIngredient": ["500 g carrots, peeled", "2 tbsp butter", "1 bunch unicorn hair", " "],
            "recipeInstructions": [
                {
                    "@type": "HowToSection",
                    "name": "The pot",
                    "itemListElement": [
                        {"@type": "HowToStep", "text": "Peel the carrots &amp; slice them."},
                        {"@type": "HowToStep", "name": "Boil."},
                    ],
                },
                "Serve.<br>Wait.",
            ],
        },
    ],
}


def foreign_draft(**changes) -> Draft:
    page = json.loads(json.dumps(FOREIGN))
    page["@graph"][1].update(changes)
    draft, problems = read_jsonld(json.dumps(page), SMALL_BOOK)
    assert problems == ()
    return draft


def test_a_recipe_from_elsewhere_is_read_as_far_as_it_goes() -> None:
    draft = foreign_draft()
    assert draft.values["title"] == "Grandmother's carrots"
    assert draft.values["key"] == "grandmother-s-carrots"
    assert draft.values["servings"] == "6"
    assert draft.values["hands_on_min"] == "15"
    assert draft.values["elapsed_min"] == "75"
    assert draft.values["steps"] == ("Peel the carrots & slice them.", "Boil.", "Serve.", "Wait.")
    assert draft.unread == ("totalTime: about an hour",)
    first, second, third = draft.ingredients
    assert (first.quantity, first.unit, first.food, first.form) == ("500", "g", "carrot", "peeled")
    assert first.doubts == (Doubt.NO_FORM,)
    assert (second.quantity, second.unit, second.food) == ("2", "tbsp", "butter")
    assert third.line == "1 bunch unicorn hair"
    assert Doubt.NO_FOOD in third.doubts


def test_a_recipe_from_elsewhere_is_not_saved_before_it_is_complete() -> None:
    recipe, problems = read_recipe(values_of(foreign_draft()), SMALL_BOOK)
    assert recipe is None
    named = {problem.field for problem in problems}
    assert {
        "kind",
        "slots",
        "portion",
        "fridge_days",
        "food of ingredient 3",
        "form of ingredient 2",
    } <= named


@pytest.mark.parametrize(
    ("said", "servings"),
    [
        (4, "4"),
        ("Serves 4-6", "4"),
        ("2.5", "2.5"),
        ({"@type": "QuantitativeValue", "value": 3}, "3"),
        ("0", ""),
    ],
)
def test_yields_in_all_shapes(said, servings: str) -> None:
    assert foreign_draft(recipeYield=said).values.get("servings", "") == servings


@pytest.mark.parametrize(
    ("said", "steps"),
    [
        ("Boil.\nServe.", ("Boil.", "Serve.")),
        (["Boil.", "Serve."], ("Boil.", "Serve.")),
        ({"@type": "ItemList", "itemListElement": [{"@type": "HowToStep", "text": "Boil."}]}, ("Boil.",)),
        ("<p>Boil.</p><p>Serve.</p>", ("Boil.", "Serve.")),
        (7, ()),
    ],
)
def test_instructions_in_all_shapes(said, steps: tuple[str, ...]) -> None:
    assert foreign_draft(recipeInstructions=said).values.get("steps", ()) == steps


def test_a_page_that_carries_a_recipe_is_read() -> None:
    script = json.dumps(FOREIGN).replace("</", "<\\/")
    page = f'<!doctype html><script>var a = "Recipe";</script><script type="application/ld+json">{script}</script>'
    assert read_jsonld(page, SMALL_BOOK)[0] == foreign_draft()


@pytest.mark.parametrize(
    ("text", "message", "line"),
    [
        ("", "nothing here", 0),
        ('{\n"a": ', "not JSON", 2),
        ('{"@type": "Thing"}', "no recipe", 0),
        ("<p>hello</p>", "no recipe", 0),
        ("[" * 200_000, "deeply", 0),
        ("1" * 5_000, "too long", 0),
        (" " * 1_000_001, "larger than 1 MB", 0),
    ],
)
def test_what_is_no_recipe_is_said(text: str, message: str, line: int) -> None:
    draft, problems = read_jsonld(text, SMALL_BOOK)
    assert draft is None
    assert [(message in problem.message, problem.line) for problem in problems] == [(True, line)]


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(sorted(SCHEMA_ORG_RECIPE)), inner)
    ),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from(sorted(SCHEMA_ORG_RECIPE)), json_values))
def test_any_recipe_object_is_read_without_raising(said) -> None:
    draft, problems = read_jsonld(json.dumps({"@type": "Recipe"} | said), SMALL_BOOK)
    assert isinstance(draft, Draft)
    assert problems == ()
    read_recipe(values_of(draft), SMALL_BOOK)


def test_signs_that_cannot_be_printed_do_not_come_in() -> None:
    assert foreign_draft(name="Car\u0000rot\u001b soup").values["title"] == "Car rot soup"
