"""What does not fit together in a protocol, or does not fit the book it is written for."""

from collections.abc import Collection
from itertools import pairwise
from typing import Any

from plans.domain.filing import checks
from plans.domain.filing.findings import Findings
from plans.domain.filing.lookup import FoodLookup
from plans.domain.filing.tree import Place
from plans.domain.quantities import grams
from plans.domain.records import quantity_of
from plans.domain.vocabulary import Allowance

Row = dict[str, Any]

_TASTE_FIELDS = ("start", "step", "every_days", "most")


def check_protocol(values: Row, lookup: FoodLookup, findings: Findings) -> None:
    """Note every problem across the rows of a protocol; ``values`` may lack what could not be read."""
    stages = values.get("stages") or []
    order = {row["key"]: place for place, row in reversed(list(enumerate(stages))) if "key" in row}
    rules = values.get("rules") or []
    checks.unique(stages, "stage", findings)
    for at, row in enumerate(stages, start=1):
        _check_days(row, Place((f"stage {at}",)), findings)
    for at, row in enumerate(rules, start=1):
        _check_rule(row, Place((f"rule {at}",)), order, lookup, findings)
    _check_order(rules, order, findings)
    for at, row in enumerate(values.get("modifiers") or [], start=1):
        _check_modifier(row, Place((f"modifier {at}",)), lookup, findings)
    _check_challenges(values.get("challenges") or [], order, lookup, findings)
    _check_lead_in(values.get("lead_in") or [], lookup, findings)


def check_row(noun: str, row: Row, stages: Collection[str], lookup: FoodLookup, findings: Findings) -> None:
    """Note every problem of one row that stands alone: a stage, rule, modifier, challenge or lead-in task."""
    order = {key: place for place, key in enumerate(stages)}
    where = Place()
    match noun:
        case "stage":
            _check_days(row, where, findings)
        case "rule":
            _check_rule(row, where, order, lookup, findings)
        case "modifier":
            _check_modifier(row, where, lookup, findings)
        case "challenge":
            _check_challenge(row, where, order, lookup, findings)
        case "lead_in":
            _check_task(row, where, lookup, findings)


def _check_days(row: Row, where: Place, findings: Findings) -> None:
    least, usual, most = row.get("least_days"), row.get("usual_days"), row.get("most_days")
    if least and usual and least > usual:
        message = f"The usual days ({usual}) are fewer than the least days ({least})."
        findings.add(where / "usual_days", message, f"Write {least} or more.")
    if usual and most and usual > most:
        message = f"The most days ({most}) are fewer than the usual days ({usual})."
        findings.add(where / "most_days", message, f"Write {usual} or more.")


def _check_rule(
    row: Row, where: Place, order: dict[str, int], lookup: FoodLookup, findings: Findings
) -> None:
    _check_target(row, ("food", "group"), where, lookup, findings)
    _check_stage(row, where, order, findings)
    allowance = row.get("allowance")
    if allowance == Allowance.AS_PREPARED.word and not findings.was_given(where / "forms"):
        message = "“as prepared” needs the forms the food is prepared in."
        findings.add(where / "forms", message, "Add forms, such as [boiled + peeled], or write freely.")
    if allowance == Allowance.FIRST_TASTES.word:
        _check_taste(row, where, lookup, findings)
    elif allowance:
        for name in _TASTE_FIELDS:
            if name in row:
                message = f"“{name}” belongs to first tastes only, and this row says “{allowance}”."
                findings.add(where / name, message, f"Delete {name}, or write allowance: first tastes.")


def _check_taste(row: Row, where: Place, lookup: FoodLookup, findings: Findings) -> None:
    if not findings.was_given(where / "start"):
        findings.add(where / "start", "First tastes need an amount to start with.", "Add start, such as 5 g.")
    growth = [name for name in ("step", "every_days") if findings.was_given(where / name)]
    if len(growth) == 1:
        missing = "every_days" if growth == ["step"] else "step"
        message = "step and every_days say together how first tastes grow."
        findings.add(where / missing, message, f"Add {missing}, or delete the other.")
    food = lookup.foods.get(row.get("food", ""))
    for name in ("start", "step", "most"):
        if name in row and food:
            checks.weighable(row[name], food.key, where / name, lookup, findings)
        elif name in row:
            checks.poured_or_weighed(row[name], where / name, findings)
    if food and "start" in row and "most" in row:
        start, most = (grams(*quantity_of(row[name]), food) for name in ("start", "most"))
        if start is not None and most is not None and start > most:
            message = f"The most ({row['most']}) is less than the start ({row['start']})."
            findings.add(where / "most", message, f"Write {row['start']} or more.")


def _check_order(rules: list[Row], order: dict[str, int], findings: Findings) -> None:
    """One row a target and stage; from stage to stage a target opens further, and never closes."""
    last: dict[tuple[str, str], list[tuple[int, int, int]]] = {}
    for at, row in enumerate(rules, start=1):
        kind = "food" if "food" in row else "group"
        target = row.get(kind)
        if target and row.get("stage") in order and row.get("allowance"):
            opened = Allowance.from_word(row["allowance"])
            last.setdefault((kind, target), []).append((order[row["stage"]], at, opened))
    for (_, target), found in last.items():
        found.sort()
        for (stage, earlier, before), (next_stage, at, after) in pairwise(found):
            where = Place((f"rule {at}",))
            line = findings.line_of(Place((f"rule {earlier}",)))
            if stage == next_stage:
                message = f"“{target}” has a row for this stage already, in line {line}."
                findings.add(where / "stage", message, "Keep one of the two rows.")
            elif after < before:
                message = f"“{target}” is stricter here than in its earlier stage, in line {line}."
                fix = "Stages open foods and never close them; for a while of more care, use a modifier."
                findings.add(where / "allowance", message, fix)


def _check_modifier(row: Row, where: Place, lookup: FoodLookup, findings: Findings) -> None:
    _check_target(row, ("food", "group", "all"), where, lookup, findings)
    if not any(findings.was_given(where / name) for name in ("require", "allowance")):
        message = "A modifier demands something."
        findings.add(where / "require", message, "Add require, such as peeled, or a stricter allowance.")


def _check_challenges(rows: list[Row], order: dict[str, int], lookup: FoodLookup, findings: Findings) -> None:
    checks.unique(rows, "challenge", findings)
    for at, row in enumerate(rows, start=1):
        _check_challenge(row, Place((f"challenge {at}",)), order, lookup, findings)


def _check_challenge(
    row: Row, where: Place, order: dict[str, int], lookup: FoodLookup, findings: Findings
) -> None:
    _check_stage(row, where, order, findings)
    known = "food" in row and checks.known_food(row["food"], where / "food", lookup, findings)
    for dose in row.get("doses", ()) if known else ():
        checks.weighable(dose, row["food"], where / "doses", lookup, findings)


def _check_lead_in(rows: list[Row], lookup: FoodLookup, findings: Findings) -> None:
    checks.unique(rows, "lead-in task", findings)
    for at, row in enumerate(rows, start=1):
        _check_task(row, Place((f"lead-in task {at}",)), lookup, findings)
    _check_chains(rows, findings)


def _check_chains(rows: list[Row], findings: Findings) -> None:
    """Every task named in ``after`` is there, and no task comes after itself by any way round."""
    after = {row["key"]: list(row.get("after", ())) for row in rows if "key" in row}
    for at, row in enumerate(rows, start=1):
        where = Place((f"lead-in task {at}",)) / "after"
        for key in row.get("after", ()):
            if key not in after:
                fix = findings.did_you_mean(key, after, f"Use one of: {', '.join(after)}.")
                findings.add(where, f"There is no lead-in task “{key[:80]}”.", fix)
        if row.get("key") in _before(row.get("key", ""), after):
            findings.add(where, "The task comes after itself, by way of others.", "Take one of them out.")


def _before(key: str, after: dict[str, list[str]]) -> set[str]:
    """All tasks that come before one, however far."""
    found: set[str] = set()
    waiting = list(after.get(key, ()))
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting += after.get(one, ())
    return found


def _check_task(row: Row, where: Place, lookup: FoodLookup, findings: Findings) -> None:
    if "food" in row:
        checks.known_food(row["food"], where / "food", lookup, findings)
    for name in ("needs", "makes"):
        for food in row.get(name, ()):
            checks.known_food(food, where / name, lookup, findings)
    least, most = row.get("wait_least_h", 0), row.get("wait_most_h")
    if most is not None and least > most:
        message = f"The longest wait ({most} hours) is shorter than the shortest ({least} hours)."
        findings.add(where / "wait_most_h", message, f"Write {least} or more.")
    if row.get("at_least_days", 0) > row.get("days_before", row.get("at_least_days", 0)):
        message = f"The task is due {row['days_before']} days before, later than its own limit allows."
        findings.add(where / "days_before", message, f"Write {row['at_least_days']} or more.")


def _check_target(
    row: Row, names: Collection[str], where: Place, lookup: FoodLookup, findings: Findings
) -> None:
    named = [name for name in names if findings.was_given(where / name) and row.get(name) is not False]
    if len(named) != 1:
        said = "names nothing" if not named else f"names {' and '.join(named)}"
        fix = f"Give exactly one of: {', '.join(names)}."
        findings.add(where / (named or list(names))[-1], f"The row {said} it is about.", fix)
    if row.get("food"):
        checks.known_food(row["food"], where / "food", lookup, findings)
    if row.get("group"):
        checks.known_group(row["group"], where / "group", lookup, findings)


def _check_stage(row: Row, where: Place, order: dict[str, int], findings: Findings) -> None:
    stage = row.get("stage")
    if stage and stage not in order:
        fix = findings.did_you_mean(
            stage, order, f"Use one of: {', '.join(order)}." if order else "Add the stage."
        )
        findings.add(where / "stage", f"There is no stage “{stage}”.", fix)
