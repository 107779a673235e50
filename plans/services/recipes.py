"""What is written of recipes: whole files, and one at a time."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice, User
from coaching.practice.services import audit
from plans.domain import book
from plans.domain.duplicates import RecipeLikeness
from plans.domain.filing.lookup import folded
from plans.domain.filing.recipes import read_recipe, read_recipes
from plans.domain.records import recipe_record
from plans.models import Recipe
from plans.selectors import Book, book_of, foods_of, slot_mark
from plans.services.photos import NO_WISH, PhotoWish, grant, looked_over
from plans.services.putting import Filed, MayBeThere, put, tell


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
    recipes, problems = read_recipes(text, filename, foods_of(practice).values())
    if problems:
        raise Refused(*problems)
    held = book_of(practice)
    filed = recipes_put(practice, recipes, held.foods, check_only=check_only)
    if not check_only:
        tell(practice, by, at, "recipes imported", filed)
    return replace(filed, like=tuple(_like_new_ones(recipes, filed.added, held)))


@transaction.atomic
def recipe_write(
    *,
    practice: Practice,
    values: Mapping[str, Any],
    replaces: Recipe | None = None,
    photo: PhotoWish = NO_WISH,
    anyway: bool = False,
    by: User | None,
    at: datetime,
) -> Recipe:
    """Write one recipe from typed values, named as in a file: a new one, or the one it replaces, whose key stays.

    Raises Refused with every problem, also of its photo, and for a new recipe when its key is taken. A new recipe that
    is much like one of the book raises MayBeThere with a ``Likeness`` for each, unless ``anyway``.
    """
    held = book_of(practice)
    key = replaces.key if replaces else values.get("key", "")
    recipe, problems = read_recipe({**values, "key": key}, held.foods.values())
    if replaces is None and Recipe.objects.filter(practice=practice, key=key).exists():
        taken = Problem(0, "title", "There is a recipe with this title already.", "Give it another title.")
        problems = (*problems, taken)
    drawn, photo_problems = looked_over(photo)
    if recipe is None or problems or photo_problems:
        raise Refused(*problems, *photo_problems)
    like = () if replaces or anyway else RecipeLikeness(held.recipes, held.foods).like(recipe)
    if like:
        raise MayBeThere(*like)
    filed = recipes_put(practice, (recipe,), held.foods, check_only=False)
    tell(practice, by, at, "recipe written", filed)
    row = Recipe.objects.get(practice=practice, key=key)
    grant(row, photo, drawn, by=by, at=at)
    return row


@transaction.atomic
def recipe_archive(*, recipe: Recipe, archived: bool, by: User | None, at: datetime) -> None:
    """Take a recipe out of use, or back into it. Weeks planned with it keep it."""
    Recipe.objects.filter(pk=recipe.pk).update(archived_at=at if archived else None)
    action = "recipe archived" if archived else "recipe taken back"
    audit(practice=recipe.practice, user=by, action=action, subject=str(recipe.pk), at=at)


def recipes_put(
    practice: Practice, recipes: Iterable[book.Recipe], foods: Mapping[str, book.Food], *, check_only: bool
) -> Filed:
    """Add recipes and replace those with the same keys, or only say which that would be."""
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
    return put(rows, held, fields, check_only=check_only)


def _like_new_ones(
    recipes: Iterable[book.Recipe], added: Iterable[str], held: Book
) -> Iterable[tuple[str, str]]:
    """The titles of new recipes that may be in the book already, each with the title it is like."""
    titles = {recipe.key: recipe.title for recipe in held.recipes}
    likeness = RecipeLikeness(held.recipes, held.foods)
    new = set(added)
    for recipe in recipes:
        found = likeness.like(recipe) if recipe.key in new else ()
        if found:
            yield recipe.title, titles[found[0].key]


def _recipe_words(recipe: book.Recipe, foods: Mapping[str, book.Food]) -> str:
    named = (foods[ingredient.food].name for ingredient in recipe.ingredients if ingredient.food in foods)
    slots = (slot_mark(slot) for slot in recipe.slots)
    return folded(" ".join((recipe.title, recipe.key, recipe.main, *named, *slots)))
