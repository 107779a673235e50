"""Foods files, ``ladlework/foods/1``: read with every problem named, written so that reading gives the same."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from coaching.domain.errors import Problem
from coaching.domain.units import MASS
from plans.domain.book import Food
from plans.domain.filing import checks
from plans.domain.filing.csv_reader import Row, split, split_mapping
from plans.domain.filing.fields import (
    MOST_AMOUNT,
    MOST_DAYS,
    Field,
    key,
    listed,
    mapping,
    number,
    record,
    records,
    text,
    truth,
    whole,
    word,
)
from plans.domain.filing.findings import Findings
from plans.domain.filing.opening import opened, schema_is
from plans.domain.filing.tree import Fields, Items, Node, Place, Text, tree_of
from plans.domain.filing.writing import cell_of, csv_text, yaml_text
from plans.domain.nutrients import UNITS
from plans.domain.records import food_from_record, food_record
from plans.domain.vocabulary import AISLES, FAMILIES, LIMITS

SCHEMA = "ladlework/foods/1"
MOST_FIGURE = 100_000

_GRAMS = number(0, MOST_AMOUNT, above=True)
FOOD: Mapping[str, Field] = {
    "key": key().needed,
    "name": text(120).needed,
    "names": listed(text(120), once=True),
    "group": text(80).needed,
    "aisle": word(AISLES).needed,
    "families": listed(word(FAMILIES), once=True),
    "contains": listed(key(), once=True),
    "unit_weights": mapping(key(), _GRAMS),
    "density": number(0, 25, above=True),
    "edible_share": number(0, 1, above=True),
    "packs": listed(_GRAMS, once=True),
    "keeps": record({"fridge_days": whole(0, MOST_DAYS), "freezer_days": whole(0, MOST_DAYS)}),
    "home_made": truth(),
    "limits": listed(word(LIMITS), once=True),
    "nutrients": mapping(word(tuple(UNITS)), number(0, MOST_FIGURE)),
    "nutrients_source": text(300),
    "nutrients_like": key(),
}
_FILE = record(
    {"schema": text(), "source": text(), "foods": records("food", record(FOOD), least=1)},
)
_KEEPS = ("fridge_days", "freezer_days")
_COLUMNS = ("schema", "source", *(name for name in FOOD if name != "keeps"), *_KEEPS)


@dataclass(frozen=True, slots=True)
class FoodsFile:
    """What a foods file holds; ``source`` says where its figures come from."""

    foods: tuple[Food, ...]
    source: str = ""


def read_foods(
    content: str, filename: str = "", known: Iterable[Food] = ()
) -> tuple[FoodsFile | None, tuple[Problem, ...]]:
    """The foods of a file and all its problems; no foods when there is one. ``known`` foods may be contained."""
    findings = Findings()
    found = opened(content, filename, findings)
    if found is None:
        return None, findings.problems()
    tree = found if isinstance(found, Fields) else _tree(found, findings)
    schema = next(
        (node for name, node in tree.pairs if name.text == "schema" and isinstance(node, Text)), None
    )
    schema_is(schema, SCHEMA, findings)
    values = _FILE.read(tree, Place(), findings)
    rows = values.get("foods") or []
    _check(rows, {food.key for food in known}, findings)
    problems = findings.problems()
    if problems:
        return None, problems
    return FoodsFile(tuple(food_from_record(row) for row in rows), values.get("source", "")), ()


def read_food(values: Mapping[str, Any], known: Iterable[Food]) -> tuple[Food | None, tuple[Problem, ...]]:
    """One food from typed values, named as in a file; problems have no line. ``known`` foods may be contained."""
    findings = Findings()
    row = record(FOOD).read(tree_of(values), Place(), findings)
    _check_food(row, Place(), {food.key for food in known}, findings)
    problems = findings.problems()
    return (None, problems) if problems else (food_from_record(row), ())


def foods_yaml(file: FoodsFile) -> str:
    """A foods file as YAML."""
    return yaml_text(
        {"schema": SCHEMA, "source": file.source, "foods": [food_record(food) for food in file.foods]}
    )


def foods_csv(file: FoodsFile) -> str:
    """A foods file as CSV: one row a food."""
    rows = [_cells(food_record(food)) for food in file.foods]
    rows[0] |= {"schema": SCHEMA, "source": file.source}
    return csv_text(_COLUMNS, rows)


def _cells(held: dict[str, Any]) -> dict[str, str]:
    flat = held | held.pop("keeps", {})
    return {name: cell_of(value) for name, value in flat.items()}


def _tree(rows: tuple[Row, ...], findings: Findings) -> Fields:
    checks.columns(rows, _COLUMNS, findings)
    first = rows[0] if rows else Row(1, {})
    head = [
        (Text(first.line, name), first.text(name)) for name in ("schema", "source") if name in first.cells
    ]
    for row in rows[1:]:
        checks.only_on_first_row(row, ("schema", "source"), findings)
    foods = Items(first.line, tuple(_food_fields(row) for row in rows))
    return Fields(first.line, (*head, (Text(first.line, "foods"), foods)))


def _food_fields(row: Row) -> Fields:
    pairs: list[tuple[Text, Node]] = []
    for column, cell in row.cells.items():
        shapes = {"list": split, "mapping": split_mapping}
        if column in FOOD:
            pairs.append(
                (Text(row.line, column), shapes.get(FOOD[column].shape, _as_it_is)(Text(row.line, cell)))
            )
    keeps = tuple(
        (Text(row.line, name), Text(row.line, row.cells[name])) for name in _KEEPS if name in row.cells
    )
    if keeps:
        pairs.append((Text(row.line, "keeps"), Fields(row.line, keeps)))
    return Fields(row.line, tuple(pairs))


def _as_it_is(cell: Text) -> Text:
    return cell


def _check(rows: list[dict[str, Any]], known: set[str], findings: Findings) -> None:
    checks.unique(rows, "food", findings)
    keys = known | {row["key"] for row in rows if "key" in row}
    for at, row in enumerate(rows, start=1):
        _check_food(row, Place((f"food {at}",)), keys, findings)


def _check_food(row: dict[str, Any], where: Place, keys: set[str], findings: Findings) -> None:
    for part in row.get("contains", ()):
        if part == row.get("key"):
            findings.add(
                where / "contains", f"The food “{part}” contains itself.", "Take it out of its own list."
            )
        elif part not in keys:
            fix = findings.did_you_mean(part, keys, "Add that food, or take it out of the list.")
            findings.add(where / "contains", f"There is no food “{part}”.", fix)
    for unit in set(row.get("unit_weights", ())) & set(MASS):
        fix = "Keep pieces, cups and other measures here."
        findings.add(where / "unit_weights", f"“{unit}” is a mass, which weighs what it says.", fix)
    packs = row.get("packs", [])
    if packs != sorted(packs):
        ordered = ", ".join(str(size) for size in sorted(packs, key=Decimal))
        findings.add(where / "packs", "Pack sizes stand smallest first.", f"Write {ordered}.")
    _check_figures(row, where, findings)


def _check_figures(row: dict[str, Any], where: Place, findings: Findings) -> None:
    """Figures say where they are from, and come from one place only."""
    if row.get("nutrients") and not findings.was_given(where / "nutrients_source"):
        message = "The figures do not say where they come from."
        findings.add(where / "nutrients_source", message, "Name the label or the table they were read from.")
    if row.get("nutrients") and row.get("nutrients_like"):
        message = "The food has figures of its own and those of another food."
        findings.add(where / "nutrients_like", message, "Keep one of the two.")
