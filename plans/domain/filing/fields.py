"""The kinds of value a field may hold. Each reads a node, notes what is wrong with it and gives the value, or None.

Text is one paragraph: spaces and line breaks run together into one space, as on the printed sheet. Numbers keep the
digits that were typed, at most four after the point, so that they survive storing.
"""

import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from plans.domain.filing.findings import Findings, one_of
from plans.domain.filing.tree import Fields, Items, Node, Place, Text
from plans.domain.records import form_of, form_text, quantity_text
from plans.domain.vocabulary import COOKING, FORM_WORDS, HANDLING

MOST_TEXT = 2_000
MOST_ROWS = 5_000
MOST_AMOUNT = Decimal(1_000_000)
MOST_DAYS = 3_650

_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_NUMBER = re.compile(r"-?\d{1,9}(\.\d{1,4})?")
_QUANTITY = re.compile(r"(\S*?\d\S*?)\s*([^\W\d_][\w-]*)?")
_TRUTHS = {"true": True, "yes": True, "false": False, "no": False}

Value = Any
Reader = Callable[[Node, Place, Findings], Value | None]


@dataclass(frozen=True, slots=True)
class Field:
    """How one field is read. ``shape`` says how a CSV cell holds it: ``text``, ``list`` or ``mapping``."""

    read: Reader
    shape: str = "text"
    required: bool = False
    hint: str = ""

    @property
    def needed(self) -> "Field":
        """The same field, which may not be left out."""
        return Field(self.read, self.shape, True, self.hint)


def text(most: int = MOST_TEXT) -> Field:
    """One paragraph of plain text."""

    def read(node: Node, where: Place, findings: Findings) -> str | None:
        typed = _plain(node, where, findings)
        if typed is not None and len(typed) > most:
            findings.add(
                where, f"The text has {len(typed)} characters.", f"Shorten it to {most}.", line=node.line
            )
            return None
        return typed

    return Field(read, hint="Write it as plain text.")


def key() -> Field:
    """A name for the machine, such as ``bone-broth``."""

    def read(node: Node, where: Place, findings: Findings) -> str | None:
        typed = _plain(node, where, findings)
        if typed is None:
            return None
        if not _KEY.fullmatch(typed) or len(typed) > 80:
            better = re.sub(r"[^a-z0-9]+", "-", typed.lower()).strip("-")[:80]
            fix = f"Write {better}." if better else "Use lower-case letters a to z, digits and hyphens."
            message = f"“{typed[:80]}” is not a key: lower-case letters, digits and hyphens, at most 80."
            findings.add(where, message, fix, line=node.line)
            return None
        return typed

    return Field(read, hint="Write lower-case words joined by hyphens, such as bone-broth.")


def word(words: Collection[str]) -> Field:
    """One of a closed list of words."""

    def read(node: Node, where: Place, findings: Findings) -> str | None:
        typed = _plain(node, where, findings)
        if typed is None or typed in words:
            return typed
        fix = findings.did_you_mean(typed, words, one_of(words))
        findings.add(where, f"“{typed[:80]}” is not a word used here.", fix, line=node.line)
        return None

    return Field(read, hint=one_of(words))


def number(least: Decimal | int, most: Decimal | int, *, above: bool = False) -> Field:
    """A decimal number from ``least`` (or above it) to ``most``."""
    span = f"{'above' if above else 'from'} {least} {'and up ' if above else ''}to {most}"

    def read(node: Node, where: Place, findings: Findings) -> Decimal | None:
        typed = _plain(node, where, findings)
        value = None if typed is None else _number(typed, where, findings, node.line)
        if value is None:
            return None
        if not least <= value <= most or (above and value == least):
            findings.add(where, f"{typed} is out of range.", f"Write a number {span}.", line=node.line)
            return None
        return value

    return Field(read, hint=f"Write a number {span}.")


def whole(least: int, most: int) -> Field:
    """A whole number from ``least`` to ``most``."""

    def read(node: Node, where: Place, findings: Findings) -> int | None:
        value = number(least, most).read(node, where, findings)
        if value is not None and value != value.to_integral_value():
            findings.add(where, f"{value} is not a whole number.", f"Write {round(value)}.", line=node.line)
            return None
        return None if value is None else int(value)

    return Field(read, hint=f"Write a whole number from {least} to {most}.")


def truth() -> Field:
    """``true`` or ``false``."""

    def read(node: Node, where: Place, findings: Findings) -> bool | None:
        typed = _plain(node, where, findings)
        if typed is not None and typed.lower() not in _TRUTHS:
            findings.add(
                where, f"“{typed[:80]}” is neither true nor false.", "Write true or false.", line=node.line
            )
            return None
        return None if typed is None else _TRUTHS[typed.lower()]

    return Field(read, hint="Write true or false.")


def quantity() -> Field:
    """An amount with its unit, such as ``400 ml``. Which units fit is checked where the food is known."""
    hint = "Write a number and a unit, such as 400 ml."

    def read(node: Node, where: Place, findings: Findings) -> str | None:
        typed = _plain(node, where, findings)
        if typed is None:
            return None
        parts = _QUANTITY.fullmatch(typed)
        if not parts or not parts[2]:
            findings.add(where, f"“{typed[:80]}” is not an amount with a unit.", hint, line=node.line)
            return None
        value = _number(parts[1], where, findings, node.line)
        if value is None:
            return None
        if not 0 < value <= MOST_AMOUNT:
            findings.add(where, f"{parts[1]} is out of range.", "Write an amount above 0.", line=node.line)
            return None
        return quantity_text((value, parts[2]))

    return Field(read, hint=hint)


def form() -> Field:
    """A preparation: words of the vocabulary joined by ``+``."""
    hint = f"Join words by +: {', '.join(COOKING + HANDLING)}."

    def read(node: Node, where: Place, findings: Findings) -> str | None:
        typed = _plain(node, where, findings)
        if typed is None:
            return None
        words = form_of(typed)
        for unknown in sorted(words - FORM_WORDS):
            fix = findings.did_you_mean(unknown, FORM_WORDS, hint)
            findings.add(where, f"“{unknown[:80]}” is not a preparation.", fix, line=node.line)
        if not words:
            findings.add(where, "A preparation is missing.", hint, line=node.line)
        return form_text(words) if words and words <= FORM_WORDS else None

    return Field(read, hint=hint)


def listed(item: Field, *, least: int = 0, most: int = 50, once: bool = False) -> Field:
    """A list of values of one kind; ``once`` refuses repeats. A single value counts as a list of one."""

    def read(node: Node, where: Place, findings: Findings) -> list[Value] | None:
        if isinstance(node, Fields):
            findings.add(where, "A list is expected here.", "Write it as [one, two].", line=node.line)
            return None
        nodes = (node,) if isinstance(node, Text) else node.items
        if not least <= len(nodes) <= most:
            findings.add(
                where,
                f"The list holds {len(nodes)} items.",
                f"Keep from {least} to {most} of them.",
                line=node.line,
            )
            return None
        values = [item.read(part, where, findings) for part in nodes]
        found = [value for value in values if value is not None]
        if once:
            for repeated in sorted({str(value) for value in found if found.count(value) > 1}):
                findings.add(
                    where,
                    f"“{repeated[:80]}” is in this list twice.",
                    "Delete one of the two.",
                    line=node.line,
                )
        return found if len(found) == len(values) else None

    return Field(read, shape="list", required=least > 0, hint=item.hint)


def mapping(name: Field, value: Field, *, most: int = 50) -> Field:
    """Names with a value each, such as ``{piece: 61, cup: 128}``."""

    def read(node: Node, where: Place, findings: Findings) -> dict[str, Value] | None:
        if isinstance(node, Text) and not node.text.strip():
            return {}
        if not isinstance(node, Fields) or len(node.pairs) > most:
            message = "Names with a value each are expected here."
            findings.add(where, message, "Write it as {piece: 61, cup: 128}.", line=node.line)
            return None
        pairs = [
            (name.read(typed, where, findings), value.read(held, where / typed.text[:80], findings))
            for typed, held in node.pairs
        ]
        return dict(pairs) if all(None not in pair for pair in pairs) else None

    return Field(read, shape="mapping", hint="Write it as {piece: 61, cup: 128}.")


def record(fields: Mapping[str, Field]) -> Field:
    """Named fields. Gives what could be read, so that checks across a file can still look at it."""

    def read(node: Node, where: Place, findings: Findings) -> dict[str, Value]:
        findings.read_at(where, node.line)
        if not isinstance(node, Fields):
            fix = f"Write fields such as {next(iter(fields))}: …"
            findings.add(where, "Fields with their names are expected here.", fix, line=node.line)
            return {}
        values = {}
        typed_at: dict[str, int] = {}
        for typed, held in node.pairs:
            name = typed.text.strip()
            if name not in fields:
                fix = findings.did_you_mean(name, fields, f"Delete it. Known fields: {', '.join(fields)}.")
                findings.add(where / name[:80], "There is no such field.", fix, line=typed.line)
                continue
            typed_at[name] = typed.line
            if not _is_blank(held):
                findings.read_at(where / name, typed.line)
                value = fields[name].read(held, where / name, findings)
                if value is not None:
                    values[name] = value
        for name, field in fields.items():
            if field.required and not findings.was_given(where / name):
                line = typed_at.get(name, node.line)
                findings.add(where / name, "This field is missing.", field.hint, line=line)
        return values

    return Field(read, shape="mapping")


def records(noun: str, item: Field, *, least: int = 0) -> Field:
    """A list of records, called ``noun`` and their number where they are named."""

    def read(node: Node, where: Place, findings: Findings) -> list[dict[str, Value]] | None:
        if not isinstance(node, Items):
            findings.add(where, "A list is expected here.", f"Begin each {noun} with a dash.", line=node.line)
            return None
        if len(node.items) > MOST_ROWS:
            findings.add(where, f"There are {len(node.items)} rows.", f"Keep to {MOST_ROWS}.", line=node.line)
            return None
        outer = Place(where.path[:-1])
        found = [
            item.read(part, outer / f"{noun} {at}", findings) for at, part in enumerate(node.items, start=1)
        ]
        if len(found) < least:
            findings.add(where, f"There is no {noun}.", f"Add at least {least}.", line=node.line)
        return found

    return Field(read, shape="list", required=least > 0, hint=f"Add a list with at least one {noun}.")


def _is_blank(node: Node) -> bool:
    """Nothing stands here: no text, or brackets without anything in them."""
    return not (
        node.text.strip() if isinstance(node, Text) else node.items if isinstance(node, Items) else node.pairs
    )


def _plain(node: Node, where: Place, findings: Findings) -> str | None:
    """The text of a node as one paragraph; None, with the problem noted, for anything else."""
    if not isinstance(node, Text):
        findings.add(
            where, "A single value is expected here.", "Take the brackets or dashes away.", line=node.line
        )
        return None
    typed = " ".join(node.text.split())
    if not typed:
        findings.add(where, "The value is empty.", "Fill it in.", line=node.line)
    elif any(unicodedata.category(sign) in ("Cc", "Cs") for sign in typed):
        findings.add(where, "There is a character here that cannot be printed.", "Delete it.", line=node.line)
        return None
    return typed or None


def _number(typed: str, where: Place, findings: Findings, line: int) -> Decimal | None:
    if _NUMBER.fullmatch(typed) and typed.isascii():
        return Decimal(typed)
    pointed = typed.replace(",", ".")
    if "," in typed and _NUMBER.fullmatch(pointed):
        fix = f"Write the decimal point as a point: {pointed}."
    else:
        fix = "Write plain digits, with at most four after a decimal point."
    findings.add(where, f"“{typed[:80]}” is not a number read here.", fix, line=line)
    return None
