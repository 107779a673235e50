"""The book that comes with the house, and giving it to a practice."""

from datetime import datetime
from functools import cache
from pathlib import Path

from django.db import transaction

from coaching.domain.errors import Refused
from coaching.practice.models import Practice, User
from plans.domain import book
from plans.domain.filing.foods import FoodsFile, read_foods
from plans.domain.filing.protocols import read_protocol
from plans.domain.filing.recipes import read_recipes
from plans.domain.records import resolve_families
from plans.models import Food, Protocol, Recipe
from plans.selectors import book_of
from plans.services.foods import foods_put
from plans.services.protocols import protocol_put
from plans.services.recipes import recipes_put

SHIPPED = Path(__file__).parent.parent / "data"


@transaction.atomic
def book_seed(*, practice: Practice, by: User | None, at: datetime) -> None:
    """Give a practice the shipped foods, recipes and protocols it does not have yet. What it has stays untouched."""
    foods, recipes, protocols = shipped_book()
    have_foods = set(Food.objects.filter(practice=practice).values_list("key", flat=True))
    have_recipes = set(Recipe.objects.filter(practice=practice).values_list("key", flat=True))
    have_protocols = set(Protocol.objects.filter(practice=practice).values_list("key", flat=True))
    new_foods = tuple(food for food in foods.foods if food.key not in have_foods)
    foods_put(practice, FoodsFile(new_foods, foods.source), check_only=False)
    recipes_put(
        practice,
        tuple(recipe for recipe in recipes if recipe.key not in have_recipes),
        book_of(practice).foods,
        check_only=False,
    )
    for protocol in protocols:
        if protocol.key not in have_protocols:
            protocol_put(practice, protocol, check_only=False, by=by, at=at)


@cache
def shipped_book() -> tuple[FoodsFile, tuple[book.Recipe, ...], tuple[book.Protocol, ...]]:
    """The foods, recipes and protocols that come with the house. Raises Refused if a shipped file has a problem."""
    foods, problems = read_foods((SHIPPED / "foods.yaml").read_text("utf-8"), "foods.yaml")
    if foods is None:
        raise Refused(*problems)
    known = tuple(resolve_families(foods.foods).values())
    recipes: list[book.Recipe] = []
    protocols: list[book.Protocol] = []
    for path in sorted((SHIPPED / "recipes").glob("*.yaml")):
        found, problems = read_recipes(path.read_text("utf-8"), path.name, known)
        recipes += found
        if problems:
            raise Refused(*problems)
    for path in sorted((SHIPPED / "protocols").glob("*.yaml")):
        protocol, problems = read_protocol(path.read_text("utf-8"), path.name, known)
        if protocol is None:
            raise Refused(*problems)
        protocols.append(protocol)
    return foods, tuple(recipes), tuple(protocols)
