"""Checks that look across the rows of a file, and from a file into the book."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from coaching.domain.units import MASS, VOLUME
from plans.domain.filing.csv_reader import Row
from plans.domain.filing.findings import Findings
from plans.domain.filing.lookup import FoodLookup
from plans.domain.filing.tree import Place
from plans.domain.quantities import grams
from plans.domain.records import quantity_of

POURED_OR_WEIGHED = (*MASS, *VOLUME)


def columns(rows: Sequence[Row], known: Collection[str], findings: Findings) -> None:
    """Every filled column is one the file may have."""
    lines: dict[str, int] = {}
    for row in rows:
        for column in row.cells:
            lines.setdefault(column, row.line)
    for column in lines.keys() - set(known):
        fix = findings.did_you_mean(column, known, f"Delete it. Known columns: {', '.join(known)}.")
        findings.add(Place((column[:80],)), "There is no such column.", fix, line=lines[column])


def only_on_first_row(row: Row, names: Collection[str], findings: Findings) -> None:
    """These cells are blank on all rows but the first of their record."""
    for name in names:
        if name in row.cells:
            message = "This belongs on the first row only."
            findings.add(Place((name,)), message, "Empty this cell.", line=row.line)


def unique(rows: Sequence[Mapping[str, Any]], noun: str, findings: Findings, name: str = "key") -> None:
    """No two rows share their key."""
    first: dict[str, int] = {}
    for at, row in enumerate(rows, start=1):
        if name not in row:
            continue
        earlier = first.setdefault(row[name], at)
        if earlier != at:
            line = findings.line_of(Place((f"{noun} {earlier}",)) / name)
            message = f"“{row[name]}” is the {name} of {noun} {earlier} as well (line {line})."
            findings.add(Place((f"{noun} {at}",)) / name, message, "Give one of the two another key.")


def known_food(food: str, where: Place, lookup: FoodLookup, findings: Findings) -> bool:
    """The food is in the book; if not, the nearest one is suggested."""
    if food in lookup:
        return True
    named = lookup.named(food)
    otherwise = "Add the food to the book first, or name another."
    fix = f"Write {named}." if named else findings.did_you_mean(food, lookup.foods, otherwise)
    findings.add(where, f"There is no food “{food[:80]}”.", fix)
    return False


def known_group(group: str, where: Place, lookup: FoodLookup, findings: Findings) -> None:
    """Some food of the book is in the group."""
    if group not in lookup.groups:
        fix = findings.did_you_mean(
            group, lookup.groups, "Give a food this group first, or name another group."
        )
        findings.add(where, f"No food is in a group “{group[:80]}”.", fix)


def weighable(quantity: str, food: str, where: Place, lookup: FoodLookup, findings: Findings) -> None:
    """The amount can be turned into grams of the food."""
    value, unit = quantity_of(quantity)
    if grams(value, unit, lookup.foods[food]) is None:
        findings.add(where, *_unweighable(unit, food))


def _unweighable(unit: str, food: str) -> tuple[str, str]:
    if unit in VOLUME:
        return (
            f"The book does not say what a {unit} of “{food}” weighs.",
            "Give grams, or add its density to the food.",
        )
    fix = f"Give grams, or add {unit} to the unit_weights of the food."
    return f"The book does not say what one {unit} of “{food}” weighs.", fix


def poured_or_weighed(quantity: str, where: Place, findings: Findings) -> None:
    """The unit is a mass or a volume."""
    unit = quantity_of(quantity)[1]
    if unit not in POURED_OR_WEIGHED:
        otherwise = f"Use one of: {', '.join(POURED_OR_WEIGHED)}."
        fix = findings.did_you_mean(unit, POURED_OR_WEIGHED, otherwise)
        findings.add(where, f"“{unit[:80]}” is neither a mass nor a volume.", fix)
