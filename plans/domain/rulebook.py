"""A protocol compiled: for each stage and each food the one row of the rules that holds, ready to be looked up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from plans.domain.book import Challenge, Food, Form, Modifier, Protocol, Rule
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.limits import Limit, foods_by_limit
from plans.domain.quantities import grams
from plans.domain.records import form_text, resolve_families
from plans.domain.vocabulary import Allowance

PLANT_WORK = frozenset(("peeled", "deseeded", "pitted"))
MEAT_WORK = frozenset(("skinned", "boned"))
PLANT_AISLES = frozenset(("vegetables", "fruit"))
MEAT_AISLES = frozenset(("meat", "fish"))


@dataclass(frozen=True, slots=True)
class Steps:
    """A first taste in grams: ``start`` on the first day, ``step`` more every ``every_days``, never above ``most``."""

    start_g: Decimal
    step_g: Decimal
    every_days: int
    most_g: Decimal

    def on_day(self, days_since: int) -> Decimal:
        """The most for a day; the first day is 0."""
        return min(self.most_g, self.start_g + self.step_g * (max(days_since, 0) // self.every_days))


@dataclass(frozen=True, slots=True)
class Row:
    """What a stage says of one food, ready made; for a first taste also how it steps up."""

    rule: Rule | None
    given: FoodAllowance
    steps: Steps | None = None


@dataclass(frozen=True, slots=True)
class RuleBook:
    """A protocol compiled against foods. Build it with ``compile``.

    ``made_of`` lists for each food the food itself and all it contains, ``used_in`` the reverse. ``stages`` hold each
    food's row, ``modifiers`` what a condition asks of a food.
    """

    foods: Mapping[str, Food]
    made_of: Mapping[str, frozenset[str]]
    used_in: Mapping[str, frozenset[str]]
    limited: Mapping[Limit, tuple[str, ...]]
    stages: Mapping[str, Mapping[str, Row]] = field(default_factory=dict)
    modifiers: Mapping[str, Mapping[str, tuple[FoodAllowance, ...]]] = field(default_factory=dict)
    challenges: tuple[Challenge, ...] = ()

    @classmethod
    def compile(cls, protocol: Protocol | None, foods: Iterable[Food]) -> "RuleBook":
        """Compile a protocol, or none for an eater who follows none. Foods inherit the families of their parts."""
        by_key = resolve_families(foods)
        made_of = {key: _parts(key, by_key) for key in by_key}
        used_in: dict[str, set[str]] = {}
        for key, parts in made_of.items():
            for part in parts:
                used_in.setdefault(part, set()).add(key)
        return cls(
            foods=by_key,
            made_of=made_of,
            used_in={part: frozenset(keys) for part, keys in used_in.items()},
            limited=foods_by_limit(by_key, made_of),
            stages=_stage_tables(protocol, by_key) if protocol else {},
            modifiers=_modifier_tables(protocol, by_key) if protocol else {},
            challenges=protocol.challenges if protocol else (),
        )


def stage_allowances(book: RuleBook, stage: str) -> dict[str, FoodAllowance]:
    """What a stage says of each food to an eater without exclusions, conditions or limits; a first taste counts as
    stepped up to its most. Raises KeyError for an unknown stage."""
    return {food: _stepped_up(row) for food, row in book.stages[stage].items()}


def forms_text(forms: Iterable[Form]) -> str:
    """Forms as one fact of a reason: ``boiled + peeled; pureed + peeled``."""
    return "; ".join(form_text(form) for form in forms)


def _stepped_up(row: Row) -> FoodAllowance:
    return row.given if row.steps is None else replace(row.given, most_g=row.steps.most_g)


def _parts(key: str, foods: Mapping[str, Food]) -> frozenset[str]:
    """A food and everything it is made of, however deep."""
    found: set[str] = set()
    waiting = [key]
    while waiting:
        part = waiting.pop()
        if part not in found:
            found.add(part)
            waiting.extend(foods[part].contains if part in foods else ())
    return frozenset(found)


def _stage_tables(protocol: Protocol, foods: Mapping[str, Food]) -> dict[str, dict[str, Row]]:
    """Each food's row at each stage. Rows that name a food replace those of its group altogether."""
    number = {stage.key: stage.number for stage in protocol.stages}
    by_target: dict[tuple[str, str], list[Rule]] = {}
    for rule in sorted(protocol.rules, key=lambda rule: number[rule.stage]):
        by_target.setdefault((rule.food, rule.group), []).append(rule)
    tables: dict[str, dict[str, Row]] = {stage.key: {} for stage in protocol.stages}
    for food in foods.values():
        rules = by_target.get((food.key, "")) or by_target.get(("", food.group), [])
        rows = [_row(rule, food, protocol.stage(rule.stage).title) for rule in rules]
        for stage in protocol.stages:
            opened = [
                row for row, rule in zip(rows, rules, strict=True) if number[rule.stage] <= stage.number
            ]
            row = opened[-1] if opened else _unmentioned()
            if row.given.allowance is Allowance.NOT_YET:
                later = [rule for rule in rules[len(opened) :] if rule.allowance is not Allowance.NOT_YET]
                row = _closed(row, protocol.stage(later[0].stage).title if later else "")
            tables[stage.key][food.key] = row
    return tables


def _row(rule: Rule, food: Food, title: str) -> Row:
    facts: dict[str, str | int] = {"stage": title}
    if rule.note:
        facts["note"] = rule.note
    if rule.forms:
        facts["forms"] = forms_text(rule.forms)
    code = rule.allowance.word.replace(" ", "-")
    given = FoodAllowance(rule.allowance, rule.forms, reasons=(Reason(code, facts),))
    if rule.allowance is not Allowance.FIRST_TASTES:
        return Row(rule, given)
    return Row(rule, given, _steps(rule, food))


def _steps(rule: Rule, food: Food) -> Steps:
    """The steps of a first taste. An amount that cannot be weighed is none at all: we do not guess."""
    start, step, most = (
        grams(*amount, food) if amount else Decimal(0) for amount in (rule.start, rule.step, rule.most)
    )
    if start is None or step is None or most is None:
        return Steps(Decimal(0), Decimal(0), 1, Decimal(0))
    return Steps(start, step, rule.every_days or 1, most if rule.most else start)


def _unmentioned() -> Row:
    return Row(None, FoodAllowance(Allowance.NOT_YET))


def _closed(row: Row, opens_at: str) -> Row:
    """A row that allows nothing, saying when the food opens, if ever."""
    facts: dict[str, str | int] = {"stage": opens_at} if opens_at else {}
    if row.rule and row.rule.note:
        facts["note"] = row.rule.note
    reason = Reason("opens-at" if opens_at else "not-in-protocol", facts)
    return Row(row.rule, FoodAllowance(Allowance.NOT_YET, reasons=(reason,)))


def _modifier_tables(
    protocol: Protocol, foods: Mapping[str, Food]
) -> dict[str, dict[str, tuple[FoodAllowance, ...]]]:
    """For each condition and food, what the modifiers ask."""
    tables: dict[str, dict[str, tuple[FoodAllowance, ...]]] = {}
    for modifier in protocol.modifiers:
        table = tables.setdefault(modifier.when, {})
        asked = _asked(modifier)
        for food in foods.values():
            if _meets(modifier, food):
                table[food.key] = (*table.get(food.key, ()), asked)
    return tables


def _meets(modifier: Modifier, food: Food) -> bool:
    """Whether a modifier is about a food. One about *all* foods asks a kind of work only of what can be worked so:
    peeling of vegetables and fruit, boning of meat and fish, other work of all four."""
    if not modifier.all:
        return food.key == modifier.food or (bool(modifier.group) and food.group == modifier.group)
    if not modifier.require:
        return True
    if modifier.require & PLANT_WORK:
        return food.aisle in PLANT_AISLES
    if modifier.require & MEAT_WORK:
        return food.aisle in MEAT_AISLES
    return food.aisle in PLANT_AISLES | MEAT_AISLES


def _asked(modifier: Modifier) -> FoodAllowance:
    facts: dict[str, str | int] = {"condition": modifier.when}
    if modifier.require:
        facts["forms"] = forms_text((modifier.require,))
    if modifier.note:
        facts["note"] = modifier.note
    forms = (modifier.require,) if modifier.require else ()
    given = Allowance.FREELY if modifier.allowance is None else modifier.allowance
    codes = {Allowance.NOT_YET: "condition", Allowance.FLAVOUR_ONLY: "condition-flavour"}
    code = codes.get(given, "condition-form" if forms else "condition-tastes")
    return FoodAllowance(given, forms, reasons=(Reason(code, facts),))
