"""What is read of the book: whole, as values, and page by page."""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, TextField
from django.db.models.functions import Cast

from coaching.practice.models import Practice
from plans.domain import book, records
from plans.domain.batch.safety import KitchenSafety, kitchen_safety_from_rows
from plans.domain.filing.lookup import folded
from plans.domain.fit import fit
from plans.domain.intakes import ReferenceTable, references_from_rows
from plans.domain.nutrients import Table, nutrients_from_rows
from plans.domain.rulebook import RuleBook, stage_allowances
from plans.models import Food, Protocol, ProtocolVersion, Recipe, RecipePhoto

MOST_WORDS = 6
NUTRIENTS = Path(__file__).parent / "data" / "nutrients.csv"
REFERENCE_INTAKES = NUTRIENTS.with_name("reference_intakes.csv")
KITCHEN_SAFETY = Path(__file__).parent / "data" / "kitchen_safety.csv"


@dataclass(frozen=True, slots=True)
class Book:
    """The foods and recipes of a practice. Foods carry the allergen families of all they are made of."""

    foods: Mapping[str, book.Food]
    recipes: tuple[book.Recipe, ...]


@dataclass(frozen=True, slots=True)
class FoodUses:
    """Where a food is named: recipes, archived ones too; versions of protocols, drafts too; foods made of it."""

    recipes: tuple[Recipe, ...]
    versions: tuple[ProtocolVersion, ...]
    foods: tuple[Food, ...]

    @property
    def is_any(self) -> bool:
        """Something uses it."""
        return bool(self.recipes or self.versions or self.foods)


@dataclass(frozen=True, slots=True)
class EditState:
    """How many edits of a draft can be taken back, and how many made again."""

    undo: int
    redo: int


def book_of(practice: Practice) -> Book:
    """The practice's book, in two queries. Archived recipes are left out."""
    recipes = Recipe.objects.filter(practice=practice, archived_at__isnull=True).order_by("key")
    return Book(
        foods=foods_of(practice),
        recipes=tuple(
            records.recipe_from_record(document) for document in recipes.values_list("document", flat=True)
        ),
    )


def foods_of(practice: Practice) -> dict[str, book.Food]:
    """The practice's foods by key, with the allergen families of all they are made of, in one query."""
    documents = Food.objects.filter(practice=practice).order_by("key").values_list("document", flat=True)
    return records.resolve_families(records.food_from_record(document) for document in documents)


def foods_of_practices(practices: Iterable[Any]) -> dict[Any, dict[str, book.Food]]:
    """The foods of several practices by the practice's id, as ``foods_of`` gives them, in one query."""
    documents: dict[Any, list[Mapping[str, Any]]] = {pk: [] for pk in practices}
    rows = Food.objects.filter(practice__in=documents).order_by("key")
    for pk, document in rows.values_list("practice_id", "document"):
        documents[pk].append(document)
    return {
        pk: records.resolve_families(records.food_from_record(document) for document in held)
        for pk, held in documents.items()
    }


def own_foods_of(practice: Practice) -> list[book.Food]:
    """The practice's foods as they were filed, each with its own families only; by group and name."""
    documents = Food.objects.filter(practice=practice).values_list("document", flat=True)
    return [records.food_from_record(document) for document in documents]


def recipes_of(practice: Practice) -> list[book.Recipe]:
    """The practice's recipes in use, by title."""
    documents = Recipe.objects.filter(practice=practice, archived_at__isnull=True).values_list(
        "document", flat=True
    )
    return [records.recipe_from_record(document) for document in documents]


def sources_of(practice: Practice) -> str:
    """Where the figures of the practice's foods come from, as their files said, each source once."""
    documents = (
        Food.objects.filter(practice=practice).order_by("key").values_list("document__source", flat=True)
    )
    return " ".join(dict.fromkeys(source for source in documents if source))


def protocol_of(version: ProtocolVersion) -> book.Protocol:
    """The protocol a version holds. Documents with the same digest are read once."""
    return _protocol(_Held(version.digest, version.document))


@dataclass(frozen=True, slots=True)
class _Held:
    digest: str
    document: Mapping[str, Any] = field(compare=False)


@lru_cache(maxsize=256)
def _protocol(held: _Held) -> book.Protocol:
    return records.protocol_from_record(held.document)


def recipe_of(row: Recipe) -> book.Recipe:
    """The recipe a row holds."""
    return records.recipe_from_record(row.document)


def photo_of(row: Recipe) -> RecipePhoto | None:
    """The photo of a recipe, if it has one."""
    return RecipePhoto.objects.filter(recipe=row).first()


def slot_mark(slot: str) -> str:
    """What a recipe's search text holds for a slot it can be eaten in."""
    return f"={slot}="


def foods_found(foods: QuerySet[Food], *, q: str, group: str) -> QuerySet[Food]:
    """Foods with all the words in their names, in a group; by group and name."""
    found = foods.filter(group=group) if group else foods
    return _with_words(found, q).order_by("group", "name")


def foods_by_key(foods: QuerySet[Food], keys: Iterable[str]) -> dict[str, Food]:
    """Those of these foods that have one of these keys, by key."""
    return {row.key: row for row in foods.filter(key__in=list(keys))}


def food_uses(practice: Practice, key: str) -> FoodUses:
    """Where a practice's book names a food, in three queries: recipes, versions of protocols, foods made of it."""
    recipes = _naming(Recipe.objects.filter(practice=practice).order_by("title"), key)
    versions = ProtocolVersion.objects.filter(protocol__practice=practice).select_related("protocol")
    versions = _naming(versions.order_by("protocol__title", "number"), key)
    foods = _naming(Food.objects.filter(practice=practice).order_by("name"), key)
    return FoodUses(
        recipes=tuple(row for row in recipes if _recipe_names(row.document, key)),
        versions=tuple(row for row in versions if _protocol_names(row.document, key)),
        foods=tuple(row for row in foods if key in row.document.get("contains", ())),
    )


def groups_of(foods: QuerySet[Food]) -> list[str]:
    """The groups these foods are in."""
    return list(foods.order_by("group").values_list("group", flat=True).distinct())


def recipes_found(
    recipes: QuerySet[Recipe], *, q: str, kind: str, slot: str, keys: Iterable[str] | None = None
) -> QuerySet[Recipe]:
    """Recipes with all the words in their titles or foods, of a kind, for a slot, among ``keys`` if given; by title."""
    found = recipes.filter(kind=kind) if kind else recipes
    if slot:
        found = found.filter(search_text__contains=slot_mark(slot))
    if keys is not None:
        found = found.filter(key__in=list(keys))
    return _with_words(found, q).order_by("title", "key")


def recipes_by_key(recipes: QuerySet[Recipe], keys: Iterable[str]) -> dict[str, Recipe]:
    """Those of these recipes that have one of these keys, by key."""
    return {row.key: row for row in recipes.filter(key__in=list(keys))}


def recipe_keys_that_fit(practice: Practice, version: ProtocolVersion, stage: str) -> list[str]:
    """The recipes a stage allows to an eater without exclusions, perhaps with something left off the plate."""
    held = book_of(practice)
    compiled = RuleBook.compile(protocol_of(version), held.foods.values())
    given = stage_allowances(compiled, stage)
    return [recipe.key for recipe in held.recipes if fit(recipe, given, held.foods).ok]


def newest_versions(protocols: QuerySet[Protocol]) -> list[ProtocolVersion]:
    """The newest published version of each protocol, with its protocol and ``version_count``; by title."""
    published = ProtocolVersion.objects.filter(protocol__in=protocols, published_at__isnull=False)
    latest = published.filter(protocol=OuterRef("protocol")).order_by("-number").values("pk")[:1]
    newest = published.filter(pk=Subquery(latest)).annotate(
        version_count=Count("protocol__versions", filter=Q(protocol__versions__published_at__isnull=False))
    )
    return list(newest.select_related("protocol").order_by("protocol__title", "protocol__key"))


def versions_of(protocol: Protocol) -> list[ProtocolVersion]:
    """The published versions of a protocol without their documents, newest first."""
    published = protocol.versions.filter(published_at__isnull=False).order_by("-number")
    return list(published.defer("document"))


def newest_published(protocol: Protocol) -> ProtocolVersion | None:
    """The newest published version, if any."""
    return protocol.versions.filter(published_at__isnull=False).order_by("-number").first()


def draft_of(protocol: Protocol) -> ProtocolVersion | None:
    """The version that is being edited, if any."""
    return protocol.versions.filter(published_at__isnull=True).first()


def all_published(protocols: QuerySet[Protocol]) -> list[ProtocolVersion]:
    """Every published version of these protocols without its document, with its protocol; by title, newest first."""
    versions = ProtocolVersion.objects.filter(protocol__in=protocols, published_at__isnull=False)
    by_title = versions.order_by("protocol__title", "protocol__key", "-number")
    return list(by_title.select_related("protocol").defer("document"))


def open_drafts(protocols: QuerySet[Protocol]) -> list[ProtocolVersion]:
    """The drafts of these protocols; by title."""
    drafts = ProtocolVersion.objects.filter(protocol__in=protocols, published_at__isnull=True)
    return list(drafts.order_by("protocol__title", "protocol__key"))


def edit_state(draft: ProtocolVersion) -> EditState:
    """How far the edits of a draft go back and forth, in one query."""
    counted = draft.edits.aggregate(
        undo=Count("pk", filter=Q(undone_at__isnull=True)),
        redo=Count("pk", filter=Q(undone_at__isnull=False)),
    )
    return EditState(**counted)


def _naming(rows: QuerySet, key: str) -> QuerySet:
    """Rows whose document holds a key as a whole text somewhere: a sieve before the closer look."""
    return rows.annotate(document_text=Cast("document", TextField())).filter(
        document_text__contains=f'"{key}"'
    )


def _recipe_names(document: Mapping[str, Any], key: str) -> bool:
    return document.get("makes") == key or any(part["food"] == key for part in document["ingredients"])


def _protocol_names(document: Mapping[str, Any], key: str) -> bool:
    sections = ("rules", "modifiers", "challenges", "lead_in")
    return any(
        row.get("food") == key or key in (*row.get("needs", ()), *row.get("makes", ()))
        for section in sections
        for row in document.get(section, ())
    )


def _with_words(rows: QuerySet, q: str) -> QuerySet:
    for word in folded(q).split()[:MOST_WORDS]:
        rows = rows.filter(search_text__contains=word)
    return rows


@cache
def nutrient_table() -> Table:
    """What 100 g of each shipped food holds, read from its file once."""
    with NUTRIENTS.open(encoding="utf-8", newline="") as file:
        return nutrients_from_rows(csv.DictReader(file))


@cache
def kitchen_safety() -> KitchenSafety:
    """The published figures of kitchen safety that batches go by, read from their file once."""
    with KITCHEN_SAFETY.open(encoding="utf-8", newline="") as file:
        return kitchen_safety_from_rows(csv.DictReader(file))


@cache
def reference_intakes() -> ReferenceTable:
    """The published reference intakes of healthy people by nutrient, read from their file once."""
    with REFERENCE_INTAKES.open(encoding="utf-8", newline="") as file:
        return references_from_rows(csv.DictReader(file))
