"""Every file we ship is read without a problem, and says the same in each of its kinds."""

from pathlib import Path

import pytest

from plans.domain.book import Food
from plans.domain.filing.foods import read_foods
from plans.domain.filing.protocols import read_protocol
from plans.domain.filing.recipes import read_recipes
from plans.domain.records import resolve_families
from plans.services.shipping import SHIPPED

RECIPES = sorted((SHIPPED / "recipes").iterdir())
PROTOCOLS = sorted((SHIPPED / "protocols").iterdir())


@pytest.fixture(scope="module")
def foods() -> tuple[Food, ...]:
    file, problems = read_foods((SHIPPED / "foods.yaml").read_text("utf-8"), "foods.yaml")
    assert problems == ()
    return tuple(resolve_families(file.foods).values())


def test_the_foods_say_where_their_figures_come_from() -> None:
    file, _problems = read_foods((SHIPPED / "foods.yaml").read_text("utf-8"), "foods.yaml")
    assert file.source


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.name)
def test_a_recipes_file_has_no_problem(path: Path, foods) -> None:
    recipes, problems = read_recipes(path.read_text("utf-8"), path.name, foods)
    assert problems == ()
    assert recipes


@pytest.mark.parametrize("path", PROTOCOLS, ids=lambda path: path.name)
def test_a_protocol_file_has_no_problem(path: Path, foods) -> None:
    protocol, problems = read_protocol(path.read_text("utf-8"), path.name, foods)
    assert problems == ()
    assert protocol.caution


def test_recipe_keys_are_used_once_over_all_files(foods) -> None:
    keys = [
        recipe.key
        for path in RECIPES
        for recipe in read_recipes(path.read_text("utf-8"), path.name, foods)[0]
    ]
    assert sorted(keys) == sorted(set(keys))


def test_a_protocol_shipped_as_yaml_and_csv_is_one_protocol(foods) -> None:
    by_key: dict[str, list] = {}
    for path in PROTOCOLS:
        protocol, _problems = read_protocol(path.read_text("utf-8"), path.name, foods)
        by_key.setdefault(protocol.key, []).append(protocol)
    assert any(len(found) > 1 for found in by_key.values())
    assert all(protocol == found[0] for found in by_key.values() for protocol in found)
