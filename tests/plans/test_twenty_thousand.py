"""Twenty thousand made-up eaters ask for foods of the shipped book; a checker that shares no code says what is unsafe.

Every eater, drawn from one fixed seed, asks on one day for a few foods, each in a form, a use and an amount. Whatever
the allowances permit, the checker must not forbid. The checker may forbid less: it knows nothing of foods that wait
their turn. That the count of zero means something is shown by breaking the allowances, one rule at a time: each time
the checker must find unsafe food.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
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
from tests.plans.made_up import carrying, eater, form, keys, limited, made_with

SEED = 20_000
EATERS = 20_000
QUESTIONS = 6
FIRST_DAY = date(2026, 1, 1)
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
    "more than a dose",
    "a day without what is tested",
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


def questions(random: Random, facts: dict[str, Any]) -> Iterator[Question]:
    """Half are about foods that something is known of for this eater: those are where mistakes would hurt."""
    tasted = sorted({tried["food"] for tried in facts["introductions"]})
    touchy = sorted({*tasted, *facts["excluded"], *facts["forbidden"]})
    touchy += sorted(key for family in facts["allergies"] for key in carrying()[family])
    for _ in range(QUESTIONS):
        pool = random.choice(
            (keys(), limited(), touchy or keys(), touchy or limited(), tasted or touchy or keys())
        )
        key = random.choice(pool)
        if random.random() < 0.3:
            key = random.choice(made_with()[key])
        tried = [each["form"] for each in facts["introductions"] if each["food"] == key]
        asked = random.choice(tried) if tried and random.random() < 0.6 else form(random)
        use = random.choice(tuple(Use)).value
        yield Question(key, asked, use, random.choice(AMOUNTS_G))


def permitted(book: RuleBook, rules: EaterRules, asked: Question, on: date) -> bool:
    """Whether an allowance lets the food be used so: the one for its form or the bare one."""
    form_asked, use = form_of(asked.form), Use(asked.use)
    answers = [allowance(book, rules, asked.food, how, on) for how in (form_asked, None)]
    return any(permits(given, form_asked, use, Decimal(asked.amount_g)) for given in answers)


def forbidden(facts: dict[str, Any], asked: Question, on: date) -> str | None:
    """Why the checker forbids what is asked; None when it does not."""
    why = checker.why_not(facts, asked.food, checker.words(asked.form), asked.use, on)
    if why or asked.use == "flavour":
        return why
    most = checker.most_g(facts, asked.food, on)
    if most is None or asked.amount_g <= most:
        return None
    return "more than a first taste" if checker.dose_g(facts, asked.food, on) is None else "more than a dose"


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


def open_for_good(self: Any, food: str) -> Any:
    return None, [tried for tried in self.begun if tried.food == food and tried.outcome == "open"]


def never_kept_out(self: Any, food: str) -> Any:
    return None, rightly_tried(self, food)[1]


def without_challenges(self: Any, food: str) -> Any:
    return {}


def flavouring_in_any_form(self: Any, food: str, given: Any) -> Any:
    return replace(rightly_introduced(self, food, given), flavour_forms=())


def limits_of_what_is_eaten(self: Any, food: str, given: Any) -> Any:
    limited = rightly_limited(self, food, given)
    return replace(limited, flavour_forms=given.flavour_forms)


def introduced_over_all(self: Any, food: str) -> Any:
    return rightly_introduced(self, food, rightly_answered(self, food))


rightly_answered = allowances._Day.answer
rightly_introduced = allowances._Day._introduced
rightly_limited = allowances._Day._limited
rightly_tried = allowances._Day._tries


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
        ("_limited", limits_of_what_is_eaten, "raw egg or sprouts for somebody at risk"),
        ("_tries", never_kept_out, "a reaction"),
        ("_tries", open_for_good, "not open"),
        ("_introduced", flavouring_in_any_form, "not open"),
        ("_challenges", without_challenges, "a day without what is tested"),
        ("_challenges", without_challenges, "more than a dose"),
        ("_challenges", without_challenges, "not open at challenge"),
        ("_modified", left_undone, "closed by a condition"),
        ("answer", introduced_over_all, "closed by a condition"),
    ],
)
def test_a_broken_rule_is_found(monkeypatch: pytest.MonkeyPatch, step: str, fault: Any, found: str):
    """The first of the same eaters, with one step of the allowances spoilt."""
    monkeypatch.setattr(allowances._Day, step, fault)
    unsafe = (line for eaters in (1_000, 4_000) for line in asked_of(eaters).unsafe)
    assert any(f": {found}" in line for line in unsafe)
