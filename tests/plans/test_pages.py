"""The book's pages, as each role sees them."""

import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from plans.models import Food, Protocol, ProtocolVersion, Recipe
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from plans.services.recipes import recipe_archive, recipes_import
from plans.services.shipping import book_seed
from tests.factories import NOON, FoodFactory
from tests.plans.test_services import FOODS, PROTOCOL, RECIPES

pytestmark = pytest.mark.usefixtures("noon")


@pytest.fixture
def book(cast) -> None:
    """The coach's practice with three foods, a recipe and a protocol."""
    for service, text in ((foods_import, FOODS), (recipes_import, RECIPES), (protocol_import, PROTOCOL)):
        service(practice=cast.practice, text=text, by=None, at=NOON)


@pytest.fixture
def recipe(cast, book) -> Recipe:
    return Recipe.objects.get(practice=cast.practice)


@pytest.fixture
def protocol(cast, book) -> Protocol:
    return Protocol.objects.get(practice=cast.practice, key="small")


def seen(browser, address: str, **query: str) -> str:
    response = browser.get(address, query)
    assert response.status_code == 200
    return response.content.decode()


def addresses(recipe: Recipe, protocol: Protocol) -> dict[str, list[str]]:
    return {
        "read": [
            "/foods/",
            "/foods/export/yaml/",
            "/foods/export/csv/",
            "/recipes/",
            "/recipes/export/yaml/",
            "/recipes/export/csv/",
            f"/recipes/{recipe.pk}/",
            f"/recipes/{recipe.pk}/export/",
            "/protocols/",
            f"/protocols/{protocol.pk}/",
            f"/protocols/{protocol.pk}/1/",
            f"/protocols/{protocol.pk}/1/export/yaml/",
            f"/protocols/{protocol.pk}/1/export/csv/",
        ],
        "write": [
            "/foods/import/",
            "/recipes/import/",
            "/recipes/new/",
            "/recipes/read/",
            f"/recipes/{recipe.pk}/edit/",
            "/protocols/import/",
        ],
    }


@pytest.mark.parametrize(
    ("role", "read", "write"),
    [
        ("owner", 200, 200),
        ("coach", 200, 200),
        ("other_coach", 200, 200),
        ("assistant", 200, 404),
        ("client", 404, 404),
        (None, 302, 302),
    ],
)
def test_staff_read_the_book_and_coaches_write_it(sign_in, recipe, protocol, role, read, write) -> None:
    browser = sign_in(role)
    pages = addresses(recipe, protocol)
    assert {browser.get(page).status_code for page in pages["read"]} == {read}
    assert {browser.get(page).status_code for page in pages["write"]} == {write}


def test_the_book_next_door_does_not_exist(sign_in, recipe, protocol) -> None:
    browser = sign_in("foreign_coach")
    for page in addresses(recipe, protocol)["read"] + addresses(recipe, protocol)["write"]:
        if str(recipe.pk) in page or str(protocol.pk) in page:
            assert browser.get(page).status_code == 404
    assert "Carrot" not in seen(browser, "/foods/")
    assert "Soup" not in seen(browser, "/recipes/")
    assert browser.post(f"/recipes/{recipe.pk}/archive/", {"archived": "yes"}).status_code == 404


def test_an_assistant_is_offered_nothing_to_change(sign_in, recipe) -> None:
    browser = sign_in("assistant")
    for page in ("/foods/", "/recipes/", f"/recipes/{recipe.pk}/", "/protocols/"):
        words = seen(browser, page)
        assert "import/" not in words
        assert "/edit/" not in words
        assert "/archive/" not in words
    assert browser.post(f"/recipes/{recipe.pk}/archive/", {"archived": "yes"}).status_code == 404


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "carotte"}, ["Carrot"]),
        ({"q": "CARRÓT"}, ["Carrot"]),
        ({"group": "grains"}, ["Flour", "Dumpling"]),
        ({"q": "flour", "group": "soft roots"}, []),
    ],
)
def test_foods_are_found_by_any_of_their_names(sign_in, book, query, found) -> None:
    words = seen(sign_in("coach"), "/foods/", **query)
    named = [name for name in ("Carrot", "Flour", "Dumpling") if f">{name}</a>" in words]
    assert named == found
    assert ("No food fits" in words) == (not found)


@pytest.mark.parametrize(
    ("query", "is_found"),
    [
        ({}, True),
        ({"q": "soup carrot"}, True),
        ({"q": "leek"}, False),
        ({"kind": "side"}, False),
        ({"slot": "midday"}, True),
        ({"slot": "mug"}, False),
        ({"archived": "yes"}, False),
    ],
)
def test_recipes_are_found_by_title_food_kind_and_meal(sign_in, recipe, query, is_found) -> None:
    assert (f"/recipes/{recipe.pk}/" in seen(sign_in("coach"), "/recipes/", **query)) == is_found


def test_recipes_are_found_by_the_stage_they_fit(cast, sign_in, recipe) -> None:
    browser = sign_in("coach")
    assert f"/recipes/{recipe.pk}/" in seen(browser, "/recipes/", stage="small.first")
    stewed = PROTOCOL.replace("[boiled]", "[stewed]")
    protocol_import(practice=cast.practice, text=stewed, by=None, at=NOON)
    assert f"/recipes/{recipe.pk}/" not in seen(browser, "/recipes/", stage="small.first")


def test_a_search_while_typing_gets_the_rows_only(sign_in, recipe) -> None:
    response = sign_in("coach").get("/recipes/", {"q": "soup"}, headers={"HX-Request": "true"})
    assert "Soup" in response.content.decode()
    assert "<html" not in response.content.decode()


def test_a_recipe_is_scaled(sign_in, recipe) -> None:
    browser = sign_in("coach")
    page = f"/recipes/{recipe.pk}/"
    assert "For 4 adult portions" in seen(browser, page)
    words = seen(browser, page, servings="6")
    assert "For 6 adult portions" in words
    assert re.search(r"4\s½", words)


@pytest.mark.parametrize("typed", ["none", "0", "-2", "1e9", "NaN", "Infinity", "0.01"])
def test_a_scale_that_cannot_be_is_said_beside_the_field(sign_in, recipe, typed) -> None:
    words = seen(sign_in("coach"), f"/recipes/{recipe.pk}/", servings=typed)
    assert "Write a number of portions" in words
    assert "For 4 adult portions" in words


def test_a_recipe_with_meat_says_how_hot_in_both_degrees_and_who_says_so(cast, sign_in, book) -> None:
    meat = FOODS.replace("key: carrot", "key: chicken").replace(
        "group: soft roots, aisle: vegetables", "group: poultry, aisle: meat"
    )
    foods_import(practice=cast.practice, text=meat, by=None, at=NOON)
    text = RECIPES.replace("food: carrot", "food: chicken").replace("key: soup", "key: broth")
    recipes_import(practice=cast.practice, text=f"{text}    core_temp_f: 165\n", by=None, at=NOON)
    words = seen(sign_in("coach"), f"/recipes/{Recipe.objects.get(key='broth').pk}/")
    assert "165 °F (74 °C)" in words
    assert "USDA/HHS safe minimum internal temperature chart" in words


def test_a_recipe_leaves_as_jsonld(sign_in, recipe) -> None:
    response = sign_in("coach").get(f"/recipes/{recipe.pk}/export/")
    assert response["Content-Type"] == "application/ld+json"
    assert response["Content-Disposition"] == 'attachment; filename="soup.jsonld"'
    assert json.loads(response.content)["name"] == "Soup"


def test_a_recipe_is_archived_and_taken_back(sign_in, recipe) -> None:
    browser = sign_in("coach")
    browser.post(f"/recipes/{recipe.pk}/archive/", {"archived": "yes"})
    assert f"/recipes/{recipe.pk}/" not in seen(browser, "/recipes/")
    assert f"/recipes/{recipe.pk}/" in seen(browser, "/recipes/", archived="yes")
    assert "This recipe is archived" in seen(browser, f"/recipes/{recipe.pk}/")
    browser.post(f"/recipes/{recipe.pk}/archive/", {"archived": "no"})
    assert f"/recipes/{recipe.pk}/" in seen(browser, "/recipes/")


def test_a_protocol_page_says_what_opens_and_keeps_its_versions(cast, sign_in, protocol) -> None:
    protocol_import(
        practice=cast.practice,
        text=PROTOCOL.replace("as prepared, forms: [boiled]", "freely"),
        by=None,
        at=NOON,
    )
    browser = sign_in("assistant")
    newest = seen(browser, f"/protocols/{protocol.pk}/")
    assert "Version 2" in newest
    assert "Freely" in newest
    first = seen(browser, f"/protocols/{protocol.pk}/1/")
    assert "There is a newer version" in first
    assert "As prepared" in first
    assert "Boiled" in first
    assert browser.get(f"/protocols/{protocol.pk}/3/").status_code == 404


UPLOADS = [
    ("/foods/import/", "/foods/", FOODS, "name: Carrot", "nam: Carrot"),
    ("/recipes/import/", "/recipes/", RECIPES, "food: carrot", "food: carot"),
    ("/protocols/import/", "/protocols/", PROTOCOL, "food: carrot", "food: carot"),
]


@pytest.mark.parametrize(("page", "after", "text", "right", "wrong"), UPLOADS)
def test_a_file_with_problems_shows_them_and_keeps_the_text(
    sign_in, book, page, after, text, right, wrong
) -> None:
    broken = text.replace(right, wrong)
    for sent in (
        {"text": broken, "import": "yes"},
        {"file": SimpleUploadedFile("book.yaml", broken.encode()), "import": "yes"},
    ):
        response = sign_in("coach").post(page, sent)
        words = response.content.decode()
        assert response.status_code == 200
        assert "Did you mean" in words
        line = broken[: broken.index(wrong)].count("\n") + 1
        assert f'<span class="phone-only">Line </span>{line}</span>' in words
        assert wrong in words
        assert broken.splitlines()[-1] in words


@pytest.mark.parametrize(("page", "after", "text", "right", "wrong"), UPLOADS)
def test_a_file_is_looked_over_or_filed(sign_in, book, page, after, text, right, wrong) -> None:
    changed = text.replace("name: Carrot", "name: Carrots").replace("title: S", "title: The s")
    browser = sign_in("coach")
    counts = (Food.objects.count(), Recipe.objects.count(), ProtocolVersion.objects.count())
    looked = browser.post(page, {"text": changed, "check": "yes"})
    assert "No problem found." in looked.content.decode()
    assert "Nothing is filed yet." in looked.content.decode()
    assert (Food.objects.count(), Recipe.objects.count(), ProtocolVersion.objects.count()) == counts
    assert browser.post(page, {"text": changed, "import": "yes"}).url == after
    assert browser.get(after).context["messages"]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Choose a file, or paste its text here."),
        ({"text": "  "}, "Choose a file, or paste its text here."),
        ({"file": SimpleUploadedFile("book.yaml", b"")}, "The file is empty."),
        ({"file": SimpleUploadedFile("book.csv", b"key\xe9")}, "cannot be read"),
        ({"file": SimpleUploadedFile("book.csv", b"a" * 1_000_001)}, "larger than 1 MB"),
        ({"text": "x" * 1_000_001}, "at most 1000000 characters"),
        ({"text": "\u0000"}, "Null characters"),
    ],
)
def test_a_file_that_cannot_be_read_is_said(sign_in, cast, sent, said) -> None:
    response = sign_in("coach").post("/foods/import/", {**sent, "import": "yes"})
    assert response.status_code == 200
    assert said in response.content.decode()
    assert Food.objects.filter(practice=cast.practice).count() == 0


DISH = {
    "title": "Carrot mash",
    "kind": "side",
    "slots": ["midday", "evening"],
    "main": "",
    "servings": "2",
    "portion": "150 g",
    "hands_on_min": "10",
    "elapsed_min": "30",
    "fridge_days": "3",
    "freezer_days": "0",
    "core_temp_f": "",
    "steps": "Boil.\nMash.",
    "child_note": "",
    "makes": "",
}


def filled(*parts: dict[str, str], **changes: str) -> dict[str, object]:
    rows = {f"part-{at}-{name}": value for at, part in enumerate(parts) for name, value in part.items()}
    return {**DISH, **changes, **rows, "part-TOTAL_FORMS": len(parts), "part-INITIAL_FORMS": 0}


BLANK = {"quantity": "", "unit": "", "food": "", "form": "", "size": "", "use": "base", "line": ""}
CARROT = BLANK | {"quantity": "300", "unit": "g", "food": "carrot", "form": "boiled + peeled"}


def test_a_recipe_is_written(cast, sign_in, book) -> None:
    response = sign_in("coach").post("/recipes/new/", filled(BLANK, CARROT, BLANK))
    saved = Recipe.objects.get(practice=cast.practice, key="carrot-mash")
    assert response.url == f"/recipes/{saved.pk}/"
    assert saved.document["slots"] == ["midday", "evening"]
    assert saved.document["steps"] == ["Boil.", "Mash."]
    assert len(saved.document["ingredients"]) == 1


def test_mistakes_in_a_recipe_are_said_where_they_are_and_nothing_typed_is_lost(cast, sign_in, book) -> None:
    wrong = CARROT | {"food": "carot", "quantity": "3,5"}
    response = sign_in("coach").post("/recipes/new/", filled(BLANK, wrong, portion="a bowl"))
    words = response.content.decode()
    assert response.status_code == 200
    assert "Ingredient 2, Food" in words
    assert "Did you mean “carrot”?" in words
    assert "Write the decimal point as a point: 3.5." in words
    assert "“a bowl” is not an amount with a unit." in words
    for kept in ("a bowl", "carot", "3,5", "Carrot mash", "Boil.\nMash."):
        assert kept in words
    assert Recipe.objects.filter(practice=cast.practice).count() == 1


def test_more_rows_keep_what_was_typed(sign_in, book) -> None:
    response = sign_in("coach").post("/recipes/new/", filled(CARROT, title="Half done") | {"more": "yes"})
    words = response.content.decode()
    assert "Half done" in words
    assert 'value="boiled + peeled"' in words
    assert response.context["rows"].total_form_count() == 4


def test_a_recipe_without_ingredients_or_with_too_many_rows_is_refused(sign_in, book) -> None:
    browser = sign_in("coach")
    assert "This field is missing." in browser.post("/recipes/new/", filled(BLANK)).content.decode()
    assert browser.post("/recipes/new/", filled(*[CARROT] * 101)).status_code == 200
    assert browser.post("/recipes/new/", DISH).status_code == 200


def test_a_recipe_is_changed_under_its_key(sign_in, recipe) -> None:
    browser = sign_in("coach")
    assert 'value="Soup"' in seen(browser, f"/recipes/{recipe.pk}/edit/")
    browser.post(f"/recipes/{recipe.pk}/edit/", filled(CARROT, title="Better soup"))
    recipe.refresh_from_db()
    assert (recipe.key, recipe.title) == ("soup", "Better soup")


FOREIGN = {
    "@type": "Recipe",
    "name": "Mash",
    "recipeYield": "Serves 4",
    "totalTime": "about an hour",
    "recipeIngredient": ["500 g carrots, peeled", "1 bunch unicorn hair"],
    "recipeInstructions": ["Boil.", "Mash."],
}


def test_a_recipe_from_elsewhere_is_laid_out_to_be_looked_over(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    words = browser.post("/recipes/read/", {"text": json.dumps(FOREIGN)}).content.decode()
    assert "Nothing is saved yet." in words
    for said in (
        'value="Mash"',
        "totalTime: about an hour",
        "500 g carrots, peeled",
        'value="carrot"',
        "1 bunch unicorn hair",
        "No food of the book is like this one.",
        "Say how it is cooked.",
    ):
        assert said in words
    assert Recipe.objects.filter(practice=cast.practice).count() == 1


def test_the_original_line_stays_while_mistakes_are_put_right(sign_in, book) -> None:
    part = BLANK | {"line": "1 bunch unicorn hair", "quantity": "1"}
    words = sign_in("coach").post("/recipes/new/", filled(part, unread="totalTime: later")).content.decode()
    assert "<q>1 bunch unicorn hair</q>" in words
    assert "totalTime: later" in words


@pytest.mark.parametrize("text", ["{", "<p>no recipe</p>", "[" * 5000, json.dumps({"@type": "Person"})])
def test_what_is_no_recipe_is_said_and_kept(sign_in, book, text) -> None:
    response = sign_in("coach").post("/recipes/read/", {"text": text})
    assert response.status_code == 200
    assert response.context["problem_count"] == 1
    assert response.context["form"]["text"].value() == text


def test_an_exported_recipe_is_read_back_whole(sign_in, recipe) -> None:
    browser = sign_in("coach")
    text = browser.get(f"/recipes/{recipe.pk}/export/").content.decode()
    page = browser.post("/recipes/read/", {"text": text})
    form, rows = page.context["form"], page.context["rows"]
    assert form.initial["portion"] == "400 ml"
    assert rows.initial[0]["form"] == "boiled + peeled"


def test_archived_recipes_are_archived_by_name_only(cast, recipe) -> None:
    recipe_archive(recipe=recipe, archived=True, by=cast.coach.user, at=NOON)
    recipes_import(practice=cast.practice, text=RECIPES, by=None, at=NOON)
    recipe.refresh_from_db()
    assert recipe.archived_at is None


@pytest.mark.parametrize("page", ["/foods/", "/recipes/", "/protocols/"])
def test_a_list_asks_as_much_for_many_as_for_few(
    cast, sign_in, book, django_assert_max_num_queries, page
) -> None:
    """Session, person, member and practice, and at most four for the page itself."""
    browser = sign_in("coach")
    for size in (1, 40):
        fill(cast.practice, size)
        with django_assert_max_num_queries(8):
            seen(browser, page)


@pytest.mark.parametrize("size", [1, 30])
def test_a_protocol_page_asks_as_much_for_many_versions_as_for_few(
    cast, sign_in, protocol, django_assert_max_num_queries, size
) -> None:
    """Session, person, member; the protocol, its versions, the version, the foods; the recipes its gaps are weighed
    against, whether a draft is open, how many follow an older version."""
    for number in range(size):
        text = PROTOCOL.replace("title: Small", f"title: Small {number}")
        protocol_import(practice=cast.practice, text=text, by=None, at=NOON)
    browser = sign_in("coach")
    with django_assert_max_num_queries(10):
        seen(browser, f"/protocols/{protocol.pk}/")


def fill(practice, size: int) -> None:
    """That many more foods, recipes and protocols."""
    for number in range(size):
        FoodFactory(practice=practice, key=f"food-{size}-{number}")
        more = RECIPES.replace("key: soup", f"key: soup-{size}-{number}")
        recipes_import(practice=practice, text=more, by=None, at=NOON)
        more = PROTOCOL.replace("key: small", f"key: small-{size}-{number}")
        protocol_import(practice=practice, text=more, by=None, at=NOON)


def test_planned_introductions_are_counted_one_after_another(cast, sign_in):
    """Seven challenges of three days with and three without take 42 days (Tuck and Barrett, 2017)."""
    book_seed(practice=cast.practice, by=None, at=NOON)
    protocol = Protocol.objects.get(practice=cast.practice, key="three-phase-fermentable")
    page = sign_in("coach").get(f"/protocols/{protocol.pk}/").content.decode()
    assert "1–6: 3 with, 3 without" in page
    assert "37–42: 3 with, 3 without" in page


def test_a_recipe_says_what_a_portion_holds_and_what_is_not_known(cast, sign_in):
    book_seed(practice=cast.practice, by=None, at=NOON)
    recipe = Recipe.objects.get(practice=cast.practice, key="chicken-carrot-soup")
    page = sign_in("coach").get(f"/recipes/{recipe.pk}/").content.decode()
    assert "In one portion" in page
    assert "FoodData Central" in page
    stock = Recipe.objects.filter(practice=cast.practice, kind="stock").first()
    assert "In one portion" not in sign_in("coach").get(f"/recipes/{stock.pk}/").content.decode()
