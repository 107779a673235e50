"""Entering a recipe: lines that are read, what a protocol says while one types, and dishes that are there already."""

import json

import pytest

from plans.models import Food, Recipe
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from plans.services.recipes import recipes_import
from tests.factories import NOON
from tests.plans.test_pages import BLANK, CARROT, filled
from tests.plans.test_services import FOODS, PROTOCOL, RECIPES

pytestmark = pytest.mark.usefixtures("noon")

TWO_STAGES = """\
schema: ladlework/protocol/1
key: two
title: Two stages
summary: Two.
source: own invention
stages:
  - {key: first, title: Settle, aim: Settle., least_days: 5, usual_days: 10}
  - {key: second, title: Widen, aim: Widen., least_days: 5, usual_days: 10}
rules:
  - {food: carrot, stage: first, allowance: as prepared, forms: [boiled + peeled]}
  - {food: carrot, stage: second, allowance: freely}
  - {food: flour, stage: second, allowance: as prepared, forms: [boiled]}
"""
FLOUR = BLANK | {"quantity": "50", "unit": "g", "food": "flour", "form": "boiled"}


@pytest.fixture
def book(cast) -> None:
    for service, text in ((foods_import, FOODS), (recipes_import, RECIPES), (protocol_import, TWO_STAGES)):
        service(practice=cast.practice, text=text, by=None, at=NOON)


@pytest.fixture
def protocol(cast, book) -> str:
    return str(cast.practice.protocols.get(key="two").pk)


def words_of(response) -> str:
    assert response.status_code == 200
    return response.content.decode()


LINES = "2 carrots, peeled, boiled\n\n100 g flour\n1 bunch unicorn hair\n"


def test_lines_become_rows_behind_the_others_with_their_doubts(cast, sign_in, book) -> None:
    sent = filled(BLANK, CARROT, title="Half done", lines=LINES) | {"read": "yes"}
    response = sign_in("coach").post("/recipes/new/", sent)
    words = words_of(response)
    rows = response.context["rows"]
    assert [row["food"].value() or "" for row in rows][:4] == ["carrot", "carrot", "flour", ""]
    assert [row["form"].value() or "" for row in rows][:3] == ["boiled + peeled", "peeled + boiled", ""]
    assert rows[1]["quantity"].value() == "2"
    assert rows[1]["unit"].value() == "piece"
    assert "<q>1 bunch unicorn hair</q>" in words
    assert "No food of the book is like this one." in words
    assert "Say how it is cooked." in words
    assert 'value="Half done"' in words
    assert not response.context["sheet"].lines["lines"].value()
    assert Recipe.objects.filter(practice=cast.practice).count() == 1


def test_lines_that_wait_are_read_before_anything_is_saved(cast, sign_in, book) -> None:
    response = sign_in("coach").post("/recipes/new/", filled(CARROT, lines="100 g flour"))
    assert "<q>100 g flour</q>" in words_of(response)
    assert Recipe.objects.filter(practice=cast.practice).count() == 1


def test_too_many_lines_are_said_and_kept(sign_in, book) -> None:
    lines = "1 carrot\n" * 101
    response = sign_in("coach").post("/recipes/new/", filled(CARROT, lines=lines) | {"read": "yes"})
    assert "at most 100 ingredients" in words_of(response)
    assert response.context["sheet"].lines["lines"].value() == lines
    assert response.context["rows"][0]["food"].value() == "carrot"


def test_more_rows_keep_the_lines(sign_in, book) -> None:
    response = sign_in("coach").post("/recipes/new/", filled(CARROT, lines=LINES) | {"more": "yes"})
    assert response.context["sheet"].lines["lines"].value().split() == LINES.split()


def test_an_edited_recipe_takes_lines_too(cast, sign_in, book) -> None:
    page = f"/recipes/{Recipe.objects.get(practice=cast.practice).pk}/edit/"
    response = sign_in("coach").post(page, filled(CARROT, lines="100 g flour, boiled"))
    assert response.context["rows"][1]["food"].value() == "flour"


def test_what_is_read_is_shown_while_one_types(sign_in, book) -> None:
    words = words_of(sign_in("coach").post("/recipes/lines/", {"lines": LINES}))
    assert "<html" not in words
    assert "2 piece Carrot" in words
    assert "No food of the book is like this one." in words
    assert "at most 100" in words_of(sign_in("coach").post("/recipes/lines/", {"lines": "1 carrot\n" * 101}))
    for text in ("", "   ", "<script>", "½ carrot", "1/0 carrot", "9" * 400):
        assert "<script>" not in words_of(sign_in("coach").post("/recipes/lines/", {"lines": text}))


def preview(browser, protocol: str, *parts, **changes) -> str:
    return words_of(browser.post("/recipes/preview/", filled(*parts, protocol=protocol, **changes)))


def test_the_preview_says_which_stage_and_what_holds_it_back(sign_in, protocol) -> None:
    words = preview(sign_in("coach"), protocol, CARROT, FLOUR)
    assert "Possible from stage 2 (Widen)." in words
    assert "Flour holds it back; without it from stage 1 (Settle)." in words
    assert 'id="part-1-preview" hx-swap-oob="true"' in words
    assert "From stage 1 (Settle) if you leave it out" in words


def test_the_preview_says_what_change_would_do(sign_in, protocol) -> None:
    browser = sign_in("coach")
    assert "From stage 1 (Settle) if you peel it." in preview(
        browser, protocol, CARROT | {"form": "boiled"}, FLOUR
    )
    raw = preview(browser, protocol, CARROT | {"form": "raw"}, FLOUR)
    assert "From stage 1 (Settle) if you prepare it boiled, peeled." in raw
    assert "take it out before serving (flavour)" in raw
    plate = preview(browser, protocol, CARROT, FLOUR | {"use": "plate"})
    assert "Possible from the first stage (Settle)." in plate
    assert "Left out at that stage: flour." in plate
    assert "Before, it is left off the plate." in plate


def test_the_preview_says_what_it_cannot_judge(sign_in, protocol) -> None:
    browser = sign_in("coach")
    words = preview(browser, protocol, CARROT, BLANK | {"food": "carot"}, BLANK, servings="many")
    assert "1 ingredient cannot be judged yet and is not counted." in words
    assert "Cannot be judged yet: food, amount or preparation is missing or mistyped." in words
    assert "Possible from the first stage" in words
    assert "Fill in an ingredient" in preview(browser, protocol, BLANK)


@pytest.mark.parametrize("chosen", ["", "nonsense", "00000000-0000-0000-0000-000000000000"])
def test_without_a_protocol_nothing_is_said(sign_in, protocol, chosen) -> None:
    assert preview(sign_in("coach"), chosen, CARROT).strip() == ""


def test_a_protocol_of_next_door_is_none_here(cast, sign_in, protocol) -> None:
    other = str(cast.foreign_coach.practice.protocols.get().pk)
    assert preview(sign_in("coach"), other, CARROT).strip() == ""


def test_a_broken_form_gives_an_empty_preview(sign_in, protocol) -> None:
    browser = sign_in("coach")
    assert browser.post("/recipes/preview/", {"protocol": protocol}).status_code == 200
    assert (
        browser.post("/recipes/preview/", {"protocol": protocol, "part-TOTAL_FORMS": "9" * 30}).status_code
        == 200
    )


def test_the_preview_is_on_the_form_without_scripts(sign_in, protocol) -> None:
    sent = filled(CARROT, FLOUR, protocol=protocol) | {"show": "yes"}
    words = words_of(sign_in("coach").post("/recipes/new/", sent))
    assert "Flour holds it back; without it from stage 1 (Settle)." in words
    assert "hx-swap-oob" not in words
    assert 'value="carrot"' in words


def test_a_saved_recipe_says_from_which_stage_it_is_possible(cast, sign_in, book) -> None:
    pk = Recipe.objects.get(practice=cast.practice).pk
    words = words_of(sign_in("assistant").get(f"/recipes/{pk}/"))
    assert "From which stage it is possible" in words
    assert "Possible from the first stage (Settle)." in words


def test_only_coaches_get_previews(sign_in, protocol) -> None:
    for role in ("assistant", "client"):
        assert sign_in(role).post("/recipes/preview/", {}).status_code == 404
        assert sign_in(role).post("/recipes/lines/", {}).status_code == 404
    assert sign_in("coach").get("/recipes/preview/").status_code == 405


@pytest.mark.parametrize("size", [1, 20])
def test_live_answers_ask_as_much_for_many_as_for_few(
    cast, sign_in, protocol, django_assert_max_num_queries, size
) -> None:
    """Session, person, member; the foods, and for the preview the protocols."""
    for number in range(size):
        more = TWO_STAGES.replace("key: two", f"key: two-{number}")
        protocol_import(practice=cast.practice, text=more, by=None, at=NOON)
    browser = sign_in("coach")
    with django_assert_max_num_queries(6):
        preview(browser, protocol, *[CARROT] * size)
    with django_assert_max_num_queries(5):
        browser.post("/recipes/lines/", {"lines": "1 carrot\n" * size})
    page = f"/recipes/{Recipe.objects.get(practice=cast.practice).pk}/"
    with django_assert_max_num_queries(8):
        browser.get(page)
    with django_assert_max_num_queries(9):
        browser.get(f"{page}edit/")


NEAR = {"title": "The soup", "slots": ["midday"], "portion": "400 ml"}


def test_a_recipe_like_one_of_the_book_asks_first(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    there = Recipe.objects.get(practice=cast.practice)
    words = words_of(browser.post("/recipes/new/", filled(CARROT, **NEAR)))
    assert "Is it in the book already?" in words
    assert f'<a href="/recipes/{there.pk}/">Soup</a> is much like it: 100 %' in words
    assert 'value="The soup"' in words
    assert Recipe.objects.filter(practice=cast.practice).count() == 1
    assert browser.post("/recipes/new/", filled(CARROT, **NEAR) | {"anyway": "yes"}).status_code == 302
    assert Recipe.objects.filter(practice=cast.practice).count() == 2


def test_a_far_recipe_and_a_changed_one_are_not_asked(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    assert browser.post("/recipes/new/", filled(FLOUR, title="Porridge")).status_code == 302
    soup = Recipe.objects.get(practice=cast.practice, key="soup")
    assert browser.post(f"/recipes/{soup.pk}/edit/", filled(FLOUR, title="Porridges")).status_code == 302


def test_anyway_passes_no_mistake(cast, sign_in, book) -> None:
    sent = filled(CARROT, title="Soup") | {"anyway": "yes"}
    assert "There is a recipe with this title already." in words_of(
        sign_in("coach").post("/recipes/new/", sent)
    )


def test_a_recipe_read_from_elsewhere_asks_when_it_is_saved(sign_in, book) -> None:
    found = {
        "@type": "Recipe",
        "name": "Soup!",
        "recipeIngredient": ["3 carrots, boiled"],
        "recipeInstructions": "Boil.",
    }
    browser = sign_in("coach")
    assert "Nothing is saved yet." in words_of(browser.post("/recipes/read/", {"text": json.dumps(found)}))
    sent = filled(CARROT, title="Soups")
    assert "Is it in the book already?" in words_of(browser.post("/recipes/new/", sent))


def test_a_file_says_which_new_recipes_are_like_those_of_the_book(cast, sign_in, book) -> None:
    more = RECIPES.replace("key: soup", "key: pot").replace("title: Soup", "title: My soup")
    browser = sign_in("coach")
    words = words_of(browser.post("/recipes/import/", {"text": more, "check": "yes"}))
    assert "Perhaps in the book already: “My soup” is much like “Soup”." in words
    again = words_of(browser.post("/recipes/import/", {"text": RECIPES, "check": "yes"}))
    assert "Perhaps in the book already" not in again
    filed = recipes_import(practice=cast.practice, text=more, by=None, at=NOON)
    assert (filed.added, filed.like) == (("pot",), (("My soup", "Soup"),))


def test_a_foods_file_says_where_borrowed_figures_are_missing(cast, sign_in) -> None:
    text = FOODS.replace("aisle: pantry}", "aisle: pantry, nutrients_like: moonstone}", 1).replace(
        "families: [wheat]", "families: [wheat], nutrients_like: moonstone"
    )
    words = words_of(sign_in("coach").post("/foods/import/", {"text": text, "check": "yes"}))
    assert "There are no shipped figures for “moonstone”." in words
    assert Food.objects.filter(practice=cast.practice).count() == 0


def test_the_plain_protocol_still_reads(cast, book) -> None:
    assert protocol_import(practice=cast.practice, text=PROTOCOL, by=None, at=NOON).is_new


def test_mistakes_are_summed_up_once_for_the_dish_and_its_ingredients(sign_in, book) -> None:
    words = words_of(
        sign_in("coach").post("/recipes/new/", filled(CARROT | {"food": "carot"}, portion="a bowl"))
    )
    assert words.count("Please look at this again") == 1


def test_the_enter_key_saves_and_passes_no_warning(sign_in, book) -> None:
    """HTML standard, implicit submission: Enter presses the first submit button of the form."""
    words = words_of(sign_in("coach").post("/recipes/new/", filled(CARROT, **NEAR)))
    form = words[words.index('class="recipe-form"') :]
    first = form[form.index("<button") : form.index("</button>")]
    assert "name=" not in first
