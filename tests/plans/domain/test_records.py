"""Records lose nothing, and families are inherited."""

import json
from decimal import Decimal

import pytest
from hypothesis import given

from plans.domain.book import Food
from plans.domain.records import (
    food_from_record,
    food_record,
    form_of,
    form_text,
    number_of,
    protocol_from_record,
    protocol_record,
    quantity_of,
    quantity_text,
    recipe_from_record,
    recipe_record,
    resolve_families,
)
from tests.plans.book_strategies import foods, forms, protocols, quantities, recipes


def through_json(record: dict) -> dict:
    return json.loads(json.dumps(record))


@given(foods())
def test_a_food_survives_its_record(food) -> None:
    assert food_from_record(through_json(food_record(food))) == food


@given(recipes())
def test_a_recipe_survives_its_record(recipe) -> None:
    assert recipe_from_record(through_json(recipe_record(recipe))) == recipe


@given(protocols())
def test_a_protocol_survives_its_record(protocol) -> None:
    assert protocol_from_record(through_json(protocol_record(protocol))) == protocol


@given(quantities)
def test_a_quantity_survives_its_text(quantity) -> None:
    assert quantity_of(quantity_text(quantity)) == quantity


@given(forms)
def test_a_form_survives_its_text(form) -> None:
    assert form_of(form_text(form)) == form


def test_forms_are_written_cooking_first() -> None:
    assert form_text(frozenset({"deseeded", "peeled", "boiled"})) == "boiled + peeled + deseeded"


@pytest.mark.parametrize(("value", "held"), [("600", 600), ("600.0", 600), ("0.5", 0.5), ("1E+2", 100)])
def test_numbers_are_whole_where_they_can_be(value: str, held: float) -> None:
    assert number_of(Decimal(value)) == held
    assert type(number_of(Decimal(value))) is type(held)


@pytest.mark.parametrize("text", ["", "400", "ml", "some ml", "400 "])
def test_a_quantity_needs_number_and_unit(text: str) -> None:
    with pytest.raises(ValueError):
        quantity_of(text)


def made(key: str, *families: str, contains: tuple[str, ...] = ()) -> Food:
    return Food(
        key=key, name=key, group="any", aisle="pantry", families=frozenset(families), contains=contains
    )


def test_wheat_is_gluten_from_the_record_on() -> None:
    record = {"key": "spelt", "name": "Spelt", "group": "grains", "aisle": "pantry", "families": ["wheat"]}
    assert food_from_record(record).families == {"wheat", "gluten"}


def test_a_composite_carries_all_its_parts_however_deep() -> None:
    resolved = resolve_families(
        [
            made("sandwich", contains=("mayonnaise", "bread")),
            made("mayonnaise", contains=("egg-yolk", "olive-oil", "mustard-paste")),
            made("egg-yolk", "egg"),
            made("olive-oil"),
            made("mustard-paste", "mustard"),
            made("bread", "wheat"),
        ]
    )
    assert resolved["mayonnaise"].families == {"egg", "mustard"}
    assert resolved["sandwich"].families == {"egg", "mustard", "wheat", "gluten"}
    assert resolved["olive-oil"].families == frozenset()


def test_foods_that_contain_each_other_share_their_families() -> None:
    resolved = resolve_families([made("a", "milk", contains=("b",)), made("b", "soy", contains=("a",))])
    assert resolved["a"].families == resolved["b"].families == {"milk", "soy"}


def test_a_part_that_is_not_known_adds_nothing() -> None:
    assert resolve_families([made("a", "fish", contains=("nowhere",))])["a"].families == {"fish"}
