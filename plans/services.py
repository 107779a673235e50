"""What is written to the book: foods, recipes and protocols, whole files at a time, all or nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice, User
from coaching.practice.services import audit
from plans.domain import book
from plans.domain.filing.foods import FoodsFile, read_foods
from plans.domain.filing.lookup import folded
from plans.domain.filing.protocols import read_protocol
from plans.domain.filing.recipes import read_recipe, read_recipes
from plans.domain.quantities import grams
from plans.domain.records import digest_of, food_record, protocol_record, recipe_record, resolve_families
from plans.models import Food, Protocol, ProtocolVersion, Recipe
from plans.selectors import book_of, slot_mark

SHIPPED = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Filed:
    """What a file brought, or, when it was only checked, would bring. Keys in the order of the file."""

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    unchanged: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FiledProtocol:
    """The protocol a file holds and its newest version, which is None when the file was only checked and is new."""

    protocol: book.Protocol
    version: ProtocolVersion | None
    is_new: bool


@transaction.atomic
def foods_import(
    *,
    practice: Practice,
    text: str,
    filename: str = "",
    check_only: bool = False,
    by: User | None,
    at: datetime,
) -> Filed:
    """Add the foods of a file and replace those with the same keys. Other foods stay.

    Raises Refused with every problem of the file, and when a recipe in use could no longer be weighed.
    """
    held = book_of(practice)
    file, problems = read_foods(text, filename, held.foods.values())
    if file is None:
        raise Refused(*problems)
    broken = tuple(_no_longer_weighed(held.foods, file.foods, held.recipes))
    if broken:
        raise Refused(*broken)
    filed = _foods_file(practice, file, check_only=check_only)
    if not check_only:
        _tell(practice, by, at, "foods imported", filed)
    return filed


@transaction.atomic
def recipes_import(
    *,
    practice: Practice,
    text: str,
    filename: str = "",
    check_only: bool = False,
    by: User | None,
    at: datetime,
) -> Filed:
    """Add the recipes of a file and replace those with the same keys, archived ones too. Other recipes stay.

    Raises Refused with every problem of the file.
    """
    foods = book_of(practice).foods
    recipes, problems = read_recipes(text, filename, foods.values())
    if problems:
        raise Refused(*problems)
    filed = _recipes_file(practice, recipes, foods, check_only=check_only)
    if not check_only:
        _tell(practice, by, at, "recipes imported", filed)
    return filed


@transaction.atomic
def recipe_write(
    *,
    practice: Practice,
    values: Mapping[str, Any],
    replaces: Recipe | None = None,
    by: User | None,
    at: datetime,
) -> Recipe:
    """Write one recipe from typed values, named as in a file: a new one, or the one it replaces, whose key stays.

    Raises Refused with every problem, and for a new recipe when its key is taken.
    """
    foods = book_of(practice).foods
    key = replaces.key if replaces else values.get("key", "")
    recipe, problems = read_recipe({**values, "key": key}, foods.values())
    if replaces is None and Recipe.objects.filter(practice=practice, key=key).exists():
        problems = (
            *problems,
            Problem(0, "title", "There is a recipe with this title already.", "Give it another title."),
        )
    if recipe is None or problems:
        raise Refused(*problems)
    filed = _recipes_file(practice, (recipe,), foods, check_only=False)
    _tell(practice, by, at, "recipe written", filed)
    return Recipe.objects.get(practice=practice, key=key)


@transaction.atomic
def recipe_archive(*, recipe: Recipe, archived: bool, by: User | None, at: datetime) -> None:
    """Take a recipe out of use, or back into it. Weeks planned with it keep it."""
    Recipe.objects.filter(pk=recipe.pk).update(archived_at=at if archived else None)
    action = "recipe archived" if archived else "recipe taken back"
    audit(practice=recipe.practice, user=by, action=action, subject=str(recipe.pk), at=at)


@transaction.atomic
def protocol_import(
    *,
    practice: Practice,
    text: str,
    filename: str = "",
    check_only: bool = False,
    by: User | None,
    at: datetime,
) -> FiledProtocol:
    """Publish the protocol of a file as a new version, unless it says what the newest version says.

    Earlier versions and the enrolments on them stay as they are. Raises Refused with every problem of the file.
    """
    protocol, problems = read_protocol(text, filename, book_of(practice).foods.values())
    if protocol is None:
        raise Refused(*problems)
    return _protocol_file(practice, protocol, check_only=check_only, by=by, at=at)


@transaction.atomic
def book_seed(*, practice: Practice, by: User | None, at: datetime) -> None:
    """Give a practice the shipped foods, recipes and protocols it does not have yet. What it has stays untouched."""
    foods, recipes, protocols = shipped_book()
    have_foods = set(Food.objects.filter(practice=practice).values_list("key", flat=True))
    have_recipes = set(Recipe.objects.filter(practice=practice).values_list("key", flat=True))
    have_protocols = set(Protocol.objects.filter(practice=practice).values_list("key", flat=True))
    new_foods = tuple(food for food in foods.foods if food.key not in have_foods)
    _foods_file(practice, FoodsFile(new_foods, foods.source), check_only=False)
    _recipes_file(
        practice,
        tuple(recipe for recipe in recipes if recipe.key not in have_recipes),
        book_of(practice).foods,
        check_only=False,
    )
    for protocol in protocols:
        if protocol.key not in have_protocols:
            _protocol_file(practice, protocol, check_only=False, by=by, at=at)


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


def _foods_file(practice: Practice, file: FoodsFile, *, check_only: bool) -> Filed:
    rows = {
        food.key: Food(
            practice=practice,
            key=food.key,
            name=food.name,
            group=food.group,
            aisle=food.aisle,
            search_text=folded(" ".join((food.name, *food.names, food.key))),
            document=food_record(food) | ({"source": file.source} if file.source else {}),
        )
        for food in file.foods
    }
    held = {row.key: row for row in Food.objects.filter(practice=practice, key__in=list(rows))}
    return _put(rows, held, ("name", "group", "aisle", "search_text", "document"), check_only=check_only)


def _recipes_file(
    practice: Practice, recipes: Iterable[book.Recipe], foods: Mapping[str, book.Food], *, check_only: bool
) -> Filed:
    rows = {
        recipe.key: Recipe(
            practice=practice,
            key=recipe.key,
            title=recipe.title,
            kind=recipe.kind,
            search_text=_recipe_words(recipe, foods),
            document=recipe_record(recipe),
        )
        for recipe in recipes
    }
    held = {row.key: row for row in Recipe.objects.filter(practice=practice, key__in=list(rows))}
    fields = ("title", "kind", "search_text", "document", "archived_at")
    return _put(rows, held, fields, check_only=check_only)


def _put(
    rows: Mapping[str, Any], held: Mapping[str, Any], fields: tuple[str, ...], *, check_only: bool
) -> Filed:
    """Create the rows that are not held yet, and bring the held ones to what the rows say."""
    new = [row for key, row in rows.items() if key not in held]
    differing = [
        key
        for key, row in rows.items()
        if key in held and any(getattr(row, field) != getattr(held[key], field) for field in fields)
    ]
    filed = Filed(
        added=tuple(row.key for row in new),
        changed=tuple(differing),
        unchanged=tuple(key for key in rows if key in held and key not in differing),
    )
    if check_only or not (new or differing):
        return filed
    table = type(next(iter(rows.values()))).objects
    for key in differing:
        for field in fields:
            setattr(held[key], field, getattr(rows[key], field))
    table.bulk_create(new, batch_size=500)
    table.bulk_update([held[key] for key in differing], fields, batch_size=100)
    return filed


def _recipe_words(recipe: book.Recipe, foods: Mapping[str, book.Food]) -> str:
    named = (foods[ingredient.food].name for ingredient in recipe.ingredients if ingredient.food in foods)
    slots = (slot_mark(slot) for slot in recipe.slots)
    return folded(" ".join((recipe.title, recipe.key, recipe.main, *named, *slots)))


def _protocol_file(
    practice: Practice, protocol: book.Protocol, *, check_only: bool, by: User | None, at: datetime
) -> FiledProtocol:
    document = protocol_record(protocol)
    digest = digest_of(document)
    row = Protocol.objects.select_for_update().filter(practice=practice, key=protocol.key).first()
    newest = row.versions.order_by("-number").first() if row else None
    if newest is not None and newest.digest == digest:
        return FiledProtocol(protocol, newest, is_new=False)
    if check_only:
        return FiledProtocol(protocol, None, is_new=True)
    if row is None:
        row = Protocol.objects.create(practice=practice, key=protocol.key, title=protocol.title)
    elif row.title != protocol.title:
        Protocol.objects.filter(pk=row.pk).update(title=protocol.title)
    version = ProtocolVersion.objects.create(
        protocol=row,
        number=newest.number + 1 if newest else 1,
        document=document,
        digest=digest,
        published_at=at,
    )
    audit(
        practice=practice,
        user=by,
        action="protocol published",
        subject=str(version.pk),
        facts={"protocol": str(row.pk), "number": version.number},
        at=at,
    )
    return FiledProtocol(protocol, version, is_new=True)


def _no_longer_weighed(
    held: Mapping[str, book.Food], new: Iterable[book.Food], recipes: Iterable[book.Recipe]
) -> Iterable[Problem]:
    """A problem for each unit a recipe in use needs and a changed food no longer gives a weight for."""
    changed = {food.key: food for food in new if food.key in held}
    lost: dict[tuple[str, str], str] = {}
    for recipe in recipes:
        for part in recipe.ingredients:
            if part.food in changed and grams(part.quantity, part.unit, changed[part.food]) is None:
                lost.setdefault((part.food, part.unit), recipe.title)
    for (food, unit), title in lost.items():
        message = f"“{title}” uses a {unit} of “{food}”, and the file no longer says what that weighs."
        yield Problem(
            0, f"unit_weights of {food}", message, f"Keep {unit} among its unit_weights, or its density."
        )


def _tell(practice: Practice, by: User | None, at: datetime, action: str, filed: Filed) -> None:
    facts = {"added": len(filed.added), "changed": len(filed.changed)}
    audit(practice=practice, user=by, action=action, facts=facts, at=at)
