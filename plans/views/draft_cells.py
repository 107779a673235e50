"""The rules table on a page: what stands in each cell, in words; which rows a sieve leaves; what an edit changed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from django.utils.text import capfirst
from django.utils.translation import get_language, gettext_lazy, ngettext
from django.utils.translation import gettext as _

from coaching.domain.units import System
from plans.domain.book import Food, Protocol, Rule
from plans.domain.filing.lookup import folded
from plans.domain.gaps import Part, mistakes
from plans.domain.table import FOOD, GROUP, Cell, Line, Section, Source, Table, Target
from plans.domain.vocabulary import Allowance
from plans.printables.words import forms_words
from plans.views.change_words import gap_line, taste_words
from plans.wording import ALLOWANCE

SHORT = {
    Allowance.NOT_YET: gettext_lazy("not yet"),
    Allowance.FLAVOUR_ONLY: gettext_lazy("flavour"),
    Allowance.FIRST_TASTES: gettext_lazy("tastes"),
    Allowance.AS_PREPARED: gettext_lazy("prepared"),
    Allowance.FREELY: gettext_lazy("freely"),
}
"""What stands in a cell: part of the allowance's whole name, so that both can be spoken."""
OWN, MEND = "own", "mend"
MOST_SAID = 3


@dataclass(frozen=True, slots=True)
class Sieve:
    """Which rows and stages are shown: words of a name, a group, rows of a kind, one stage."""

    q: str = ""
    group: str = ""
    only: str = ""
    stage: str = ""

    def leaves(self, row: Mapping[str, Any]) -> bool:
        """Whether a row is shown by itself."""
        return (
            all(word in row["words"] for word in folded(self.q).split())
            and (not self.group or row["group"] == self.group)
            and (self.only != OWN or row["has_own"])
            and (self.only != MEND or row["to_mend"])
        )


@dataclass(frozen=True)
class Sheet:
    """A draft's table as it is put on a page."""

    table: Table
    system: System
    to_mend: frozenset[Target]
    sieve: Sieve = Sieve()

    def sections(self) -> list[dict[str, Any]]:
        """The groups with their rows, each knowing whether the sieve leaves it."""
        return [self._section(section) for section in self.table.sections]

    def _section(self, section: Section) -> dict[str, Any]:
        head = self.row(section.head) if section.head else None
        foods = [self.row(line) for line in section.foods]
        if head and any(row["is_shown"] for row in foods):
            head["is_shown"] = True
        return {"group": section.group, "head": head, "foods": foods}

    def row(self, line: Line) -> dict[str, Any]:
        """One line of the table for its template."""
        target = line.target
        food = self.table.foods.get(target.key) if target.kind == FOOD else None
        group = food.group if food else target.key if target.kind == GROUP else ""
        row = {
            "target": str(target),
            "name": capfirst(line.name) if target.kind == GROUP else line.name,
            "is_head": target.kind == GROUP,
            "group": group,
            "words": folded(" ".join((line.name, group, target.key, *(food.names if food else ())))),
            "has_own": line.has_own,
            "to_mend": target in self.to_mend,
            "cells": [self._cell(cell, line.name) for cell in line.cells],
        }
        return row | {"is_shown": self.sieve.leaves(row)}

    def _cell(self, cell: Cell, name: str) -> dict[str, Any]:
        more = rule_more(cell.holds, self.system) if cell.holds else ""
        return {
            "link": quote(cell.id),
            "mark": f"{cell.source} a{int(cell.holds.allowance)}" if cell.holds else str(cell.source),
            "short": SHORT[cell.holds.allowance] if cell.holds else "–",
            "more": more,
            "said": self._said(cell, name, more),
            "is_shown": self.sieve.stage in ("", cell.stage),
        }

    def said(self, cell: Cell) -> str:
        """A cell as a sentence: what holds in it, and why."""
        return self._said(
            cell, self.table.name(cell.target), rule_more(cell.holds, self.system) if cell.holds else ""
        )

    def _said(self, cell: Cell, name: str, more: str) -> str:
        what = str(ALLOWANCE[cell.holds.allowance if cell.holds else Allowance.NOT_YET]).lower()
        return _("%(name)s at %(stage)s: %(what)s; %(why)s.") % {
            "name": capfirst(name),
            "stage": self.table.protocol.stage(cell.stage).title,
            "what": f"{what}, {more}" if more else what,
            "why": self.why(cell),
        }

    def why(self, cell: Cell) -> str:
        """Where what holds in a cell comes from."""
        if cell.source is Source.NONE:
            return _("nothing opens it")
        if cell.source is Source.OWN:
            return _("a row of its own here")
        stage = self.table.protocol.stage(cell.holds.stage).title
        if cell.source is Source.CARRIED:
            return _("carried on from its row at %(stage)s") % {"stage": stage}
        return _("from the group %(group)s, since %(stage)s") % {"group": cell.holds.group, "stage": stage}


def sheet_of(
    protocol: Protocol, foods: Mapping[str, Food], system: System, sieve: Sieve | None = None
) -> Sheet:
    """A protocol's table for a page, with what is to be mended in it."""
    return Sheet(Table(protocol, foods), system, targets_to_mend(protocol, foods), sieve or Sieve())


def rule_more(rule: Rule, system: System) -> str:
    """What a row says besides its allowance: forms and amounts."""
    if not (rule.forms or rule.start):
        return ""
    return _more(rule, system, get_language())


@lru_cache(maxsize=4096)
def _more(rule: Rule, system: System, _language: str | None) -> str:
    return "; ".join(filter(None, (forms_words(rule.forms), taste_words(rule, system))))


def targets_to_mend(protocol: Protocol, foods: Mapping[str, Food]) -> frozenset[Target]:
    """What has a row that is to be mended."""
    return frozenset(
        Target.of(protocol.rules[gap.index]) for gap in mistakes(protocol, foods) if gap.part is Part.RULE
    )


def mend_lines(protocol: Protocol, foods: Mapping[str, Food]) -> list[dict[str, str]]:
    """What is to be mended, each with its cell."""
    return [gap_line(gap, protocol, foods) for gap in mistakes(protocol, foods)]


def changed_targets(old: Table, new: Table) -> list[Target]:
    """What has a cell that may say something else than before: targets with other rows, and foods that follow them."""
    before, after = _rows_by_target(old.protocol), _rows_by_target(new.protocol)
    changed = {target for target in before.keys() | after.keys() if before.get(target) != after.get(target)}
    groups = {target.key for target in changed if target.kind == GROUP}
    for food in new.foods.values():
        target = Target(FOOD, food.key)
        if food.group in groups and not (target in before and target in after):
            changed.add(target)
    return sorted(changed)


def change_said(old: Sheet, new: Sheet, targets: Iterable[Target]) -> str:
    """What an edit did, for the line that is read out."""
    cells = [
        now
        for target in targets
        for was, now in zip(old.table.line(target).cells, new.table.line(target).cells, strict=True)
        if was.own != now.own
    ]
    if not cells:
        return _("Nothing changed: this held already.")
    if len(cells) <= MOST_SAID:
        return " ".join(new.said(cell) for cell in cells)
    return ngettext("%d cell changed.", "%d cells changed.", len(cells)) % len(cells)


def _rows_by_target(protocol: Protocol) -> dict[Target, dict[str, Rule]]:
    found: dict[Target, dict[str, Rule]] = {}
    for rule in protocol.rules:
        found.setdefault(Target.of(rule), {})[rule.stage] = rule
    return found
