"""What is written of foods: whole files, all or nothing."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.db import transaction

from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Practice, User
from plans.domain import book
from plans.domain.filing.foods import FoodsFile, read_foods
from plans.domain.filing.lookup import folded
from plans.domain.quantities import grams
from plans.domain.records import food_record
from plans.models import Food
from plans.selectors import book_of
from plans.services.putting import Filed, put, tell


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
    filed = foods_put(practice, file, check_only=check_only)
    if not check_only:
        tell(practice, by, at, "foods imported", filed)
    return filed


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
