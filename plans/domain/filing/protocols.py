"""Protocol files, ``ladlework/protocol/1``: read with every problem named, written so that reading gives the same."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from coaching.domain.errors import Problem
from plans.domain.book import Food, Protocol
from plans.domain.filing import checks
from plans.domain.filing.csv_reader import Row, split
from plans.domain.filing.fields import (
    MOST_DAYS,
    Field,
    form,
    key,
    listed,
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
from plans.domain.filing.protocol_checks import check_protocol, check_row
from plans.domain.filing.tree import Fields, Items, Node, Place, Text, tree_of
from plans.domain.filing.writing import cell_of, csv_text, yaml_text
from plans.domain.records import protocol_from_record, protocol_record
from plans.domain.vocabulary import CONDITIONS, LEAD_IN_KINDS, Allowance

SCHEMA = "ladlework/protocol/1"

_ALLOWANCES = tuple(allowance.word for allowance in Allowance)
_DAYS = whole(0, MOST_DAYS)
_DAYS_AND_MORE = whole(1, MOST_DAYS)
MOST_WAIT_H = 24 * 365
"""The longest a lead-in task may wait: a year."""
_HEAD: Mapping[str, Field] = {
    "schema": text(),
    "key": key().needed,
    "title": text(160).needed,
    "summary": text().needed,
    "source": text().needed,
    "dietitian": truth(),
    "caution": text(),
}
_STAGE: Mapping[str, Field] = {
    "key": key().needed,
    "title": text(120).needed,
    "aim": text().needed,
    "least_days": _DAYS_AND_MORE.needed,
    "usual_days": _DAYS_AND_MORE.needed,
    "most_days": _DAYS_AND_MORE,
    "moving_on": listed(text()),
}
_RULE: Mapping[str, Field] = {
    "food": text(80),
    "group": text(80),
    "stage": text(80).needed,
    "allowance": word(_ALLOWANCES).needed,
    "forms": listed(form(), once=True),
    "start": quantity(),
    "step": quantity(),
    "every_days": _DAYS_AND_MORE,
    "most": quantity(),
    "note": text(),
}
_MODIFIER: Mapping[str, Field] = {
    "when": word(CONDITIONS).needed,
    "food": text(80),
    "group": text(80),
    "all": truth(),
    "require": form(),
    "allowance": word(_ALLOWANCES),
    "note": text(),
}
_CHALLENGE: Mapping[str, Field] = {
    "key": key().needed,
    "title": text(120).needed,
    "food": text(80).needed,
    "form": form().needed,
    "stage": text(80).needed,
    "doses": listed(quantity(), least=1),
    "dose_days": _DAYS_AND_MORE.needed,
    "washout_days": _DAYS.needed,
    "note": text(),
}
_LEAD_IN: Mapping[str, Field] = {
    "key": key().needed,
    "title": text(160).needed,
    "kind": word(LEAD_IN_KINDS).needed,
    "days_before": _DAYS.needed,
    "at_least_days": _DAYS,
    "keeps_days": _DAYS,
    "hands_on_min": whole(0, 14_400),
    "food": text(80),
    "note": text(),
    "source": text(),
    "after": listed(text(80), once=True),
    "wait_least_h": whole(0, MOST_WAIT_H),
    "wait_most_h": whole(0, MOST_WAIT_H),
    "freezer_days": _DAYS,
    "needs": listed(text(80), once=True),
    "makes": listed(text(80), once=True),
    "buy_instead": text(),
}
_PARTS: Mapping[str, tuple[str, Mapping[str, Field]]] = {
    "stage": ("stages", _STAGE),
    "rule": ("rules", _RULE),
    "modifier": ("modifiers", _MODIFIER),
    "challenge": ("challenges", _CHALLENGE),
    "lead_in": ("lead_in", _LEAD_IN),
}
"""By the word in the ``record`` column: the list it belongs to, and its fields."""
_FILE = record(
    {
        **_HEAD,
        "stages": records("stage", record(_STAGE), least=1),
        "rules": records("rule", record(_RULE), least=1),
        "modifiers": records("modifier", record(_MODIFIER)),
        "challenges": records("challenge", record(_CHALLENGE)),
        "lead_in": records("lead-in task", record(_LEAD_IN)),
    }
)
_COLUMNS = ("record", *dict.fromkeys((*_HEAD, *(name for _, fields in _PARTS.values() for name in fields))))


def read_protocol(
    content: str, filename: str, foods: Iterable[Food]
) -> tuple[Protocol | None, tuple[Problem, ...]]:
    """The protocol of a file and all its problems; no protocol when there is one. ``foods`` are the book's."""
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
    check_protocol(values, FoodLookup(foods), findings)
    problems = findings.problems()
    return (None, problems) if problems else (protocol_from_record(values), ())


def protocol_problems(protocol: Protocol, foods: Iterable[Food]) -> tuple[Problem, ...]:
    """What a file of this protocol would be refused for; problems have no line."""
    findings = Findings()
    check_protocol(
        _FILE.read(tree_of(protocol_record(protocol)), Place(), findings), FoodLookup(foods), findings
    )
    return findings.problems()


def read_row(
    noun: str, values: Mapping[str, Any], stages: Collection[str], foods: Iterable[Food]
) -> tuple[dict[str, Any] | None, tuple[Problem, ...]]:
    """One row of a protocol as its record, from typed values named as in a file; lists are typed as in a CSV cell.

    ``noun`` is the word of the ``record`` column; ``stages`` are the keys of the protocol's stages in order. Problems
    have no line and name fields such as ``start``.
    """
    fields = _PARTS[noun][1]
    findings = Findings()
    filled = Row(0, {name: str(value).strip() for name, value in values.items() if str(value).strip()})
    row = record(fields).read(_filled(filled, fields, noun, findings), Place(), findings)
    check_row(noun, row, stages, FoodLookup(foods), findings)
    problems = findings.problems()
    return (None, problems) if problems else (row, ())


def read_head(values: Mapping[str, Any]) -> tuple[dict[str, Any] | None, tuple[Problem, ...]]:
    """What a protocol says of itself (key, title, summary, source, dietitian, caution), as ``read_row`` reads rows."""
    findings = Findings()
    filled = Row(0, {name: str(value).strip() for name, value in values.items() if str(value).strip()})
    head = record(_HEAD).read(_filled(filled, _HEAD, "protocol", findings), Place(), findings)
    problems = findings.problems()
    return (None, problems) if problems else (head, ())


def row_cells(noun: str, row: Mapping[str, Any]) -> dict[str, str]:
    """A row's record as text for a form to show, every field of its kind; the inverse of ``read_row``."""
    return {name: cell_of(row[name]) if name in row else "" for name in _PARTS[noun][1]}


def protocol_yaml(protocol: Protocol) -> str:
    """A protocol file as YAML."""
    return yaml_text({"schema": SCHEMA} | protocol_record(protocol))


def protocol_csv(protocol: Protocol) -> str:
    """A protocol file as CSV: one row a stage, rule, modifier, challenge and lead-in task."""
    held = protocol_record(protocol)
    head = {name: cell_of(value) for name, value in held.items() if name in _HEAD}
    rows = [{"record": "protocol", "schema": SCHEMA} | head]
    for noun, (plural, _) in _PARTS.items():
        rows += [
            {"record": noun} | {name: cell_of(value) for name, value in row.items()}
            for row in held.get(plural, ())
        ]
    return csv_text(_COLUMNS, rows)


def _tree(rows: tuple[Row, ...], findings: Findings) -> Fields:
    checks.columns(rows, _COLUMNS, findings)
    head: list[tuple[Text, Node]] = []
    parts: dict[str, list[Fields]] = {plural: [] for plural, _ in _PARTS.values()}
    for at, row in enumerate(rows):
        noun = row.cells.get("record", "").lower().replace("-", "_").replace(" ", "_")
        if noun == "protocol":
            if at:
                message = "The protocol row stands first, and once."
                findings.add(Place(("record",)), message, "Move it up, or delete it.", line=row.line)
            else:
                head = list(_filled(row, _HEAD, noun, findings).pairs)
        elif noun in _PARTS:
            plural, fields = _PARTS[noun]
            parts[plural].append(_filled(row, fields, noun, findings))
        else:
            known = ("protocol", *_PARTS)
            fix = findings.did_you_mean(noun, known, f"Write one of: {', '.join(known)}.")
            said = f"“{noun[:80]}” is not a kind of row." if noun else "The kind of row is missing."
            findings.add(Place(("record",)), said, fix, line=row.line)
    if not head:
        findings.add(
            Place(("record",)),
            "The protocol row is missing.",
            "Begin with a row whose record is protocol and whose schema is ladlework/protocol/1.",
            line=rows[0].line if rows else 1,
        )
    line = rows[0].line if rows else 1
    lists = [
        (Text(found[0].line, plural), Items(found[0].line, tuple(found)))
        for plural, found in parts.items()
        if found
    ]
    return Fields(line, (*head, *lists))


def _filled(row: Row, fields: Mapping[str, Field], noun: str, findings: Findings) -> Fields:
    pairs: list[tuple[Text, Node]] = []
    for column, cell in row.cells.items():
        held = Text(row.line, cell)
        if column in fields:
            pairs.append((Text(row.line, column), split(held) if fields[column].shape == "list" else held))
        elif column != "record" and column in _COLUMNS:
            message = f"A {noun.replace('_', '-')} row has no {column}."
            findings.add(
                Place((column,)), message, "Empty this cell, or move it to its own column.", line=row.line
            )
    return Fields(row.line, tuple(pairs))
