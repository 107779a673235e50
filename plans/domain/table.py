"""The rules table as a person reads and edits it: foods down, stages across, in each cell what holds there.

A row of the rules opens at its stage and holds until the next row for the same target; a food with rows of its own
does not hear those of its group. So a food that gets its first own row takes its group's rows with it, and an edit
changes no stage before the cell it was made in.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

from plans.domain.book import Food, Protocol, Rule, Stage

Kind = str
FOOD: Kind = "food"
GROUP: Kind = "group"


class Source(StrEnum):
    """Where what holds in a cell comes from: a row at this stage, one at an earlier stage, the group, or nowhere."""

    OWN = "own"
    CARRIED = "carried"
    GROUP = "group"
    NONE = "none"


@dataclass(frozen=True, slots=True, order=True)
class Target:
    """What rows are about: a food by its key, or a group by its name. As text ``food:carrot``, ``group:soft roots``."""

    kind: Kind
    key: str

    def __str__(self) -> str:
        return f"{self.kind}:{self.key}"

    @classmethod
    def read(cls, text: str) -> "Target":
        """The target a text names. Raises ValueError."""
        kind, _, key = text.partition(":")
        if kind not in (FOOD, GROUP) or not key:
            raise ValueError(f"{text!r} names neither a food nor a group")
        return cls(kind, key)

    @classmethod
    def of(cls, rule: Rule) -> "Target":
        """What a row is about."""
        return cls(FOOD, rule.food) if rule.food else cls(GROUP, rule.group)


@dataclass(frozen=True, slots=True)
class Cell:
    """One target at one stage: its ``own`` row there, if any, and the row that ``holds``, if any."""

    target: Target
    stage: str
    own: Rule | None
    holds: Rule | None
    source: Source

    @property
    def id(self) -> str:
        """The cell as text: ``food:carrot@settle``."""
        return f"{self.target}@{self.stage}"


@dataclass(frozen=True, slots=True)
class Line:
    """One target with a cell for each stage, in the order of the stages."""

    target: Target
    name: str
    cells: tuple[Cell, ...]

    @property
    def has_own(self) -> bool:
        """Whether any row is its own."""
        return any(cell.own for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Section:
    """A group: its own line, and its foods by name. The last section, without a group, holds what the book lacks."""

    group: str
    head: Line | None
    foods: tuple[Line, ...]


def cell_of(text: str) -> tuple[Target, str]:
    """The target and the stage key a cell's text names. Raises ValueError."""
    target, mark, stage = text.rpartition("@")
    if not mark or not stage:
        raise ValueError(f"{text!r} names no stage")
    return Target.read(target), stage


class Table:
    """A protocol's rules by target and stage, for foods of the book."""

    def __init__(self, protocol: Protocol, foods: Mapping[str, Food]) -> None:
        self.protocol = protocol
        self.foods = foods
        self.stages: tuple[Stage, ...] = protocol.stages
        self._order = {stage.key: stage.number for stage in protocol.stages}
        self._rows: dict[Target, dict[str, Rule]] = {}
        for rule in protocol.rules:
            self._rows.setdefault(Target.of(rule), {})[rule.stage] = rule

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """Every group of the book by name, then rows for foods and groups the book does not have."""
        members: dict[str, list[Food]] = {}
        for food in self.foods.values():
            members.setdefault(food.group, []).append(food)
        found = [
            Section(
                group,
                self.line(Target(GROUP, group)),
                tuple(
                    self.line(Target(FOOD, food.key))
                    for food in sorted(members[group], key=lambda food: (food.name.casefold(), food.key))
                ),
            )
            for group in sorted(members, key=str.casefold)
        ]
        strange = [target for target in self._rows if not self.knows(target, members)]
        if strange:
            found.append(Section("", None, tuple(self.line(target) for target in sorted(strange))))
        return tuple(found)

    def knows(self, target: Target, groups: Collection[str]) -> bool:
        """Whether the book has what a target names."""
        return target.key in (self.foods if target.kind == FOOD else groups)

    def name(self, target: Target) -> str:
        """What to call a target: a food by its name, where the book has it."""
        if target.kind == FOOD and target.key in self.foods:
            return self.foods[target.key].name
        return target.key

    def line(self, target: Target) -> Line:
        """A target's cells, one a stage."""
        return Line(target, self.name(target), tuple(self.cell(target, stage.key) for stage in self.stages))

    def cell(self, target: Target, stage: str) -> Cell:
        """One cell. Raises KeyError for a stage the protocol lacks."""
        own = self._rows.get(target, {}).get(stage)
        heard = self._heard(target)
        holds = self._holding(heard, stage)
        if holds is None:
            source = Source.NONE
        elif own is not None:
            source = Source.OWN
        else:
            source = Source.CARRIED if heard is self._rows.get(target) else Source.GROUP
        return Cell(target, stage, own, holds, source)

    def _heard(self, target: Target) -> Mapping[str, Rule]:
        rows = self._rows.get(target)
        if rows is None and target.kind == FOOD and target.key in self.foods:
            rows = self._rows.get(Target(GROUP, self.foods[target.key].group))
        return {} if rows is None else rows

    def _holding(self, rows: Mapping[str, Rule], stage: str) -> Rule | None:
        last = self._order[stage]
        opened = [rule for key, rule in rows.items() if self._order[key] <= last]
        return max(opened, key=lambda rule: self._order[rule.stage], default=None)

    def with_rows(self, cells: Mapping[tuple[Target, str], Rule | None]) -> Protocol:
        """The protocol with these rows in these cells, and none where there is None.

        A row that only repeats what holds before it is left out, and a food whose rows are those of its group again
        has none of its own. Raises KeyError for a stage the protocol lacks.
        """
        changed: dict[Target, dict[str, Rule]] = {}
        for target, stage in sorted(cells, key=lambda cell: self._order[cell[1]]):
            rule = cells[target, stage]
            if target not in changed:
                changed[target] = self._adopted(target) if rule else dict(self._rows.get(target, {}))
            rows = changed[target]
            rows.pop(stage, None)
            before = self._holding(rows, stage)
            if rule and (before is None or _said(before) != _said(rule)):
                rows[stage] = _placed(rule, target, stage)
        kept = {target: self._own(target, rows, changed) for target, rows in changed.items()}
        return replace(self.protocol, rules=tuple(self._in_place(kept)))

    def _adopted(self, target: Target) -> dict[str, Rule]:
        return {stage: _placed(rule, target, stage) for stage, rule in self._heard(target).items()}

    def _own(
        self, target: Target, rows: Mapping[str, Rule], changed: Mapping[Target, Mapping[str, Rule]]
    ) -> list[Rule]:
        if target.kind == FOOD and target.key in self.foods:
            group = Target(GROUP, self.foods[target.key].group)
            of_group = changed.get(group, self._rows.get(group, {}))
            if of_group and _all_said(rows) == _all_said(of_group):
                return []
        return sorted(rows.values(), key=lambda rule: self._order[rule.stage])

    def _in_place(self, changed: Mapping[Target, list[Rule]]) -> Iterable[Rule]:
        """The rules in their order, a changed target's together where its first one stood; new targets at the end."""
        waiting = dict(changed)
        for rule in self.protocol.rules:
            target = Target.of(rule)
            if target not in changed:
                yield rule
            else:
                yield from waiting.pop(target, ())
        for rows in waiting.values():
            yield from rows


def _said(rule: Rule) -> Rule:
    """A row without its place, to compare what it says."""
    return replace(rule, food="", group="", stage="")


def _all_said(rows: Mapping[str, Rule]) -> dict[str, Rule]:
    return {stage: _said(rule) for stage, rule in rows.items()}


def _placed(rule: Rule, target: Target, stage: str) -> Rule:
    food, group = (target.key, "") if target.kind == FOOD else ("", target.key)
    return replace(rule, food=food, group=group, stage=stage)
