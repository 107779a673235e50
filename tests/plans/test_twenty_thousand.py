"""Twenty thousand made-up eaters ask for foods of the shipped book; a checker that shares no code says what is unsafe.

Every eater, drawn from one fixed seed, asks on one day for a few foods, each in a form, a use and an amount. Whatever
the allowances permit, the checker must not forbid. The checker may forbid less: it knows nothing of doses of planned
challenges or of foods that wait their turn. That the count of zero means something is shown by breaking the allowances,
one rule at a time: each time the checker must find unsafe food.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from random import Random
from typing import Any

import pytest

from plans.domain import allowance as allowances
from plans.domain.allowance import EaterRules, allowance
from plans.domain.brief import Reason
from plans.domain.records import form_of
from plans.domain.rulebook import RuleBook
from plans.domain.tighten import barred, permits
from plans.domain.vocabulary import Use
from tests import checker, shipped

SEED = 20_000
EATERS = 20_000
QUESTIONS = 6
FIRST_DAY = date(2026, 1, 1)
STAGES = {
    "hearth-five": ("settle", "soften", "taste", "widen", "table"),
    "three-phase": ("restriction", "challenge", "personal"),
}
CONDITIONS = ("loose-stools", "constipation", "reflux", "nausea", "flare")
FAMILIES = (
    "milk",
    "egg",
    "fish",
    "crustacean",
    "mollusc",
    "tree-nut",
    "peanut",
    "wheat",
    "gluten",
    "soy",
    "sesame",
    "celery",
    "mustard",
    "lupin",
    "sulphite",
)
COOKING = ("raw", "broth", "boiled", "steamed", "stewed", "baked", "roasted", "fried", "cultured", "infused")
HANDLING = ("peeled", "deseeded", "pureed", "minced", "boned", "strained", "soaked")
OUTCOMES = ("open", "open", "tolerated", "reacted", "unclear")
FLAGS = ("breastfeeding", "weak-immunity", "warfarin")
AMOUNTS_G = (1, 5, 15, 40, 100, 250)
EVERY_REASON = {
    "",
    "an allergy",
    "an exclusion",
    "solid food before four months (AAP, CDC)",
    "honey before twelve months, baked or not (CDC; INSPQ)",
    "whole nuts before five years (UK NHS)",
    "a choking hazard before four years (USDA MyPlate)",
    "raw milk for somebody at risk (CDC)",
    "raw egg or sprouts for somebody at risk (foodsafety.gov; FDA)",
    "liver in pregnancy (UK NHS)",
    "fish high in mercury (FDA and EPA)",
    "alcohol (CDC)",
    "a reaction",
    "not open",
    "closed by a condition",
    "a first taste that no introduction has begun",
    "more than a first taste",
    "flavour only",
    "not in this form",
    "not in this form as a flavour",
}
"""All that the checker can say; empty when it does not forbid. Every one has to come up."""


@dataclass(frozen=True, slots=True)
class Question:
    """One food in a form, a use and an amount in grams, asked by an eater on a day."""

    food: str
    form: str
    use: str
    amount_g: int


@dataclass
class Tally:
    """What came of the questions. ``unsafe`` is what was permitted though the checker forbids it."""

    eaters: int = 0
    permitted: int = 0
    refused: int = 0
    forbidden: Counter[str] = field(default_factory=Counter)
    unsafe: list[str] = field(default_factory=list)


def eater(random: Random, on: date) -> dict[str, Any]:
    """Somebody of any age, with any mix of facts, who may be following a protocol and trying foods."""
    facts = shipped.eater(
        born=on - timedelta(days=int(random.choice((400, 2_500, 8_000, 33_000)) * random.random()) + 60),
        allergies=set(random.sample(FAMILIES, random.choice((0, 0, 1, 2)))),
        excluded=set(random.sample(keys(), random.choice((0, 0, 1, 3)))),
        forbidden=set(random.sample(keys(), random.choice((0, 0, 0, 2)))),
        flags=flags(random),
    )
    if random.random() < 0.8:
        followed = random.choice(tuple(STAGES))
        stages = STAGES[followed]
        first = random.randrange(len(stages))
        facts["protocol"] = followed
        facts["stages"] = [
            (on + timedelta(days=7 * step - random.randrange(7, 21)), key)
            for step, key in enumerate(stages[first : first + 2])
        ]
        facts["stages"].sort(key=lambda entry: entry[0])
        facts["conditions"] = set(random.sample(CONDITIONS, random.choice((0, 0, 1, 2))))
    facts["introductions"] = introductions(random, on)
    return facts


def flags(random: Random) -> set[str]:
    found = set(random.sample(FLAGS, random.choice((0, 0, 0, 1))))
    return found | {"pregnant"} if random.random() < 0.15 else found


def introductions(random: Random, on: date) -> list[dict[str, Any]]:
    """Up to three, none begun on the same day: one unknown at a time. A food may be tried again."""
    found: list[dict[str, Any]] = []
    for ago in random.sample(range(-2, 30), random.choice((0, 0, 1, 2, 3))):
        first_day, outcome = on - timedelta(days=ago), random.choice(OUTCOMES)
        left_out = outcome == "reacted" and random.random() < 0.7
        again = found and random.random() < 0.4
        found.append(
            {
                "food": found[-1]["food"] if again else random.choice(keys()),
                "form": form(random),
                "first_day": first_day,
                "watch_until": first_day + timedelta(days=random.randrange(8)),
                "outcome": outcome,
                "left_out_until": first_day + timedelta(days=random.randrange(60)) if left_out else None,
            }
        )
    return found


def questions(random: Random, facts: dict[str, Any]) -> Iterator[Question]:
    """Half are about foods that something is known of for this eater: those are where mistakes would hurt."""
    touchy = sorted(
        {tried["food"] for tried in facts["introductions"]} | facts["excluded"] | facts["forbidden"]
    )
    touchy += sorted(key for family in facts["allergies"] for key in carrying()[family])
    for _ in range(QUESTIONS):
        pool = random.choice((keys(), limited(), touchy or keys(), touchy or limited()))
        key = random.choice(pool)
        if random.random() < 0.3:
            key = random.choice(made_with()[key])
        tried = [each["form"] for each in facts["introductions"] if each["food"] == key]
        asked = random.choice(tried) if tried and random.random() < 0.6 else form(random)
        use = random.choice(tuple(Use)).value
        yield Question(key, asked, use, random.choice(AMOUNTS_G))


def form(random: Random) -> str:
    """One way of cooking, often with more work done."""
    return " + ".join((random.choice(COOKING), *random.sample(HANDLING, random.choice((0, 1, 1, 2)))))


@cache
def keys() -> tuple[str, ...]:
    return tuple(sorted(checker.foods()))


@cache
def limited() -> tuple[str, ...]:
    """The foods that some limit of age or condition names."""
    return tuple(key for key in keys() if checker.limits(key, inherited=True))


@cache
def carrying() -> dict[str, tuple[str, ...]]:
    """The foods that carry each allergen family."""
    return {family: tuple(key for key in keys() if family in checker.families(key)) for family in FAMILIES}


@cache
def made_with() -> dict[str, tuple[str, ...]]:
    """The foods that contain each food, itself among them."""
    return {key: tuple(each for each in keys() if key in checker.parts(each)) for key in keys()}


def permitted(book: RuleBook, rules: EaterRules, asked: Question, on: date) -> bool:
    """Whether an allowance lets the food be used so: the one for its form, or for what is eaten the bare one, too.

    What may be eaten as prepared may flavour a pot in any form, so for flavours only the one for the form is asked.
    """
    form_asked, use = form_of(asked.form), Use(asked.use)
    answers = [allowance(book, rules, asked.food, form_asked, on)]
    if use is not Use.FLAVOUR:
        answers.append(allowance(book, rules, asked.food, None, on))
    return any(permits(given, form_asked, use, Decimal(asked.amount_g)) for given in answers)


def forbidden(facts: dict[str, Any], asked: Question, on: date) -> str | None:
    """Why the checker forbids what is asked; None when it does not."""
    why = checker.why_not(facts, asked.food, checker.words(asked.form), asked.use, on)
    if why or asked.use == "flavour":
        return why
    stage = checker.stage_of(facts, on)
    row = checker.row_for(facts, asked.food, stage) if stage else None
    if row and row["allowance"] == "first tastes":
        most = checker.first_taste_g(facts, asked.food, row, on)
        return "more than a first taste" if asked.amount_g > most else None
    return None


def asked_of(eaters: int) -> Tally:
    """Let the first so many eaters ask, and hold every answer against the checker's."""
    random, tally = Random(SEED), Tally()
    for _ in range(eaters):
        on = FIRST_DAY + timedelta(days=random.randrange(730))
        facts = eater(random, on)
        book, rules = shipped.rulebook(facts["protocol"]), shipped.eater_rules(facts)
        for asked in questions(random, facts):
            why = forbidden(facts, asked, on)
            tally.forbidden[why or ""] += 1
            if not permitted(book, rules, asked, on):
                tally.refused += 1
                continue
            tally.permitted += 1
            if why:
                tally.unsafe.append(f"{on} {asked}: {why}; {facts}")
        tally.eaters += 1
    return tally


@pytest.mark.slow
def test_twenty_thousand_eaters_are_offered_nothing_unsafe():
    tally = asked_of(EATERS)
    assert tally.unsafe[:3] == []
    assert (tally.eaters, len(tally.unsafe)) == (20_000, 0)
    assert tally.permitted + tally.refused == EATERS * QUESTIONS
    assert min(tally.permitted, tally.refused) > EATERS, "a lopsided draw would show little"
    assert {
        reason.partition(" at ")[0] if reason.startswith("not open") else reason for reason in tally.forbidden
    } == EVERY_REASON


def test_the_draw_is_the_same_every_time():
    assert asked_of(50) == asked_of(50)


def left_undone(self: Any, food: str, given: Any) -> Any:
    return given


def without_stages(self: Any, food: str) -> Any:
    return allowances.NO_PROTOCOL


def without_allergies(self: Any, food: str, given: Any) -> Any:
    for part in self.rules.excluded & self.book.made_of[food]:
        given = barred(given, Reason("excluded", {"food": part}))
    return given


def open_for_good(self: Any, tried: Any) -> bool:
    return tried.outcome == "open"


def never_kept_out(self: Any, food: str, given: Any) -> Any:
    for tried in self.begun:
        if tried.food == food and self._opens(tried):
            given = self._open(given, tried)
    return given


@pytest.mark.parametrize(
    ("step", "fault", "found"),
    [
        ("_at_stage", without_stages, "not open"),
        ("_excluded", without_allergies, "an allergy"),
        ("_excluded", left_undone, "an exclusion"),
        ("_instructed", left_undone, "an exclusion"),
        ("_limited", left_undone, "solid food before four months (AAP, CDC)"),
        ("_limited", left_undone, "alcohol (CDC)"),
        ("_limited", left_undone, "whole nuts before five years (UK NHS)"),
        ("_introduced", never_kept_out, "a reaction"),
        ("_opens", open_for_good, "not open"),
        ("_modified", left_undone, "closed by a condition"),
    ],
)
def test_a_broken_rule_is_found(monkeypatch: pytest.MonkeyPatch, step: str, fault: Any, found: str):
    """The first thousand of the same eaters, with one step of the allowances spoilt."""
    monkeypatch.setattr(allowances._Day, step, fault)
    assert any(f": {found}" in line for line in asked_of(1_000).unsafe)
