"""What is written of foods: whole files, all or nothing, and one at a time."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from difflib import get_close_matches
from typing import Any

from django.db import transaction

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice, User
from coaching.practice.services import audit
from plans.domain import book
from plans.domain.duplicates import NameTaken, names_taken
from plans.domain.filing.foods import FoodsFile, read_food, read_foods
from plans.domain.filing.lookup import folded
from plans.domain.quantities import grams
from plans.domain.records import food_record
from plans.models import Food
from plans.selectors import book_of, food_uses, nutrient_table, own_foods_of
from plans.services.putting import Filed, MayBeThere, put, tell

MOST_NAMED = 5


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
    broken = (*_no_longer_weighed(held.foods, file.foods, held.recipes), *_figures_of_nobody(file.foods))
    if broken:
        raise Refused(*broken)
    filed = foods_put(practice, file, check_only=check_only)
    if not check_only:
        tell(practice, by, at, "foods imported", filed)
    return filed


@transaction.atomic
def food_write(
    *,
    practice: Practice,
    values: Mapping[str, Any],
    source: str = "",
    replaces: Food | None = None,
    anyway: bool = False,
    by: User | None,
    at: datetime,
) -> Food:
    """Write one food from typed values, named as in a file: a new one, or the one it replaces, whose key stays.

    ``source`` says where its weights come from. Raises Refused with every problem: of what was typed, for a key that
    is taken, for a unit a recipe in use needs; then, unless ``anyway``, MayBeThere with a ``NameTaken`` for each other
    food its names find.
    """
    held = book_of(practice)
    own = own_foods_of(practice)
    key = replaces.key if replaces else values.get("key", "")
    food, problems = read_food({**values, "key": key}, own)
    if replaces is None and key in held.foods:
        taken = Problem(0, "key", f"The key “{key}” is taken.", "Write another one.")
        problems = (*problems, taken)
    if food is not None:
        broken = _no_longer_weighed(held.foods, (food,), held.recipes, said="the food")
        problems = (*problems, *broken, *_figures_of_nobody((food,)))
    if food is None or problems:
        raise Refused(*problems)
    taken_names = () if anyway else _new_names_taken(food, own)
    if taken_names:
        raise MayBeThere(*taken_names)
    filed = foods_put(practice, FoodsFile((food,), source), check_only=False)
    tell(practice, by, at, "food written", filed)
    return Food.objects.get(practice=practice, key=key)


@transaction.atomic
def food_remove(*, food: Food, by: User | None, at: datetime) -> None:
    """Take a food out of the book for good. Raises Refused while a recipe, a protocol or another food names it."""
    uses = food_uses(food.practice, food.key)
    named = [
        *(recipe.title for recipe in uses.recipes),
        *(str(version) for version in uses.versions),
        *(other.name for other in uses.foods),
    ]
    if named:
        message = f"“{food.name}” is used in {', '.join(f'“{name}”' for name in named[:MOST_NAMED])}"
        more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
        fix = "Take it out of these first; a published version keeps its foods for good."
        raise Refused(Problem(0, "food", f"{message}{more}.", fix))
    audit(
        practice=food.practice,
        user=by,
        action="food removed",
        subject=str(food.pk),
        facts={"key": food.key},
        at=at,
    )
    food.delete()


def foods_put(practice: Practice, file: FoodsFile, *, check_only: bool) -> Filed:
    """Add a file's foods and replace those with the same keys, or only say which that would be."""
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
    return put(rows, held, ("name", "group", "aisle", "search_text", "document"), check_only=check_only)


def _new_names_taken(food: book.Food, own: Iterable[book.Food]) -> tuple[NameTaken, ...]:
    """Other foods its names find, but for those that what it replaces found already."""
    before = next((other for other in own if other.key == food.key), None)
    known = {taken.food for taken in names_taken(before, own)} if before else set()
    return tuple(taken for taken in names_taken(food, own) if taken.food not in known)


def _figures_of_nobody(new: Iterable[book.Food]) -> Iterable[Problem]:
    """A problem for each food that is to have the figures of one that has none."""
    table = nutrient_table()
    for food in new:
        if food.nutrients_like and food.nutrients_like not in table:
            message = f"There are no shipped figures for “{food.nutrients_like}”."
            near = get_close_matches(food.nutrients_like, table, n=1, cutoff=0.6)
            fix = f"Did you mean “{near[0]}”?" if near else "Name a shipped food that has figures, or none."
            yield Problem(0, "nutrients_like", message, fix)


def _no_longer_weighed(
    held: Mapping[str, book.Food],
    new: Iterable[book.Food],
    recipes: Iterable[book.Recipe],
    *,
    said: str = "the file",
) -> Iterable[Problem]:
    """A problem for each unit a recipe in use needs and a changed food no longer gives a weight for."""
    changed = {food.key: food for food in new if food.key in held}
    lost: dict[tuple[str, str], str] = {}
    for recipe in recipes:
        for part in recipe.ingredients:
            if part.food in changed and grams(part.quantity, part.unit, changed[part.food]) is None:
                lost.setdefault((part.food, part.unit), recipe.title)
    for (food, unit), title in lost.items():
        message = f"“{title}” uses a {unit} of “{food}”, and {said} no longer says what that weighs."
        yield Problem(
            0, f"unit_weights of {food}", message, f"Keep {unit} among its unit_weights, or its density."
        )
