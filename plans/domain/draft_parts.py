"""The parts of a protocol besides its rules table, put in, taken out and moved: from one document to the next.

A document is a record of ``plans/data/SCHEMAS.md``. A part is named by the word of a file's ``record`` column; the
place of its row counts from 0. Nothing here changes a document; each function gives a new one.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

Document = Mapping[str, Any]
Row = Mapping[str, Any]

LISTS: Mapping[str, str] = {
    "stage": "stages",
    "modifier": "modifiers",
    "challenge": "challenges",
    "lead_in": "lead_in",
}
"""The list of the document each part is kept in."""
ORDERED = frozenset(("stage", "challenge"))
"""Parts whose order says something, so that they can be moved."""
HEAD = ("key", "title", "summary", "source", "dietitian", "caution")
_NEEDED = frozenset(("stages", "rules"))


def rows_of(document: Document, noun: str) -> Sequence[Row]:
    """The rows of a part in their order."""
    return document.get(LISTS[noun], ())


def with_head(document: Document, head: Row) -> dict[str, Any]:
    """The document with another head; what the new one does not say is gone."""
    return {**head, **{name: value for name, value in document.items() if name not in HEAD}}


def with_row(
    document: Document, noun: str, place: int | None, row: Row, *, before: int | None = None
) -> dict[str, Any]:
    """The document with this row in a place, or, without one, put in ``before`` another or at the end.

    Raises IndexError for a place the part does not have.
    """
    rows = list(rows_of(document, noun))
    if place is not None:
        _one_of(rows, place)
        rows[place] = dict(row)
    elif before is not None:
        _one_of(rows, before)
        rows.insert(before, dict(row))
    else:
        rows.append(dict(row))
    return _with_list(document, LISTS[noun], rows)


def without_row(document: Document, noun: str, place: int) -> dict[str, Any]:
    """The document without the row in a place; lead-in tasks that came after it no longer do.

    A stage goes by ``without_stage``. Raises IndexError.
    """
    rows = list(rows_of(document, noun))
    _one_of(rows, place)
    gone = rows.pop(place)
    if noun == "lead_in":
        rows = [_not_after(row, gone["key"]) for row in rows]
    return _with_list(document, LISTS[noun], rows)


def moved(document: Document, noun: str, place: int, by: int) -> dict[str, Any]:
    """The document with a row so many places further down, or up; at either end it stays. Raises IndexError."""
    rows = list(rows_of(document, noun))
    _one_of(rows, place)
    row = rows.pop(place)
    rows.insert(min(max(place + by, 0), len(rows)), row)
    return _with_list(document, LISTS[noun], rows)


def without_stage(document: Document, key: str, rows_to: str | None = None) -> dict[str, Any]:
    """The document without a stage. Its rows of the rules table and its challenges go too, or to another stage.

    Where the other stage has a row for the same target already, that one stays. Raises KeyError for a stage the
    document lacks.
    """
    keys = [stage["key"] for stage in document["stages"]]
    if key not in keys or rows_to == key or (rows_to is not None and rows_to not in keys):
        raise KeyError(key if rows_to is None else rows_to)
    held = {_target(rule) for rule in document["rules"] if rule["stage"] == rows_to}
    rules = [
        rule
        for rule in document["rules"]
        if rule["stage"] != key or (rows_to is not None and _target(rule) not in held)
    ]
    challenges = [row for row in document.get("challenges", ()) if row["stage"] != key or rows_to is not None]
    left = _with_list(document, "stages", [stage for stage in document["stages"] if stage["key"] != key])
    left = _with_list(left, "rules", _at_another(rules, key, rows_to))
    return _with_list(left, "challenges", _at_another(challenges, key, rows_to))


def free_key(wanted: str, taken: Collection[str], otherwise: str) -> str:
    """A key no other row has: the wanted one, or it with the next free number. ``otherwise`` stands in for none."""
    base = wanted or otherwise
    if base not in taken:
        return base
    number = 2
    while f"{base[:75]}-{number}" in taken:
        number += 1
    return f"{base[:75]}-{number}"


def _one_of(rows: Sequence[Row], place: int) -> None:
    if not 0 <= place < len(rows):
        raise IndexError(place)


def _with_list(document: Document, name: str, rows: Sequence[Row]) -> dict[str, Any]:
    """The document with another list; one that need not be there is left out when it is empty."""
    if rows or name in _NEEDED:
        return {**document, name: list(rows)}
    return {part: held for part, held in document.items() if part != name}


def _at_another(rows: Sequence[Row], key: str, rows_to: str | None) -> list[Row]:
    return [{**row, "stage": rows_to} if row["stage"] == key else row for row in rows]


def _not_after(row: Row, key: str) -> Row:
    """A lead-in task that no longer waits for the one that goes."""
    if key not in row.get("after", ()):
        return row
    left = [other for other in row["after"] if other != key]
    return {**row, "after": left} if left else {name: held for name, held in row.items() if name != "after"}


def _target(rule: Row) -> tuple[str, str]:
    return rule.get("food", ""), rule.get("group", "")
