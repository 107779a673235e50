"""Files become rows: all or nothing, once, with a trace."""

import json

import pytest

from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from plans.domain.filing.foods import FoodsFile, foods_yaml
from plans.domain.filing.protocols import protocol_yaml
from plans.domain.filing.recipes import recipes_yaml
from plans.domain.records import digest_of
from plans.models import Food, Protocol, ProtocolVersion, Recipe
from plans.selectors import book_of, own_foods_of, protocol_of, recipes_of, sources_of
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from plans.services.recipes import recipe_archive, recipe_write, recipes_import
from plans.services.shipping import book_seed, shipped_book
from tests.factories import NOON, PracticeFactory, UserFactory

pytestmark = pytest.mark.django_db

FOODS = """\
schema: ladlework/foods/1
source: kitchen scale
foods:
  - {key: carrot, name: Carrot, names: [carotte], group: soft roots, aisle: vegetables, unit_weights: {piece: 61}}
  - {key: flour, name: Flour, group: grains, aisle: pantry, families: [wheat]}
  - {key: dumpling, name: Dumpling, group: grains, aisle: pantry, contains: [flour]}
"""
RECIPES = """\
schema: ladlework/recipes/1
recipes:
  - key: soup
    title: Soup
    kind: main
    slots: [midday]
    main: soup
    servings: 4
    portion: 400 ml
    ingredients: [{quantity: 3, unit: piece, food: carrot, form: boiled + peeled}]
    steps: [Boil.]
    hands_on_min: 10
    elapsed_min: 30
    fridge_days: 3
    freezer_days: 90
"""
PROTOCOL = """\
schema: ladlework/protocol/1
key: small
title: Small
summary: A small one.
source: own invention
stages:
  - {key: first, title: First, aim: Settle., least_days: 5, usual_days: 10}
rules:
  - {food: carrot, stage: first, allowance: as prepared, forms: [boiled]}
"""


@pytest.fixture
def practice():
    return PracticeFactory()


def put(service, practice, text: str, **more):
    return service(practice=practice, text=text, by=None, at=NOON, **more)


def test_foods_are_added_changed_and_left(practice) -> None:
    assert put(foods_import, practice, FOODS).added == ("carrot", "flour", "dumpling")
    again = put(foods_import, practice, FOODS)
    assert (again.added, again.changed, len(again.unchanged)) == ((), (), 3)
    changed = put(foods_import, practice, FOODS.replace("name: Flour", "name: Wheat flour"))
    assert changed.changed == ("flour",)
    assert Food.objects.get(practice=practice, key="flour").name == "Wheat flour"


def test_foods_stay_when_a_file_does_not_name_them(practice) -> None:
    put(foods_import, practice, FOODS)
    only = (
        "schema: ladlework/foods/1\nfoods:\n  - {key: leek, name: Leek, group: alliums, aisle: vegetables}\n"
    )
    put(foods_import, practice, only)
    assert Food.objects.filter(practice=practice).count() == 4


def test_the_book_carries_families_of_parts_and_the_source(practice) -> None:
    put(foods_import, practice, FOODS)
    assert book_of(practice).foods["dumpling"].families == {"wheat", "gluten"}
    assert sources_of(practice) == "kitchen scale"


def test_what_was_handed_in_can_be_handed_out(practice) -> None:
    put(foods_import, practice, FOODS)
    put(recipes_import, practice, RECIPES)
    file = foods_yaml(FoodsFile(tuple(own_foods_of(practice)), sources_of(practice)))
    other = PracticeFactory()
    put(foods_import, other, file)
    put(recipes_import, other, recipes_yaml(recipes_of(practice)))
    assert book_of(other) == book_of(practice)


@pytest.mark.parametrize("service", [foods_import, recipes_import, protocol_import])
def test_a_file_with_a_problem_changes_nothing(practice, service) -> None:
    put(foods_import, practice, FOODS)
    texts = {
        foods_import: FOODS.replace("name: Flour", "name: Meal").replace(
            "aisle: vegetables", "aisle: nowhere"
        ),
        recipes_import: RECIPES.replace("carrot", "parsnip"),
        protocol_import: PROTOCOL.replace("boiled", "boilt"),
    }
    audits = AuditEntry.objects.count()
    with pytest.raises(Refused) as refused:
        put(service, practice, texts[service])
    assert refused.value.problems[0].line
    assert Food.objects.get(practice=practice, key="flour").name == "Flour"
    assert (Recipe.objects.count(), Protocol.objects.count(), AuditEntry.objects.count()) == (0, 0, audits)


def test_looking_over_changes_nothing(practice) -> None:
    assert put(foods_import, practice, FOODS, check_only=True).added
    assert Food.objects.count() == 0
    put(foods_import, practice, FOODS)
    assert put(recipes_import, practice, RECIPES, check_only=True).added == ("soup",)
    assert put(protocol_import, practice, PROTOCOL, check_only=True).version is None
    assert (Recipe.objects.count(), ProtocolVersion.objects.count()) == (0, 0)


def test_a_food_keeps_the_weights_its_recipes_need(practice) -> None:
    put(foods_import, practice, FOODS)
    put(recipes_import, practice, RECIPES)
    with pytest.raises(Refused) as refused:
        put(foods_import, practice, FOODS.replace(", unit_weights: {piece: 61}", ""))
    assert "“Soup” uses a piece of “carrot”" in str(refused.value)


def test_a_protocol_gets_versions_only_when_it_changes(practice) -> None:
    put(foods_import, practice, FOODS)
    first = put(protocol_import, practice, PROTOCOL)
    assert (first.is_new, first.version.number, first.version.published_at) == (True, 1, NOON)
    same = put(protocol_import, practice, f"# a comment\n{PROTOCOL}")
    assert (same.is_new, same.version) == (False, first.version)
    second = put(protocol_import, practice, PROTOCOL.replace("title: Small", "title: Smaller"))
    assert second.version.number == 2
    assert Protocol.objects.get().title == "Smaller"
    first.version.refresh_from_db()
    assert protocol_of(first.version).title == "Small"


def test_a_digest_is_of_the_content(practice) -> None:
    put(foods_import, practice, FOODS)
    version = put(protocol_import, practice, PROTOCOL).version
    version.refresh_from_db()
    assert version.digest == digest_of(version.document)
    assert digest_of(json.loads(json.dumps(version.document))) == version.digest
    assert put(protocol_import, practice, protocol_yaml(protocol_of(version))).is_new is False


def test_another_practice_has_its_own_book(practice) -> None:
    put(foods_import, practice, FOODS)
    other = PracticeFactory()
    with pytest.raises(Refused):
        put(protocol_import, other, PROTOCOL)
    put(foods_import, other, FOODS)
    assert put(protocol_import, other, PROTOCOL).version.number == 1


def test_who_did_it_is_written_down(practice) -> None:
    user = UserFactory()
    foods_import(practice=practice, text=FOODS, by=user, at=NOON)
    entry = AuditEntry.objects.get()
    assert (entry.user, entry.practice, entry.action, entry.at) == (user, practice, "foods imported", NOON)
    assert entry.facts == {"added": 3, "changed": 0}


TYPED = {
    "title": "Carrot mash",
    "kind": "side",
    "slots": ["evening"],
    "main": "mash",
    "servings": "2",
    "portion": "150 g",
    "ingredients": [{"quantity": "300", "unit": "g", "food": "carrot", "form": "boiled + peeled"}],
    "steps": ["Boil.", "Mash."],
    "hands_on_min": "10",
    "elapsed_min": "30",
    "fridge_days": "3",
    "freezer_days": "0",
}


def write(practice, values, **more) -> Recipe:
    return recipe_write(practice=practice, values=values, by=None, at=NOON, **more)


def test_a_recipe_is_written_and_changed_under_its_key(practice) -> None:
    put(foods_import, practice, FOODS)
    row = write(practice, {**TYPED, "key": "carrot-mash"})
    changed = write(practice, {**TYPED, "key": "other", "title": "Best mash"}, replaces=row)
    assert (changed.pk, changed.key, changed.title) == (row.pk, "carrot-mash", "Best mash")


def test_a_new_recipe_does_not_replace_one(practice) -> None:
    put(foods_import, practice, FOODS)
    write(practice, {**TYPED, "key": "carrot-mash"})
    with pytest.raises(Refused) as refused:
        write(practice, {**TYPED, "key": "carrot-mash", "portion": "much"})
    assert {problem.field for problem in refused.value.problems} == {"title", "portion"}


def test_an_archived_recipe_is_out_of_the_book_until_it_is_taken_back(practice) -> None:
    put(foods_import, practice, FOODS)
    row = write(practice, {**TYPED, "key": "carrot-mash"})
    recipe_archive(recipe=row, archived=True, by=None, at=NOON)
    assert book_of(practice).recipes == ()
    recipe_archive(recipe=row, archived=False, by=None, at=NOON)
    assert len(book_of(practice).recipes) == 1


def test_a_new_practice_gets_the_shipped_book_once(practice) -> None:
    book_seed(practice=practice, by=None, at=NOON)
    foods, recipes, protocols = shipped_book()
    held = book_of(practice)
    assert len(held.foods) == len(foods.foods)
    assert sorted(recipe.key for recipe in held.recipes) == sorted(recipe.key for recipe in recipes)
    assert Protocol.objects.filter(practice=practice).count() == len(protocols)
    Food.objects.filter(practice=practice, key="carrot").update(name="Our carrot")
    book_seed(practice=practice, by=None, at=NOON)
    assert Food.objects.get(practice=practice, key="carrot").name == "Our carrot"
    assert ProtocolVersion.objects.filter(protocol__practice=practice).count() == len(protocols)
