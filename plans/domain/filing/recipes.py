"""Recipes files, ``ladlework/recipes/1``: read with every problem named, written so that reading gives the same."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coaching.domain.errors import Problem
from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.filing import checks
from plans.domain.filing.core_temperature import CHART_F, least_core_temp_f
from plans.domain.filing.csv_reader import Row, split
from plans.domain.filing.fields import (
    MOST_AMOUNT,
    MOST_DAYS,
    Field,
    form,
    key,
    listed,
    number,
    quantity,
    record,
    records,
    text,
    truth,
    whole,
    word,
)
from plans.domain.filing.findings import Findings
from plans.domain.filing.lookup import FoodLookup
from plans.domain.filing.opening import opened, schema_is
from plans.domain.filing.tree import Fields, Items, Node, Place, Text, tree_of
from plans.domain.filing.writing import cell_of, csv_text, yaml_text
from plans.domain.records import (
    form_of,
    ingredient_from_record,
    quantity_text,
    recipe_from_record,
    recipe_record,
)
from plans.domain.vocabulary import RECIPE_KINDS, Slot, Use

SCHEMA = "ladlework/recipes/1"
MOST_MINUTES = 14_400
SLOTS = tuple(slot.value for slot in Slot)
USES = tuple(use.value for use in Use)

INGREDIENT: Mapping[str, Field] = {
    "quantity": number(0, MOST_AMOUNT, above=True).needed,
    "unit": text(40).needed,
    "food": text(80).needed,
    "form": form().needed,
    "use": word(USES),
    "size": text(80),
}
RECIPE: Mapping[str, Field] = {
    "key": key().needed,
    "title": text(160).needed,
    "kind": word(RECIPE_KINDS).needed,
    "slots": listed(word(SLOTS), least=1, once=True),
    "main": key().needed,
    "servings": number(0, 500, above=True).needed,
    "portion": quantity().needed,
    "ingredients": records("ingredient", record(INGREDIENT), least=1),
    "steps": listed(text(), least=1),
    "hands_on_min": whole(0, MOST_MINUTES).needed,
    "elapsed_min": whole(0, MOST_MINUTES).needed,
    "fridge_days": whole(0, MOST_DAYS).needed,
    "freezer_days": whole(0, MOST_DAYS).needed,
    "batch": truth(),
    "core_temp_f": word(tuple(str(degrees) for degrees in CHART_F)),
    "makes": text(80),
    "child_note": text(),
}
_FILE = record({"schema": text(), "recipes": records("recipe", record(RECIPE), least=1)})
_OWN = tuple(name for name in RECIPE if name != "ingredients")
_COLUMNS = ("schema", *_OWN, *INGREDIENT)


def read_recipes(
    content: str, filename: str, foods: Iterable[Food]
) -> tuple[tuple[Recipe, ...], tuple[Problem, ...]]:
    """The recipes of a file and all its problems; no recipes when there is one. ``foods`` are the book's."""
    findings = Findings()
    found = opened(content, filename, findings)
    if found is None:
        return (), findings.problems()
    tree = found if isinstance(found, Fields) else _tree(found, findings)
    schema = next(
        (node for name, node in tree.pairs if name.text == "schema" and isinstance(node, Text)), None
    )
    schema_is(schema, SCHEMA, findings)
    rows = _FILE.read(tree, Place(), findings).get("recipes") or []
    _check(rows, FoodLookup(foods), findings)
    problems = findings.problems()
    return ((), problems) if problems else (tuple(recipe_from_record(_typed(row)) for row in rows), ())


def read_recipe(
    values: Mapping[str, Any], foods: Iterable[Food]
) -> tuple[Recipe | None, tuple[Problem, ...]]:
    """One recipe from typed values, named as in a file; problems have no line and name fields such as
    ``food of ingredient 2``.
    """
    findings = Findings()
    row = record(RECIPE).read(tree_of(values), Place(), findings)
    _check_recipe(row, Place(), FoodLookup(foods), findings)
    problems = findings.problems()
    return (None, problems) if problems else (recipe_from_record(_typed(row)), ())


def read_ingredients(
    rows: Iterable[Mapping[str, Any]], foods: Iterable[Food]
) -> tuple[Ingredient | None, ...]:
    """Typed ingredients each on its own, for looking ahead while a recipe is written: one with a problem is None."""
    lookup = FoodLookup(foods)
    return tuple(_ingredient_alone(row, lookup) for row in rows)


def recipes_yaml(recipes: Sequence[Recipe]) -> str:
    """A recipes file as YAML."""
    return yaml_text({"schema": SCHEMA, "recipes": [recipe_record(recipe) for recipe in recipes]})


def recipes_csv(recipes: Sequence[Recipe]) -> str:
    """A recipes file as CSV: one row an ingredient."""
    rows = [row for recipe in recipes for row in _cells(recipe_record(recipe))]
    rows[0]["schema"] = SCHEMA
    return csv_text(_COLUMNS, rows)


def _ingredient_alone(values: Mapping[str, Any], lookup: FoodLookup) -> Ingredient | None:
    findings = Findings()
    row = record(INGREDIENT).read(tree_of(values), Place(), findings)
    _check_ingredient(row, Place(), lookup, findings)
    return None if findings.problems() else ingredient_from_record(row)


def _typed(row: dict[str, Any]) -> dict[str, Any]:
    return row | ({"core_temp_f": int(row["core_temp_f"])} if "core_temp_f" in row else {})


def _cells(held: dict[str, Any]) -> list[dict[str, str]]:
    rows = [{name: cell_of(value) for name, value in row.items()} for row in held.pop("ingredients")]
    rows[0] |= {name: cell_of(value, "|" if name == "steps" else ";") for name, value in held.items()}
    return rows


def _tree(rows: tuple[Row, ...], findings: Findings) -> Fields:
    checks.columns(rows, _COLUMNS, findings)
    first = rows[0] if rows else Row(1, {})
    head = [(Text(first.line, "schema"), first.text("schema"))] if "schema" in first.cells else []
    groups: list[list[Row]] = []
    for row in rows:
        if row is not first:
            checks.only_on_first_row(row, ("schema",), findings)
        begins = row.cells.get("key", "") != (groups[-1][0].cells.get("key") if groups else None)
        if "key" in row.cells and begins:
            groups.append([row])
        elif not groups:
            findings.add(Place(("key",)), "The first row names no recipe.", "Fill in its key.", line=row.line)
            groups.append([row])
        else:
            checks.only_on_first_row(row, set(_OWN) - {"key"}, findings)
            groups[-1].append(row)
    recipes = Items(first.line, tuple(_recipe_fields(group) for group in groups))
    return Fields(first.line, (*head, (Text(first.line, "recipes"), recipes)))


def _recipe_fields(rows: list[Row]) -> Fields:
    first = rows[0]
    pairs: list[tuple[Text, Node]] = [
        (Text(first.line, name), _own_cell(name, Text(first.line, first.cells[name])))
        for name in _OWN
        if name in first.cells
    ]
    ingredients = Items(first.line, tuple(_cells_as_fields(row, INGREDIENT) for row in rows))
    return Fields(first.line, (*pairs, (Text(first.line, "ingredients"), ingredients)))


def _own_cell(name: str, cell: Text) -> Node:
    if RECIPE[name].shape != "list":
        return cell
    return split(cell, "|" if name == "steps" else ";")


def _cells_as_fields(row: Row, names: Iterable[str]) -> Fields:
    found = ((name, row.text(name)) for name in names)
    return Fields(row.line, tuple((Text(row.line, name), cell) for name, cell in found if cell))


def _check(rows: list[dict[str, Any]], lookup: FoodLookup, findings: Findings) -> None:
    checks.unique(rows, "recipe", findings)
    for at, row in enumerate(rows, start=1):
        _check_recipe(row, Place((f"recipe {at}",)), lookup, findings)


def _check_recipe(row: dict[str, Any], where: Place, lookup: FoodLookup, findings: Findings) -> None:
    for at, ingredient in enumerate(row.get("ingredients") or (), start=1):
        _check_ingredient(ingredient, where / f"ingredient {at}", lookup, findings)
    if "portion" in row:
        checks.poured_or_weighed(row["portion"], where / "portion", findings)
    if row.get("hands_on_min", 0) > row.get("elapsed_min", MOST_MINUTES):
        message = "There are more minutes of work than minutes in all."
        findings.add(where / "elapsed_min", message, f"Write {row['hands_on_min']} or more.")
    _check_core_temperature(row, where, lookup, findings)
    _check_makes(row, where, lookup, findings)


def _check_ingredient(row: dict[str, Any], where: Place, lookup: FoodLookup, findings: Findings) -> None:
    if "food" not in row or not checks.known_food(row["food"], where / "food", lookup, findings):
        return
    if "quantity" in row and "unit" in row:
        amount = quantity_text((row["quantity"], row["unit"]))
        checks.weighable(amount, row["food"], where / "unit", lookup, findings)


def _check_core_temperature(
    row: dict[str, Any], where: Place, lookup: FoodLookup, findings: Findings
) -> None:
    named = [
        (ingredient["food"], form_of(ingredient.get("form", "")))
        for ingredient in row.get("ingredients") or ()
        if "food" in ingredient
    ]
    least = least_core_temp_f(named, lookup.foods)
    typed = findings.was_given(where / "core_temp_f")
    if least is None or int(row.get("core_temp_f", 0)) >= least or (typed and "core_temp_f" not in row):
        return
    if typed:
        message = f"{row['core_temp_f']} °F is too low for what is in this dish."
    else:
        message = "A dish with meat, fish or egg says how hot its core must get."
    findings.add(where / "core_temp_f", message, f"Write {least}, as the USDA/HHS chart asks.")


def _check_makes(row: dict[str, Any], where: Place, lookup: FoodLookup, findings: Findings) -> None:
    makes, kind = row.get("makes"), row.get("kind")
    if kind == "stock" and not findings.was_given(where / "makes"):
        findings.add(
            where / "makes", "A stock recipe names the food it makes.", "Add makes: with a food's key."
        )
    elif makes and kind and kind != "stock":
        findings.add(
            where / "makes", "Only a stock recipe makes a food.", "Write kind: stock, or delete makes."
        )
    elif (
        makes
        and checks.known_food(makes, where / "makes", lookup, findings)
        and not lookup.foods[makes].home_made
    ):
        message = f"The book does not say that “{makes}” is made at home."
        findings.add(where / "makes", message, "Set home_made: true on that food, or name another.")
