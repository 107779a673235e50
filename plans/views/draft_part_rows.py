"""What a draft says besides its table, as rows of a page, each with the gaps it is about."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System
from plans.domain.book import Food, Protocol
from plans.domain.draft_parts import Document, Row
from plans.domain.gaps import Gap, Part
from plans.views.change_words import say_gap
from plans.views.protocol_rows import challenge_rows, modifier_row, titles_of

MOST_SAID = 4
TITLE_NEW = {
    "stage": gettext_lazy("Add a stage"),
    "modifier": gettext_lazy("Add a modifier"),
    "challenge": gettext_lazy("Add a planned introduction"),
    "lead_in": gettext_lazy("Add a lead-in task"),
}
TITLE_CHANGE = {
    "stage": gettext_lazy("Change a stage"),
    "modifier": gettext_lazy("Change a modifier"),
    "challenge": gettext_lazy("Change a planned introduction"),
    "lead_in": gettext_lazy("Change a lead-in task"),
}
TITLE_REMOVE = {
    "stage": gettext_lazy("Remove a stage"),
    "modifier": gettext_lazy("Remove a modifier"),
    "challenge": gettext_lazy("Remove a planned introduction"),
    "lead_in": gettext_lazy("Remove a lead-in task"),
}


def parts_rows(
    held: Protocol, foods: Mapping[str, Food], system: System, found: Iterable[Gap]
) -> dict[str, list[dict[str, Any]]]:
    """Every part's rows in the order of the document, so that a row's place is its number."""
    beside = _gaps_beside(found, held, foods)

    def placed(noun: str, rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
        return [
            {**row, "place": place, **_gaps_shown(beside.get((noun, place - 1), ()))}
            for place, row in enumerate(rows, start=1)
        ]

    return {
        "stages": placed("stage", ({"stage": stage} for stage in held.stages)),
        "modifiers": placed("modifier", (modifier_row(modifier, foods) for modifier in held.modifiers)),
        "challenges": placed("challenge", challenge_rows(held, foods, system)),
        "lead_in": placed(
            "lead_in",
            (
                {"task": task, "food": _food_name(task.food, foods), "after": titles_of(task, held.lead_in)}
                for task in held.lead_in
            ),
        ),
    }


def goes_with(document: Document, key: str, foods: Mapping[str, Food]) -> dict[str, list[str]]:
    """What stands or falls with a stage: what its rows are about, and its challenges by title."""
    rules = [row for row in document["rules"] if row["stage"] == key]
    return {
        "targets": sorted((_target_name(row, foods) for row in rules), key=str.casefold),
        "challenges": [row["title"] for row in document.get("challenges", ()) if row["stage"] == key],
    }


def _gaps_beside(
    found: Iterable[Gap], held: Protocol, foods: Mapping[str, Food]
) -> dict[tuple[str, int], list[dict[str, Any]]]:
    """Gaps by the part and place they are about. Mistakes in the table are said at their stage."""
    places = {stage.key: place for place, stage in enumerate(held.stages)}
    beside: dict[tuple[str, int], list[dict[str, Any]]] = {}
    for gap in found:
        in_table = gap.part is Part.RULE
        if in_table and not gap.is_mistake:
            continue
        at = (Part.STAGE.value, places[gap.stage]) if in_table else (gap.part.value, gap.index)
        line = {"said": say_gap(gap, held, foods), "is_mistake": gap.is_mistake, "in_table": in_table}
        beside.setdefault(at, []).append(line)
    return beside


def _gaps_shown(lines: Iterable[dict[str, Any]]) -> dict[str, Any]:
    ordered = sorted(lines, key=lambda line: not line["is_mistake"])
    return {
        "gaps": ordered[:MOST_SAID],
        "more_gaps": max(0, len(ordered) - MOST_SAID),
        "has_gaps_in_table": any(line["in_table"] for line in ordered),
    }


def _target_name(rule: Row, foods: Mapping[str, Food]) -> str:
    return _("all %(name)s") % {"name": rule["group"]} if "group" in rule else _food_name(rule["food"], foods)


def _food_name(key: str, foods: Mapping[str, Food]) -> str:
    return foods[key].name if key in foods else key
