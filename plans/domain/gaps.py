"""What a protocol leaves open: rows that can never hold, foods that never open, meals without a dish.

The file reader refuses the mistakes among these (``MISTAKES``); a book that changes later can bring some of them back.
The others are for the coach to judge: a protocol may well mean them.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from typing import Any

from plans.domain.book import Food, Form, Protocol, Recipe, Rule
from plans.domain.fit import fit
from plans.domain.rulebook import RuleBook, stage_allowances
from plans.domain.tighten import meets
from plans.domain.vocabulary import Allowance, Slot


class Part(StrEnum):
    """The table of the file that a gap is in."""

    RULE = "rule"
    STAGE = "stage"
    MODIFIER = "modifier"
    CHALLENGE = "challenge"


MISTAKES = frozenset(("no-food", "closes-again", "twice", "days-out-of-order", "challenge-without-food"))
"""Codes of gaps that are never meant."""


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing missing. ``index`` is the place of the row in its table, from 0; ``target`` a food key or a group."""

    code: str
    part: Part
    index: int
    stage: str = ""
    target: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def is_mistake(self) -> bool:
        """Whether this can never be meant."""
        return self.code in MISTAKES


def gaps(protocol: Protocol, foods: Mapping[str, Food], recipes: Iterable[Recipe]) -> tuple[Gap, ...]:
    """Everything missing, in the order of the tables: stages, rules, modifiers, challenges."""
    cooked = tuple(recipes)
    known = RuleBook.compile(protocol, foods.values())
    return (
        *_days_out_of_order(protocol),
        *_meals_without_dish(protocol, known, cooked),
        *_targets_without_food(protocol, foods),
        *_rows_that_clash(protocol),
        *_never_open(protocol),
        *_forms_nobody_cooks(protocol, foods, cooked),
        *_idle_modifiers(protocol, known),
        *_challenges_without_food(protocol, foods),
    )


def mistakes(protocol: Protocol, foods: Mapping[str, Food]) -> tuple[Gap, ...]:
    """What can never be meant, without a look at the recipes: quick enough to ask after every edit."""
    found = (
        *_days_out_of_order(protocol),
        *_targets_without_food(protocol, foods),
        *_rows_that_clash(protocol),
        *_challenges_without_food(protocol, foods),
    )
    return tuple(gap for gap in found if gap.is_mistake)


def _days_out_of_order(protocol: Protocol) -> Iterable[Gap]:
    for index, stage in enumerate(protocol.stages):
        days = [stage.least_days, stage.usual_days]
        if stage.most_days is not None:
            days.append(stage.most_days)
        if days != sorted(days):
            facts = {"least": stage.least_days, "usual": stage.usual_days, "most": stage.most_days}
            yield Gap("days-out-of-order", Part.STAGE, index, stage.key, facts=facts)


def _meals_without_dish(protocol: Protocol, known: RuleBook, recipes: tuple[Recipe, ...]) -> Iterable[Gap]:
    for index, stage in enumerate(protocol.stages):
        given = stage_allowances(known, stage.key)
        served = {slot for recipe in recipes if fit(recipe, given, known.foods).ok for slot in recipe.slots}
        for slot in Slot:
            if slot not in served:
                yield Gap("no-dish", Part.STAGE, index, stage.key, facts={"slot": slot})


def _targets_without_food(protocol: Protocol, foods: Mapping[str, Food]) -> Iterable[Gap]:
    groups = {food.group for food in foods.values()}
    for index, rule in enumerate(protocol.rules):
        if rule.food not in foods if rule.food else rule.group not in groups:
            yield _of_rule("no-food", index, rule)


def _rows_that_clash(protocol: Protocol) -> Iterable[Gap]:
    """Two rows for one target at one stage, and rows stricter than the one before them."""
    for rows in _by_target(protocol).values():
        for (earlier, before), (index, rule) in pairwise(rows):
            if rule.stage == before.stage:
                yield _of_rule("twice", index, rule, earlier=earlier)
            elif rule.allowance < before.allowance:
                facts = {"was": before.allowance, "now": rule.allowance, "earlier": earlier}
                yield _of_rule("closes-again", index, rule, **facts)


def _never_open(protocol: Protocol) -> Iterable[Gap]:
    for rows in _by_target(protocol).values():
        index, rule = rows[0]
        if rule.food and all(row.allowance is Allowance.NOT_YET for _, row in rows):
            yield _of_rule("never-open", index, rule)


def _by_target(protocol: Protocol) -> dict[tuple[str, str], list[tuple[int, Rule]]]:
    """Rows with their places in the table, by target and then in the order of the stages."""
    order = {stage.key: place for place, stage in enumerate(protocol.stages)}
    found: dict[tuple[str, str], list[tuple[int, Rule]]] = {}
    for index, rule in sorted(enumerate(protocol.rules), key=lambda row: (order[row[1].stage], row[0])):
        found.setdefault((rule.food, rule.group), []).append((index, rule))
    return found


def _forms_nobody_cooks(
    protocol: Protocol, foods: Mapping[str, Food], recipes: Sequence[Recipe]
) -> Iterable[Gap]:
    """Each form of a target once, at the first row that names it."""
    cooked: dict[str, set[Form]] = {}
    for recipe in recipes:
        for ingredient in recipe.ingredients:
            cooked.setdefault(ingredient.food, set()).add(ingredient.form)
    said: set[tuple[str, Form]] = set()
    for index, rule in enumerate(protocol.rules):
        if rule.allowance is not Allowance.AS_PREPARED:
            continue
        target = rule.food or rule.group
        foods_of_it = [rule.food] if rule.food else [key for key in foods if foods[key].group == rule.group]
        made = [form for key in foods_of_it for form in cooked.get(key, ())]
        missing = tuple(
            form
            for form in rule.forms
            if (target, form) not in said and not any(meets(one, (form,)) for one in made)
        )
        if missing:
            said.update((target, form) for form in missing)
            yield _of_rule("form-without-recipe", index, rule, forms=missing)


def _idle_modifiers(protocol: Protocol, known: RuleBook) -> Iterable[Gap]:
    for index, modifier in enumerate(protocol.modifiers):
        if modifier.food and all(
            modifier.food not in table or table[modifier.food].given.allowance is Allowance.NOT_YET
            for table in known.stages.values()
        ):
            facts = {"when": modifier.when}
            yield Gap("modifier-never-open", Part.MODIFIER, index, target=modifier.food, facts=facts)


def _challenges_without_food(protocol: Protocol, foods: Mapping[str, Food]) -> Iterable[Gap]:
    for index, challenge in enumerate(protocol.challenges):
        if challenge.food not in foods:
            facts = {"title": challenge.title}
            yield Gap("challenge-without-food", Part.CHALLENGE, index, challenge.stage, challenge.food, facts)


def _of_rule(code: str, index: int, rule: Rule, **facts: Any) -> Gap:
    return Gap(code, Part.RULE, index, rule.stage, rule.food or rule.group, facts)
