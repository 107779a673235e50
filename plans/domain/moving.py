"""What changes for one eater who leaves a version of a protocol for another: today, and at the stages still to come.

Both versions are asked what the eater may eat, so exclusions, introductions, conditions and limits count: what this
eater does not get under either version is not spoken of. What is no allowance (days, planned introductions, modifiers)
comes from the differences of the two versions, as far as it lies ahead of the eater.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from itertools import takewhile
from typing import Any

from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.book import Food, Protocol, Rule, Stage
from plans.domain.brief import FoodAllowance
from plans.domain.differences import Difference, Kind, Way, amounts, covers, differences
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance

_NO_MATTER_OF_THE_EATER = frozenset(("summary-changed", "source-changed"))

_THE_MOVE_ITSELF = frozenset(("stage-added", "stage-removed"))
"""No news about the eater's own stage: that it is gone is why another one takes its place."""


class Effect(StrEnum):
    """What becomes of a food, in the order it is said."""

    OPENS = "opens"
    CLOSES = "closes"
    ALLOWANCE = "allowance"
    FORMS = "forms"
    AMOUNTS = "amounts"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Change:
    """One food for one eater: the answers under both versions, and the rows of the rules they come from, if any."""

    effect: Effect
    food: str
    was: FoodAllowance
    now: FoodAllowance
    rule_was: Rule | None = None
    rule_now: Rule | None = None

    @property
    def way(self) -> Way:
        """Whether the eater may eat less or more of it."""
        if self.effect in (Effect.OPENS, Effect.CLOSES, Effect.ALLOWANCE):
            return Way.WIDER if self.now.allowance > self.was.allowance else Way.STRICTER
        if self.effect is not Effect.FORMS:
            return Way.NEITHER
        wider, stricter = covers(self.now.forms, self.was.forms), covers(self.was.forms, self.now.forms)
        if wider == stricter:
            return Way.NEITHER
        return Way.WIDER if wider else Way.STRICTER


@dataclass(frozen=True, slots=True)
class Edition:
    """A published version ready to be asked: the protocol and the rule book compiled from it."""

    protocol: Protocol
    book: RuleBook

    @classmethod
    def of(cls, protocol: Protocol, foods: Iterable[Food]) -> "Edition":
        return cls(protocol, RuleBook.compile(protocol, foods))


@dataclass(frozen=True, slots=True)
class Step:
    """What changes at one stage: of foods for this eater, and of the stage itself. ``stage`` is a stage key."""

    stage: str
    foods: tuple[Change, ...] = ()
    other: tuple[Difference, ...] = ()


@dataclass(frozen=True, slots=True)
class Moving:
    """All that changes for one eater: ``today``, at ``steps`` from their stage on, and ``always``.

    The step of the stage they are in holds what only shows once the conditions and introductions of today are over.
    """

    today: tuple[Change, ...] = ()
    steps: tuple[Step, ...] = ()
    always: tuple[Difference, ...] = ()

    @property
    def is_nothing(self) -> bool:
        return not (self.today or self.steps or self.always)

    @property
    def later(self) -> int:
        """How many foods change at a stage and not today."""
        return len({change.food for step in self.steps for change in step.foods})


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two editions and their differences, made once and asked for many eaters."""

    old: Edition
    new: Edition
    found: tuple[Difference, ...]

    @classmethod
    def of(cls, old: Edition, new: Edition) -> "Comparison":
        return cls(old, new, differences(old.protocol, new.protocol, new.book.foods))

    def for_eater(self, rules: EaterRules, stage: str, today: date) -> Moving:
        """What changes for an eater who leaves the old edition today for ``stage`` of the new one.

        Before day one the two are compared on that day. Raises KeyError for a stage that an edition does not have, and
        IndexError for an eater who is in none.
        """
        on = max(today, rules.stages[-1][0])
        here = rules.stage_on(on)
        changed = self._answers_differ(rules, here, stage, on)
        ahead = self._ahead(rules, here, stage, today)
        return Moving(
            today=changed,
            steps=tuple(self._steps(rules, here, stage, on, changed, ahead)),
            always=tuple(one for one in ahead if not one.stage),
        )

    def _answers_differ(self, rules: EaterRules, stage: str, stage_now: str, on: date) -> tuple[Change, ...]:
        """The foods whose answers differ, an eater being in one stage of the old edition and in one of the new."""
        was = day_allowances(self.old.book, replace(rules, stages=((on, stage),)), on)
        now = day_allowances(self.new.book, replace(rules, stages=((on, stage_now),)), on)
        rows_was, rows_now = self.old.book.stages[stage], self.new.book.stages[stage_now]
        found = [
            change
            for food in now
            for change in _changes(food, was[food], now[food], rows_was[food].rule, rows_now[food].rule)
        ]
        return tuple(sorted(found, key=lambda change: list(Effect).index(change.effect)))

    def _steps(
        self,
        rules: EaterRules,
        stage: str,
        stage_now: str,
        on: date,
        today: tuple[Change, ...],
        ahead: list[Difference],
    ) -> Iterator[Step]:
        """Each stage from the eater's own on, saying only what the stage before it has not said already."""
        passing = replace(
            rules,
            conditions=frozenset(),
            introductions=tuple(tried for tried in rules.introductions if tried.outcome != "open"),
        )
        said = {_said(change) for change in today}
        for key_was, key in self._way(stage, stage_now):
            found = self._answers_differ(passing, key_was, key, on)
            foods = tuple(change for change in found if _said(change) not in said)
            # Today's conditions may hide what holds at this stage; both stay said.
            said = {_said(change) for change in found} | (said if key == stage_now else set())
            other = tuple(one for one in ahead if one.stage == key)
            if foods or other:
                yield Step(key, foods, other)
        kept = {known.key for known in self.new.protocol.stages}
        for gone in self.old.protocol.stages:
            other = tuple(one for one in ahead if one.stage == gone.key)
            if gone.key not in kept and other:
                yield Step(gone.key, other=other)

    def _way(self, stage: str, stage_now: str) -> list[tuple[str, str]]:
        """The stages of the new edition from the eater's own on, each with the one of the old it takes the place of."""
        known = {held.key for held in self.old.protocol.stages}
        here = self.new.protocol.stage(stage_now).number
        way = [(stage, stage_now)]
        for ahead in self.new.protocol.stages:
            if ahead.number > here:
                stage = ahead.key if ahead.key in known else stage
                way.append((stage, ahead.key))
        return way

    def _ahead(self, rules: EaterRules, stage: str, stage_now: str, today: date) -> list[Difference]:
        """The differences that are no row of a food and still concern this eater."""
        old, new = self.old.protocol, self.new.protocol
        here, there = old.stage(stage).number, new.stage(stage_now).number
        stages = {held.key for held in new.stages if held.number >= there}
        stages |= {held.key for held in old.stages if held.number >= here} - {held.key for held in new.stages}
        out = left_out(self.new.book, rules, today)
        begun = rules.stages[0][0] <= today
        return [
            one
            for one in self.found
            if one.kind not in (Kind.FOOD, Kind.GROUP)
            and one.code not in _NO_MATTER_OF_THE_EATER
            and (not one.stage or one.stage in stages)
            and not (one.kind is Kind.LEAD_IN and begun)
            and not (one.code in _THE_MOVE_ITSELF and one.stage in (stage, stage_now))
            and not self._is_left_out(one, out)
        ]

    def _is_left_out(self, one: Difference, out: frozenset[str]) -> bool:
        """Whether a modifier or a planned introduction is about foods that this eater does not get anyway."""
        if one.kind is Kind.CHALLENGE and one.code != "challenges-reordered":
            challenges = (*self.new.protocol.challenges, *self.old.protocol.challenges)
            return next(challenge.food for challenge in challenges if challenge.key == one.target) in out
        if one.kind is not Kind.MODIFIER:
            return False
        modifier = one.facts.get("now") or one.facts["was"]
        foods = self.new.book.foods.values()
        about = {food.key for food in foods if food.key == modifier.food or food.group == modifier.group}
        return bool(about) and not modifier.all and about <= out


def left_out(book: RuleBook, rules: EaterRules, on: date) -> frozenset[str]:
    """The foods an eater does not get at any stage: allergies, exclusions, limits, reactions without an end."""
    for_good = tuple(
        tried for tried in rules.introductions if tried.outcome == "reacted" and tried.left_out_until is None
    )
    person = replace(rules, stages=(), conditions=frozenset(), introductions=for_good)
    given = day_allowances(book, person, on)
    return frozenset(food for food, answer in given.items() if answer.allowance is Allowance.NOT_YET)


def places(old: Protocol, new: Protocol, stage: str) -> tuple[Stage, ...]:
    """Where an eater in a stage of the old version may be in the new one: their own stage, if it is still there.

    Else the stages that are not beyond their place, the nearest by number first. A stage counts as beyond when the old
    version had it later, and so does all that follows it. May be empty: then the two versions do not fit together.
    """
    here = old.stage(stage).number
    kept = tuple(known for known in new.stages if known.key == stage)
    if kept:
        return kept
    later = {held.key for held in old.stages if held.number > here}
    not_beyond = takewhile(lambda known: known.number <= here and known.key not in later, new.stages)
    return tuple(reversed(tuple(not_beyond)))


def _changes(
    food: str, was: FoodAllowance, now: FoodAllowance, rule_was: Rule | None, rule_now: Rule | None
) -> Iterator[Change]:
    for effect in _effects(was, now, rule_was, rule_now):
        yield Change(effect, food, was, now, rule_was, rule_now)


def _effects(
    was: FoodAllowance, now: FoodAllowance, rule_was: Rule | None, rule_now: Rule | None
) -> Iterator[Effect]:
    closed = (was.allowance is Allowance.NOT_YET, now.allowance is Allowance.NOT_YET)
    if all(closed):
        return
    if any(closed):
        yield Effect.CLOSES if closed[1] else Effect.OPENS
        return
    if was.allowance is not now.allowance:
        yield Effect.ALLOWANCE
    elif frozenset(was.forms) != frozenset(now.forms):
        yield Effect.FORMS
    if was.allowance is now.allowance and _amounts(was, rule_was) != _amounts(now, rule_now):
        yield Effect.AMOUNTS
    if _note(rule_was) != _note(rule_now):
        yield Effect.NOTE


def _amounts(given: FoodAllowance, rule: Rule | None) -> tuple[Decimal | None, tuple[Any, ...]]:
    """The cap of the day, and for a first taste how it goes on from there."""
    tastes = rule is not None and given.allowance is Allowance.FIRST_TASTES
    return given.most_g, amounts(rule) if tastes else ()


def _note(rule: Rule | None) -> str:
    return rule.note if rule else ""


def _said(change: Change) -> tuple[Any, ...]:
    """A change as it reads, so that one that goes on at the next stage is not said again."""
    sides = ((change.was, change.rule_was), (change.now, change.rule_now))
    if change.effect is Effect.NOTE:
        return (change.effect, change.food, *(_note(rule) for _given, rule in sides))
    said = ((given.allowance, frozenset(given.forms), _amounts(given, rule)) for given, rule in sides)
    return (change.effect, change.food, *said)
