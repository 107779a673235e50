"""What is read of the book: whole, as values, and page by page."""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from coaching.practice.models import Practice
from plans.domain import book, records
from plans.domain.filing.lookup import folded
from plans.domain.fit import fit
from plans.domain.nutrients import Table, nutrients_from_rows
from plans.domain.rulebook import RuleBook
from plans.models import Food, Protocol, ProtocolVersion, Recipe

MOST_WORDS = 6
NUTRIENTS = Path(__file__).parent / "data" / "nutrients.csv"


@dataclass(frozen=True, slots=True)
class Book:
    """The foods and recipes of a practice. Foods carry the allergen families of all they are made of."""

    foods: Mapping[str, book.Food]
    recipes: tuple[book.Recipe, ...]


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


def slot_mark(slot: str) -> str:
    """What a recipe's search text holds for a slot it can be eaten in."""
    return f"={slot}="


def foods_found(foods: QuerySet[Food], *, q: str, group: str) -> QuerySet[Food]:
    """Foods with all the words in their names, in a group; by group and name."""
    found = foods.filter(group=group) if group else foods
    return _with_words(found, q).order_by("group", "name")


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


def recipe_keys_that_fit(practice: Practice, version: ProtocolVersion, stage: str) -> list[str]:
    """The recipes a stage allows to an eater without exclusions, perhaps with something left off the plate."""
    held = book_of(practice)
    rows = RuleBook.compile(protocol_of(version), held.foods.values()).stages.get(stage, {})
    given = {food: row.given for food, row in rows.items()}
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


def edit_state(draft: ProtocolVersion) -> EditState:
    """How far the edits of a draft go back and forth, in one query."""
    counted = draft.edits.aggregate(
        undo=Count("pk", filter=Q(undone_at__isnull=True)),
        redo=Count("pk", filter=Q(undone_at__isnull=False)),
    )
    return EditState(**counted)


def _with_words(rows: QuerySet, q: str) -> QuerySet:
    for word in folded(q).split()[:MOST_WORDS]:
        rows = rows.filter(search_text__contains=word)
    return rows


@cache
def nutrient_table() -> Table:
    """What 100 g of each shipped food holds, read from its file once."""
    with NUTRIENTS.open(encoding="utf-8", newline="") as file:
        return nutrients_from_rows(csv.DictReader(file))
