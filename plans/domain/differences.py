"""What changed from one version of a protocol to another, said once at the stage where it begins to hold.

A stage that only the new version has is compared with what held just before it in the old one, so that a stage put in
between says what it opens and nothing else.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Any

from plans.domain.book import Challenge, Food, Form, LeadInTask, Modifier, Protocol, Rule, Stage
from plans.domain.tighten import meets
from plans.domain.vocabulary import Allowance

UNMENTIONED = Rule("", Allowance.NOT_YET)
"""What holds for a target before its first row."""


class Kind(StrEnum):
    """What a difference is about."""

    PROTOCOL = "protocol"
    STAGE = "stage"
    FOOD = "food"
    GROUP = "group"
    MODIFIER = "modifier"
    CHALLENGE = "challenge"
    LEAD_IN = "lead-in"


class Way(StrEnum):
    """Whether eaters may eat less or more by a difference; ``NEITHER`` when it is no such matter, or both."""

    STRICTER = "stricter"
    WIDER = "wider"
    NEITHER = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that changed. ``stage`` is a stage key, empty for what holds at every stage.

    ``target`` is the key (for a group, the name) of what ``kind`` names. ``facts`` hold ``was`` and ``now``, what was
    ``added`` and ``removed``, or the names to call things by.
    """

    code: str
    kind: Kind
    stage: str = ""
    target: str = ""
    way: Way = Way.NEITHER
    facts: Mapping[str, Any] = field(default_factory=dict)


def differences(old: Protocol, new: Protocol, foods: Mapping[str, Food]) -> tuple[Difference, ...]:
    """All that changed: the protocol itself, stages, rows for groups and foods, modifiers, challenges, lead-in."""
    return (
        *_of_the_protocol(old, new),
        *_of_stages(old, new),
        *_of_targets(old, new, foods),
        *_of_modifiers(old.modifiers, new.modifiers),
        *_of_keyed(Kind.CHALLENGE, old.challenges, new.challenges),
        *_of_keyed(Kind.LEAD_IN, old.lead_in, new.lead_in),
    )


def amounts(rule: Rule) -> tuple[Any, ...]:
    """The amounts of a first taste: start, step, every so many days, most."""
    return rule.start, rule.step, rule.every_days, rule.most


def _of_the_protocol(old: Protocol, new: Protocol) -> Iterable[Difference]:
    for name in ("title", "summary", "source", "caution", "dietitian"):
        was, now = getattr(old, name), getattr(new, name)
        if was != now:
            yield Difference(f"{name}-changed", Kind.PROTOCOL, target=new.key, facts={"was": was, "now": now})


def _of_stages(old: Protocol, new: Protocol) -> Iterable[Difference]:
    before, after = ({stage.key: stage for stage in one.stages} for one in (old, new))
    for key, stage in before.items():
        if key not in after:
            yield _stage("stage-removed", stage, title=stage.title)
    kept_before = [key for key in before if key in after]
    kept_after = [key for key in after if key in before]
    for key, stage in after.items():
        if key not in before:
            yield _stage("stage-added", stage, title=stage.title)
            continue
        if kept_before.index(key) != kept_after.index(key):
            yield _stage("stage-moved", stage, was=before[key].number, now=stage.number)
        yield from _of_one_stage(before[key], stage)


def _of_one_stage(was: Stage, now: Stage) -> Iterable[Difference]:
    if was.title != now.title:
        yield _stage("stage-renamed", now, was=was.title, now=now.title)
    if was.aim != now.aim:
        yield _stage("aim-changed", now, was=was.aim, now=now.aim)
    days = [(stage.least_days, stage.usual_days, stage.most_days) for stage in (was, now)]
    if days[0] != days[1]:
        yield _stage("days-changed", now, was=days[0], now=days[1])
    if was.moving_on != now.moving_on:
        added = tuple(line for line in now.moving_on if line not in was.moving_on)
        removed = tuple(line for line in was.moving_on if line not in now.moving_on)
        yield _stage("moving-on-changed", now, added=added, removed=removed)


def _stage(code: str, stage: Stage, **facts: Any) -> Difference:
    return Difference(code, Kind.STAGE, stage.key, stage.key, facts=facts)


class _Rows:
    """The rows of one version by target; a food without rows of its own goes by those of its group."""

    def __init__(self, protocol: Protocol, foods: Mapping[str, Food]) -> None:
        self.own: dict[tuple[Kind, str], dict[str, Rule]] = {}
        self.foods = foods
        for rule in protocol.rules:
            target = (Kind.FOOD, rule.food) if rule.food else (Kind.GROUP, rule.group)
            self.own.setdefault(target, {})[rule.stage] = rule

    def holding(self, target: tuple[Kind, str]) -> dict[str, Rule]:
        kind, key = target
        if target in self.own or kind is Kind.GROUP or key not in self.foods:
            return self.own.get(target, {})
        return self.own.get((Kind.GROUP, self.foods[key].group), {})


def _of_targets(old: Protocol, new: Protocol, foods: Mapping[str, Food]) -> Iterable[Difference]:
    before, after = _Rows(old, foods), _Rows(new, foods)
    for target in dict.fromkeys((*after.own, *before.own)):
        yield from _of_target(target, old, new, before, after)


def _of_target(
    target: tuple[Kind, str], old: Protocol, new: Protocol, before: _Rows, after: _Rows
) -> Iterable[Difference]:
    kind, key = target
    held = _side_by_side(old, new, before.holding(target), after.holding(target))
    found = [*_opened(target, held), *_changed(target, held)]
    was, now = before.own.get(target, {}), after.own.get(target, {})
    if kind is Kind.FOOD and bool(was) != bool(now):
        stage = next(iter(now or was))
        code = "own-rows-added" if now else "own-rows-removed"
        found.insert(0, Difference(code, kind, stage, key))
    if not found and was.keys() != now.keys():
        found.extend(
            Difference("row-added" if stage in now else "row-removed", kind, stage, key)
            for stage in sorted(was.keys() ^ now.keys())
        )
    return found


Held = tuple[tuple[str, Rule, Rule], ...]
"""For each stage of the new version its key, what held there and what holds."""


def _side_by_side(old: Protocol, new: Protocol, was: Mapping[str, Rule], now: Mapping[str, Rule]) -> Held:
    old_held: dict[str, Rule] = {}
    rule = UNMENTIONED
    for stage in old.stages:
        rule = was.get(stage.key, rule)
        old_held[stage.key] = rule
    held = []
    rule_was = rule_now = UNMENTIONED
    for stage in new.stages:
        rule_was = old_held.get(stage.key, rule_was)
        rule_now = now.get(stage.key, rule_now)
        held.append((stage.key, rule_was, rule_now))
    return tuple(held)


def _opened(target: tuple[Kind, str], held: Held) -> Iterable[Difference]:
    kind, key = target
    was, now = (
        next((place for place, row in enumerate(held) if row[side].allowance > Allowance.NOT_YET), None)
        for side in (1, 2)
    )
    if was == now:
        return
    if now is None:
        yield Difference("never-opens", kind, held[was][0], key, Way.STRICTER)
        return
    stage, _, rule = held[now]
    facts = {"allowance": rule.allowance, "forms": rule.forms}
    if was is None:
        yield Difference("opens-newly", kind, stage, key, Way.WIDER, facts)
        return
    code, way = ("opens-earlier", Way.WIDER) if now < was else ("opens-later", Way.STRICTER)
    yield Difference(code, kind, stage, key, way, facts | {"was": held[was][0]})


def _changed(target: tuple[Kind, str], held: Held) -> Iterable[Difference]:
    """What changed of rows that hold on both sides, once where it begins. That one side is closed, the opening says."""
    kind, key = target
    said: tuple[Any, Any] | None = None
    opened_was = opened_now = False
    for stage, was, now in held:
        opened_was = opened_was or was.allowance > Allowance.NOT_YET
        opened_now = opened_now or now.allowance > Allowance.NOT_YET
        pair = (_substance(was), _substance(now))
        if opened_was == opened_now and pair != said:
            for code, way, facts in _of_rows(was, now):
                yield Difference(code, kind, stage, key, way, facts)
        said = pair


def _substance(rule: Rule) -> tuple[Any, ...]:
    return rule.allowance, frozenset(rule.forms), amounts(rule), rule.note


def _of_rows(was: Rule, now: Rule) -> Iterable[tuple[str, Way, dict[str, Any]]]:
    same_allowance = was.allowance is now.allowance
    if not same_allowance:
        way = Way.STRICTER if now.allowance < was.allowance else Way.WIDER
        yield "allowance-changed", way, {"was": was.allowance, "now": now.allowance}
    if same_allowance or (was.forms and now.forms):
        added = tuple(form for form in now.forms if form not in was.forms)
        removed = tuple(form for form in was.forms if form not in now.forms)
        if added or removed:
            facts = {"added": added, "removed": removed, "any": not now.forms}
            yield "forms-changed", _way_of_forms(was.forms, now.forms), facts
    if same_allowance and amounts(was) != amounts(now):
        yield "amounts-changed", Way.NEITHER, {"was": was, "now": now}
    if was.note != now.note:
        yield "note-changed", Way.NEITHER, {"was": was.note, "now": now.note}


def covers(wide: tuple[Form, ...], narrow: tuple[Form, ...]) -> bool:
    """Whether every preparation the narrow forms let through passes the wide ones. No forms let all through."""
    return not wide or (bool(narrow) and all(meets(form, wide) for form in narrow))


def _way_of_forms(was: tuple[Form, ...], now: tuple[Form, ...]) -> Way:
    wider, stricter = covers(now, was), covers(was, now)
    if wider == stricter:
        return Way.NEITHER
    return Way.WIDER if wider else Way.STRICTER


def _of_modifiers(old: tuple[Modifier, ...], new: tuple[Modifier, ...]) -> Iterable[Difference]:
    """Modifiers have no keys: those for the same condition and target are paired in their order."""
    gone, come = Counter(old) - Counter(new), Counter(new) - Counter(old)
    waiting: dict[tuple[Any, ...], list[Modifier]] = {}
    for modifier in gone.elements():
        waiting.setdefault(_about(modifier), []).append(modifier)
    for modifier in come.elements():
        same = waiting.get(_about(modifier))
        if same:
            yield _modifier("modifier-changed", modifier, Way.NEITHER, was=same.pop(0), now=modifier)
        else:
            yield _modifier("modifier-added", modifier, Way.STRICTER, now=modifier)
    for left in waiting.values():
        for modifier in left:
            yield _modifier("modifier-removed", modifier, Way.WIDER, was=modifier)


def _about(modifier: Modifier) -> tuple[Any, ...]:
    return modifier.when, modifier.food, modifier.group, modifier.all


def _modifier(code: str, modifier: Modifier, way: Way, **facts: Any) -> Difference:
    return Difference(code, Kind.MODIFIER, target=modifier.food or modifier.group, way=way, facts=facts)


def _of_keyed(
    kind: Kind, old: tuple[Challenge, ...] | tuple[LeadInTask, ...], new: tuple[Any, ...]
) -> Iterable[Difference]:
    before, after = ({item.key: item for item in items} for items in (old, new))
    for key, item in after.items():
        if key not in before:
            yield _keyed(kind, "added", item)
        elif before[key] != item:
            names = [part.name for part in fields(item)]
            changed = tuple(name for name in names if getattr(before[key], name) != getattr(item, name))
            yield _keyed(kind, "changed", item, fields=changed, was=before[key], now=item)
    for key, item in before.items():
        if key not in after:
            yield _keyed(kind, "removed", item)
    order = [[key for key in one if key in before and key in after] for one in (before, after)]
    if kind is Kind.CHALLENGE and order[0] != order[1]:
        titles = tuple(after[key].title for key in order[1])
        first = after[order[1][0]]
        yield Difference("challenges-reordered", kind, first.stage, first.key, facts={"titles": titles})


def _keyed(kind: Kind, what: str, item: Challenge | LeadInTask, **facts: Any) -> Difference:
    stage = item.stage if isinstance(item, Challenge) else ""
    return Difference(f"{kind}-{what}", kind, stage, item.key, facts={"title": item.title} | facts)
