"""Foods by form: the page of one, writing it down, taking it out; as each role sees them."""

import pytest

from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from plans.models import Food
from plans.selectors import food_uses, foods_of
from plans.services.foods import food_remove, food_write, foods_import
from plans.services.protocols import protocol_import
from plans.services.putting import MayBeThere
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
def carrot(cast, book) -> Food:
    return Food.objects.get(practice=cast.practice, key="carrot")


COURGETTE = {
    "name": "Courgette",
    "names": "zucchini\nZucchino",
    "key": "",
    "group": "squashes",
    "aisle": "vegetables",
    "families": [],
    "limits": [],
    "contains": "",
    "unit_weights": "piece = 196\ncup: 124",
    "density": "",
    "edible_share": "0.95",
    "packs": "500, 1000",
    "fridge_days": "5",
    "freezer_days": "0",
    "source": "kitchen scale",
    "nutrients_like": "",
    "nutrients_source": "",
}


def write(browser, page: str = "/foods/new/", **changes):
    return browser.post(page, {**COURGETTE, **changes})


def words_of(response) -> str:
    assert response.status_code == 200
    return response.content.decode()


def test_a_food_is_written_with_all_it_says(cast, sign_in, book) -> None:
    response = write(
        sign_in("coach"),
        families=["celery", "sulphite"],
        limits=["choking"],
        contains="flour",
        home_made="on",
        nutrients_source="the packet",
        figure_energy_kcal="17",
        figure_vit_c_mg="17.9",
    )
    saved = Food.objects.get(practice=cast.practice, key="courgette")
    assert response.url == f"/foods/{saved.pk}/"
    assert saved.document == {
        "key": "courgette",
        "name": "Courgette",
        "names": ["zucchini", "Zucchino"],
        "group": "squashes",
        "aisle": "vegetables",
        "families": ["celery", "sulphite"],
        "contains": ["flour"],
        "unit_weights": {"piece": 196, "cup": 124},
        "edible_share": 0.95,
        "packs": [500, 1000],
        "keeps": {"fridge_days": 5, "freezer_days": 0},
        "home_made": True,
        "limits": ["choking"],
        "nutrients": {"energy_kcal": 17, "vit_c_mg": 17.9},
        "nutrients_source": "the packet",
        "source": "kitchen scale",
    }
    assert foods_of(cast.practice)["courgette"].families == {"celery", "sulphite", "wheat", "gluten"}
    assert AuditEntry.objects.filter(action="food written", user=cast.coach.user).count() == 1


def test_the_form_of_a_food_holds_what_it_says_and_saving_it_changes_nothing(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    write(browser, nutrients_source="the packet", figure_energy_kcal="17", families=["celery"])
    saved = Food.objects.get(practice=cast.practice, key="courgette")
    form = browser.get(f"/foods/{saved.pk}/edit/").context["form"]
    typed = {name: form[name].value() for name in form.fields}
    sent = {name: "" if value is None else value for name, value in typed.items() if value is not False}
    assert browser.post(f"/foods/{saved.pk}/edit/", sent).url == f"/foods/{saved.pk}/"
    before = saved.document
    saved.refresh_from_db()
    assert saved.document == before


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": ""}, "This field is missing."),
        ({"aisle": ""}, "This field is missing."),
        ({"key": "Sweet Potato"}, "Write sweet-potato."),
        ({"key": "carrot", "name": "Other"}, "The key “carrot” is taken."),
        ({"unit_weights": "piece"}, "The value is empty."),
        ({"unit_weights": "kg = 1000"}, "“kg” is a mass"),
        ({"unit_weights": "piece = heavy"}, "“heavy” is not a number"),
        ({"density": "1,03"}, "Write the decimal point as a point: 1.03."),
        ({"edible_share": "1.5"}, "out of range"),
        ({"packs": "1000, 500"}, "Write 500, 1000."),
        ({"contains": "flower"}, "Did you mean “flour”?"),
        ({"contains": "courgette"}, "contains itself"),
        ({"fridge_days": "soon"}, "“soon” is not a number"),
        ({"figure_iron_mg": "0.4"}, "Name the label or the table"),
        ({"figure_iron_mg": "-1", "nutrients_source": "label"}, "out of range"),
        (
            {"figure_iron_mg": "1", "nutrients_source": "label", "nutrients_like": "carrot"},
            "Keep one of the two.",
        ),
        ({"nutrients_like": "carot"}, "Did you mean “carrot”?"),
        ({"nutrients_like": "moonstone"}, "There are no shipped figures"),
        ({"families": ["dragon"]}, "dragon is not one of the available choices"),
        ({"name": "x" * 121}, "Shorten it to 120."),
        ({"names": "\x00"}, "Null characters"),
    ],
)
def test_each_mistake_is_said_and_everything_typed_is_kept(cast, sign_in, book, typed, said) -> None:
    response = write(sign_in("coach"), **typed)
    words = words_of(response)
    assert said in words
    assert "Nothing was changed." in words
    assert Food.objects.filter(practice=cast.practice).count() == 3
    for name, value in typed.items():
        assert response.context["form"][name].value() == value
    assert response.context["form"]["unit_weights"].value() == typed.get(
        "unit_weights", COURGETTE["unit_weights"]
    )


def test_mistakes_stand_beside_their_fields(sign_in, book) -> None:
    response = write(
        sign_in("coach"),
        unit_weights="piece = heavy",
        fridge_days="soon",
        figure_iron_mg="much",
        nutrients_source="x",
    )
    assert {"unit_weights", "fridge_days", "figure_iron_mg"} == set(response.context["form"].errors)


@pytest.mark.parametrize(
    "typed",
    [
        {"name": "Carotte"},
        {"names": "CARROTS"},
        {"name": "Carrot", "key": "carrot-2"},
        {"key": "carottes", "name": "Root"},
    ],
)
def test_a_name_that_finds_another_food_asks_first(cast, sign_in, carrot, typed) -> None:
    browser = sign_in("coach")
    words = words_of(write(browser, **typed))
    assert "Is it the same food?" in words
    assert f'<a href="/foods/{carrot.pk}/">Carrot</a>' in words
    assert Food.objects.filter(practice=cast.practice).count() == 3
    assert write(browser, **typed, anyway="yes").status_code == 302
    assert Food.objects.filter(practice=cast.practice).count() == 4


def test_anyway_does_not_pass_a_mistake(cast, sign_in, book) -> None:
    words_of(write(sign_in("coach"), key="carrot", anyway="yes"))
    assert Food.objects.filter(practice=cast.practice).count() == 3


def test_a_food_is_not_asked_again_for_a_name_it_shared_before(cast, sign_in, carrot) -> None:
    browser = sign_in("coach")
    write(browser, name="Carotte", key="carrot-2", anyway="yes")
    page = f"/foods/{Food.objects.get(key='carrot-2').pk}/edit/"
    assert write(browser, page, name="Carotte", packs="250").status_code == 302


def test_a_change_that_leaves_a_recipe_unweighable_is_refused(sign_in, carrot) -> None:
    response = write(sign_in("coach"), f"/foods/{carrot.pk}/edit/", name="Carrot", unit_weights="cup = 128")
    words = words_of(response)
    assert "“Soup” uses a piece of “carrot”" in words
    assert "unit_weights" in response.context["form"].errors
    carrot.refresh_from_db()
    assert carrot.document["unit_weights"] == {"piece": 61}


def test_a_food_is_changed_under_its_key(sign_in, carrot) -> None:
    write(
        sign_in("coach"),
        f"/foods/{carrot.pk}/edit/",
        name="Garden carrot",
        names="Möhre",
        key="mine",
        unit_weights="piece = 70",
    )
    carrot.refresh_from_db()
    assert (carrot.key, carrot.name, carrot.document["unit_weights"]) == (
        "carrot",
        "Garden carrot",
        {"piece": 70},
    )


@pytest.mark.parametrize("q", ["möhre", "mohre", "MÖHRE", "garden"])
def test_foods_are_found_by_names_of_other_languages(sign_in, carrot, q) -> None:
    browser = sign_in("coach")
    write(
        browser, f"/foods/{carrot.pk}/edit/", name="Garden carrot", names="Möhre", unit_weights="piece = 70"
    )
    assert f"/foods/{carrot.pk}/" in words_of(browser.get("/foods/", {"q": q}))


@pytest.mark.parametrize("q", ["courgette", "zucchini", "Zucchini"])
def test_the_shipped_courgette_is_found_by_either_name(cast, sign_in, q) -> None:
    book_seed(practice=cast.practice, by=None, at=NOON)
    pk = Food.objects.get(practice=cast.practice, key="courgette").pk
    assert f"/foods/{pk}/" in words_of(sign_in("assistant").get("/foods/", {"q": q}))


def test_the_page_says_what_the_book_knows_and_what_it_does_not(cast, sign_in) -> None:
    book_seed(practice=cast.practice, by=None, at=NOON)

    def page(key: str) -> str:
        pk = Food.objects.get(practice=cast.practice, key=key).pk
        return words_of(sign_in("assistant").get(f"/foods/{pk}/"))

    carrot = page("carrot")
    for said in (
        "soft roots",
        "piece 61 g",
        "0.89",
        "USDA MyPlate",
        "Carrots, raw",
        "SR Legacy",
        "41 kcal",
        "Chicken and carrot soup",
        "Hearth in five stages",
    ):
        assert said in carrot
    thigh = page("chicken-thigh")
    assert "Foundation Foods" in thigh
    assert "unknown" in thigh
    mayonnaise = page("mayonnaise")
    assert "named here and carried by" in mayonnaise
    assert "/edit/" not in mayonnaise
    assert "Take it out of the book" not in mayonnaise


def test_a_food_made_of_others_says_why_it_carries_a_family(cast, sign_in, book) -> None:
    pk = Food.objects.get(practice=cast.practice, key="dumpling").pk
    words = words_of(sign_in("coach").get(f"/foods/{pk}/"))
    assert "<strong>wheat</strong>, because it is made of Flour" in words
    assert "Unknown: the book has no figures for it." in words


def test_figures_may_be_borrowed_and_own_ones_stand_alone(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    write(browser, nutrients_like="carrot")
    page = f"/foods/{Food.objects.get(practice=cast.practice, key='courgette').pk}/"
    words = words_of(browser.get(page))
    assert "The figures of Carrot:" in words
    assert "Carrots, raw" in words
    write(browser, f"{page}edit/", nutrients_source="the packet", figure_fat_g="0.3")
    words = words_of(browser.get(page))
    assert "the packet" in words
    assert "0.3 g" in words
    assert "Carrots, raw" not in words
    assert words.count("unknown") >= 23


def test_a_food_nothing_uses_is_taken_out(cast, sign_in, book) -> None:
    browser = sign_in("coach")
    write(browser)
    food = Food.objects.get(practice=cast.practice, key="courgette")
    assert "Take it out of the book" in words_of(browser.get(f"/foods/{food.pk}/"))
    assert browser.post(f"/foods/{food.pk}/remove/").url == "/foods/"
    assert not Food.objects.filter(pk=food.pk).exists()
    assert AuditEntry.objects.get(action="food removed").facts == {"key": "courgette"}


@pytest.mark.parametrize(
    ("key", "where"), [("carrot", "“Soup”, “Small, version 1”"), ("flour", "“Dumpling”")]
)
def test_a_food_in_use_stays_and_it_is_said_where(cast, sign_in, book, key, where) -> None:
    food = Food.objects.get(practice=cast.practice, key=key)
    browser = sign_in("coach")
    browser.post(f"/foods/{food.pk}/remove/")
    assert Food.objects.filter(pk=food.pk).exists()
    words = words_of(browser.get(f"/foods/{food.pk}/"))
    assert where in words
    assert "Take it out of the book" not in words


def test_archived_recipes_and_what_they_make_count_as_uses(cast, book) -> None:
    recipe_archive(recipe=cast.practice.recipes.get(), archived=True, by=None, at=NOON)
    with pytest.raises(Refused, match="Soup"):
        food_remove(food=Food.objects.get(practice=cast.practice, key="carrot"), by=None, at=NOON)


def test_a_key_within_another_key_is_no_use(cast, book) -> None:
    FoodFactory(practice=cast.practice, key="car")
    FoodFactory(practice=cast.practice, key="boiled")
    assert not food_uses(cast.practice, "car").is_any
    assert not food_uses(cast.practice, "boiled").is_any


@pytest.mark.parametrize("role", ["assistant", "client", "foreign_coach"])
def test_only_the_practices_coaches_write_foods(cast, sign_in, carrot, role) -> None:
    browser = sign_in(role)
    for page in (f"/foods/{carrot.pk}/edit/", f"/foods/{carrot.pk}/remove/"):
        assert browser.post(page, COURGETTE).status_code == 404
    assert Food.objects.filter(pk=carrot.pk).exists()
    assert browser.get(f"/foods/{carrot.pk}/").status_code == (200 if role == "assistant" else 404)
    if role == "assistant":
        assert browser.get("/foods/new/").status_code == 404
        assert "/foods/new/" not in words_of(browser.get("/foods/"))


def test_the_names_of_next_door_are_no_names_here(cast, book) -> None:
    values = {"key": "beet", "name": "Carotte", "group": "roots", "aisle": "vegetables"}
    food_write(practice=cast.foreign_coach.practice, values=values, by=None, at=NOON)
    with pytest.raises(MayBeThere):
        food_write(practice=cast.practice, values=values, by=None, at=NOON)


@pytest.mark.parametrize("size", [1, 25])
def test_a_food_page_asks_as_much_for_many_uses_as_for_few(
    cast, sign_in, carrot, django_assert_max_num_queries, size
) -> None:
    """Session, person, member; the food, the foods, recipes, versions, foods made of it, the protocols."""
    for number in range(size):
        more = RECIPES.replace("key: soup", f"key: soup-{number}")
        recipes_import(practice=cast.practice, text=more, by=None, at=NOON)
        more = PROTOCOL.replace("key: small", f"key: small-{number}")
        protocol_import(practice=cast.practice, text=more, by=None, at=NOON)
    browser = sign_in("coach")
    with django_assert_max_num_queries(10):
        browser.get(f"/foods/{carrot.pk}/")
    with django_assert_max_num_queries(6):
        browser.get(f"/foods/{carrot.pk}/edit/")
