"""The panel beside the rules table: the chosen cells, the row to type for them, and the recipes it decides about."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.errors import Problem
from plans.domain.book import Food, Protocol, Recipe
from plans.domain.filing.protocols import row_cells
from plans.domain.fit import fit
from plans.domain.records import rule_record
from plans.domain.rulebook import RuleBook, stage_allowances
from plans.domain.table import FOOD, Cell
from plans.domain.vocabulary import COOKING, HANDLING, Allowance
from plans.views.draft_cells import SHORT, Sheet
from plans.wording import ALLOWANCE, ALLOWANCE_MEANS, FORM

TASTE = ("start", "step", "every_days", "most")
FIELDS = ("allowance", "forms", *TASTE, "note")
BELONGS = {
    Allowance.FLAVOUR_ONLY.word: frozenset(("allowance", "forms", "note")),
    Allowance.FIRST_TASTES.word: frozenset(FIELDS),
    Allowance.AS_PREPARED.word: frozenset(("allowance", "forms", "note")),
}
"""The fields a row with this allowance may have; any other allowance takes a note only."""
LABELS = {
    "forms": gettext_lazy("Forms"),
    "start": gettext_lazy("Starting amount"),
    "step": gettext_lazy("More each time"),
    "every_days": gettext_lazy("Every so many days"),
    "most": gettext_lazy("At most"),
    "note": gettext_lazy("Note"),
}
EXAMPLES = {
    "forms": gettext_lazy("boiled + peeled; pureed"),
    "start": gettext_lazy("5 g"),
    "step": gettext_lazy("5 g"),
    "every_days": gettext_lazy("2"),
    "most": gettext_lazy("30 g"),
}
MOST_LISTED = 12
MOST_RECIPES = 40


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What the recipes are weighed against: the foods, the recipes, and the version that is followed now, if any."""

    foods: Mapping[str, Food]
    recipes: Sequence[Recipe]
    published: Protocol | None


def allowance_choices() -> list[dict[str, Any]]:
    """The five allowances, strictest first, as buttons and radios show them."""
    return [
        {
            "word": allowance.word,
            "key": int(allowance),
            "name": ALLOWANCE[allowance],
            "means": ALLOWANCE_MEANS[allowance],
            "short": SHORT[allowance],
        }
        for allowance in Allowance
    ]


def panel_context(
    cells: Sequence[Cell],
    sheet: Sheet,
    kitchen: Kitchen,
    *,
    typed: Mapping[str, str] | None = None,
    problems: Iterable[Problem] = (),
) -> dict[str, Any]:
    """All the panel shows. ``typed`` is what was handed in and refused, ``problems`` why."""
    shown, mixed = shown_values(cells)
    values = {name: (typed or {}).get(name, shown[name]) for name in FIELDS}
    by_field: dict[str, list[Problem]] = {}
    for problem in problems:
        by_field.setdefault(problem.field if problem.field in FIELDS else "", []).append(problem)
    return {
        "title": _title(cells, sheet),
        "cells": [cell.id for cell in cells],
        "one": cells[0] if len(cells) == 1 else None,
        "sentences": [sheet.said(cell) for cell in cells[:MOST_LISTED]],
        "more_cells": max(0, len(cells) - MOST_LISTED),
        "held_note": cells[0].holds.note if len(cells) == 1 and cells[0].holds else "",
        "has_own": any(cell.own for cell in cells),
        "choices": allowance_choices(),
        "values": values,
        "shown": shown,
        "mixed": mixed,
        "fields": [
            {
                "name": name,
                "label": LABELS[name],
                "value": values[name],
                "is_mixed": name in mixed,
                "example": EXAMPLES.get(name, ""),
                "problems": by_field.get(name, ()),
            }
            for name in FIELDS
            if name != "allowance"
        ],
        "allowance_problems": by_field.get("allowance", ()),
        "other_problems": by_field.get("", ()),
        "cooking": [{"word": word, "said": FORM[word]} for word in COOKING],
        "handling": [{"word": word, "said": FORM[word]} for word in HANDLING],
        **_recipes(cells, sheet, kitchen),
    }


def shown_values(cells: Sequence[Cell]) -> tuple[dict[str, str], frozenset[str]]:
    """What holds in all the cells, field by field, as it is typed in a file; and the fields in which they differ."""
    held = [row_cells("rule", rule_record(cell.holds)) if cell.holds else {} for cell in cells]
    found = {name: {row.get(name, "") for row in held} for name in FIELDS}
    shown = {name: values.pop() if len(values) == 1 else "" for name, values in found.items()}
    return shown, frozenset(name for name, values in found.items() if values)


def typed_values(posted: Mapping[str, str]) -> dict[str, str]:
    """What the panel asks for: the fields that were changed and belong to the allowance that was chosen."""
    allowance = posted.get("allowance", "")
    belongs = BELONGS.get(allowance, frozenset(("allowance", "note")) if allowance else frozenset(FIELDS))
    return {
        name: posted[name].strip()
        for name in FIELDS
        if name in posted and name in belongs and posted[name].strip() != posted.get(f"shown-{name}")
    }


def _title(cells: Sequence[Cell], sheet: Sheet) -> str:
    if len(cells) > 1:
        return _("%(count)d cells") % {"count": len(cells)}
    facts = {
        "name": capfirst(sheet.table.name(cells[0].target)),
        "stage": sheet.table.protocol.stage(cells[0].stage).title,
    }
    return _("%(name)s at %(stage)s") % facts


def _recipes(cells: Sequence[Cell], sheet: Sheet, kitchen: Kitchen) -> dict[str, Any]:
    """The recipes with the chosen foods: where each becomes possible now, and where it did before, if that differs."""
    keys = _food_keys(cells, kitchen.foods)
    using = [recipe for recipe in kitchen.recipes if any(part.food in keys for part in recipe.ingredients)]
    if not using:
        return {"recipes": [], "recipe_count": 0, "more_recipes": 0}
    now = _first_stages(using, sheet.table.protocol, kitchen.foods)
    before = _first_stages(using, kitchen.published, kitchen.foods) if kitchen.published else now
    rows = [
        {
            "key": recipe.key,
            "title": recipe.title,
            "now": now[recipe.key],
            "before": before[recipe.key],
            "differs": now[recipe.key] != before[recipe.key],
        }
        for recipe in using
    ]
    rows.sort(key=lambda row: not row["differs"])
    return {
        "recipes": rows[:MOST_RECIPES],
        "recipe_count": len(rows),
        "more_recipes": max(0, len(rows) - MOST_RECIPES),
    }


def _food_keys(cells: Sequence[Cell], foods: Mapping[str, Food]) -> frozenset[str]:
    named = {cell.target.key for cell in cells if cell.target.kind == FOOD}
    groups = {cell.target.key for cell in cells if cell.target.kind != FOOD}
    return frozenset(named | {food.key for food in foods.values() if food.group in groups})


def _first_stages(recipes: Iterable[Recipe], protocol: Protocol, foods: Mapping[str, Food]) -> dict[str, str]:
    """The title of the first stage at which each recipe is possible, perhaps with something left off; or nothing."""
    book = RuleBook.compile(protocol, foods.values())
    given = [(stage.title, stage_allowances(book, stage.key)) for stage in protocol.stages]
    return {
        recipe.key: next((title for title, rows in given if fit(recipe, rows, book.foods).ok), "")
        for recipe in recipes
    }
