"""A protocol as a person reads it: what opens at each stage, foods with the same words said together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from plans.domain.book import Food, Protocol, Rule, Stage


@dataclass(frozen=True, slots=True)
class Opening:
    """Foods and whole groups that a stage treats alike. ``rule`` gives the allowance, forms, amounts and note."""

    rule: Rule
    foods: tuple[str, ...]
    groups: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StageOpenings:
    """A stage with what begins at it, the widest allowance first."""

    stage: Stage
    openings: tuple[Opening, ...]


def openings(protocol: Protocol, foods: Mapping[str, Food]) -> tuple[StageOpenings, ...]:
    """What opens at each stage in order; foods by their names, unknown ones by their keys."""
    return tuple(
        StageOpenings(stage, _openings((rule for rule in protocol.rules if rule.stage == stage.key), foods))
        for stage in protocol.stages
    )


def _openings(rules: Iterable[Rule], foods: Mapping[str, Food]) -> tuple[Opening, ...]:
    alike: dict[tuple, list[Rule]] = {}
    for rule in rules:
        said = (rule.allowance, rule.forms, rule.start, rule.step, rule.every_days, rule.most, rule.note)
        alike.setdefault(said, []).append(rule)
    found = (_opening(together, foods) for together in alike.values())
    return tuple(sorted(found, key=lambda opening: -opening.rule.allowance))


def _opening(rules: list[Rule], foods: Mapping[str, Food]) -> Opening:
    named = {foods[rule.food].name if rule.food in foods else rule.food for rule in rules if rule.food}
    return Opening(
        rule=rules[0],
        foods=tuple(sorted(named, key=str.casefold)),
        groups=tuple(sorted({rule.group for rule in rules if rule.group})),
    )
