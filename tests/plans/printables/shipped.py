"""The shipped book as values, read once."""

from functools import cache
from pathlib import Path

import yaml

from plans.domain.book import Food, Protocol, Recipe
from plans.domain.records import (
    food_from_record,
    protocol_from_record,
    recipe_from_record,
    resolve_families,
)

DATA = Path(__file__).parents[3] / "plans" / "data"


def _read(path: Path) -> dict:
    return yaml.safe_load(path.read_text(encoding="utf-8"))


@cache
def foods() -> dict[str, Food]:
    """Every shipped food by key."""
    return resolve_families(food_from_record(record) for record in _read(DATA / "foods.yaml")["foods"])


@cache
def recipes() -> tuple[Recipe, ...]:
    """Every shipped recipe."""
    files = sorted((DATA / "recipes").glob("*.yaml"))
    return tuple(recipe_from_record(record) for file in files for record in _read(file)["recipes"])


@cache
def protocol(name: str) -> Protocol:
    """A shipped protocol by its file's name."""
    return protocol_from_record(_read(DATA / "protocols" / f"{name}.yaml"))
