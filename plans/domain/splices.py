"""What one edit took out of a document and put in its place, so that it can be taken back and made again.

A document is a record of ``plans/data/SCHEMAS.md``: named values, some of them lists of rows. A splice of a list says
where (``at``), what went ``out`` and what came ``in``; one of a single value has no ``at``. The splices of one edit
stand in order, each counted in the list as the ones before it left it.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

Document = Mapping[str, Any]
Splice = dict[str, Any]

KEPT_EMPTY = frozenset(("stages", "rules"))
"""Lists that a protocol's record names even when they hold nothing."""


def splices(before: Document, after: Document) -> list[Splice]:
    """What turns ``before`` into ``after``."""
    found: list[Splice] = []
    for part in dict.fromkeys((*before, *after)):
        was, now = before.get(part), after.get(part)
        if was == now:
            continue
        if isinstance(was, list | None) and isinstance(now, list | None):
            found += _of_lists(part, was or [], now or [])
        else:
            found.append({"part": part, "out": was, "in": now})
    return found


def applied(document: Document, edits: Iterable[Splice]) -> dict[str, Any]:
    """The document after an edit. Raises ValueError when it is not the one the edit was made in."""
    result = dict(document)
    for splice in edits:
        part, out, put = splice["part"], splice["out"], splice["in"]
        if "at" in splice:
            rows = list(result.get(part, ()))
            end = splice["at"] + len(out)
            if rows[splice["at"] : end] != out:
                raise ValueError(f"{part} is not what the edit was made in")
            rows[splice["at"] : end] = put
            result[part] = rows
        else:
            if result.get(part) != out:
                raise ValueError(f"{part} is not what the edit was made in")
            result[part] = put
        if result[part] is None or (result[part] == [] and part not in KEPT_EMPTY):
            del result[part]
    return result


def reverse(edits: Sequence[Splice]) -> list[Splice]:
    """What takes an edit back."""
    return [splice | {"out": splice["in"], "in": splice["out"]} for splice in reversed(edits)]


def _of_lists(part: str, was: list[Any], now: list[Any]) -> Iterable[Splice]:
    first = 0
    while first < min(len(was), len(now)) and was[first] == now[first]:
        first += 1
    last = 0
    while last < min(len(was), len(now)) - first and was[-1 - last] == now[-1 - last]:
        last += 1
    old, new = was[first : len(was) - last], now[first : len(now) - last]
    matcher = SequenceMatcher(None, *([_text(row) for row in rows] for rows in (old, new)), autojunk=False)
    shift = first
    for tag, from_old, to_old, from_new, to_new in matcher.get_opcodes():
        if tag != "equal":
            out, put = old[from_old:to_old], new[from_new:to_new]
            yield {"part": part, "at": from_old + shift, "out": out, "in": put}
            shift += len(put) - len(out)


def _text(row: Any) -> str:
    return json.dumps(row, sort_keys=True)
