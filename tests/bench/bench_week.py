"""A week for a household of four in four stages out of 84 recipes, and the allowances it starts from.

A week's time is held against the same week for one eater alone: sharing seats should make four cost little more than
one. Its cost is held against the first week the solver finds, and against the lowest cost it could not rule out.
Allowances are held against the checker of the tests, which works each out from the rule rows.
"""

import time
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from plans.domain.allowance import day_allowances
from plans.domain.book import Recipe
from plans.domain.brief import Brief, Week
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from tests import checker, shipped
from tests.bench.harness import Result, compare

START = date(2026, 12, 7)
RECIPES = {"main": 52, "breakfast": 26, "stock": 6}
FIRST_ONLY = Effort(first=0.7, rounds=0, splits=0, most=0.0)
"""One dive and nothing after it."""
FOUR_AGAINST_ONE = 2.5
FINAL_AGAINST_FIRST = 0.95
COST_AGAINST_BOUND = 1.35
ALLOWANCES_AGAINST_CHECKER = 10


def some_recipes() -> tuple[Recipe, ...]:
    """84 recipes of the shipped book, taken evenly by key."""
    chosen: list[Recipe] = []
    for kind, count in RECIPES.items():
        of_kind = sorted(
            (recipe for recipe in shipped.recipes() if recipe.kind == kind), key=lambda recipe: recipe.key
        )
        chosen += [of_kind[place * len(of_kind) // count] for place in range(count)]
    return tuple(chosen)


def follows(stage: str, **facts: Any) -> dict[str, Any]:
    return shipped.eater(protocol="hearth-five", stages=[(START - timedelta(days=5), stage)], **facts)


def one() -> Brief:
    return shipped.brief(shipped.household({"ana": follows("settle")}), cook_from=some_recipes())


def four() -> Brief:
    eaters = {
        "ana": follows("settle", conditions={"loose-stools"}),
        "bo": follows("widen", appetite="1.2", leaning="meat"),
        "cy": follows("soften", born=date(2014, 5, 1), appetite="0.8", allergies={"milk"}),
        "di": shipped.eater(born=date(2021, 3, 1), appetite="0.5"),
    }
    return shipped.brief(shipped.household(eaters), cook_from=some_recipes())


def timed(plan: Callable[[], Any]) -> tuple[float, Week]:
    begun = time.perf_counter()
    week = plan()
    seconds = time.perf_counter() - begun
    if not isinstance(week, Week):
        raise RuntimeError(f"There should be a week: {week}")
    return seconds, week


def per_second(work: Callable[[], int]) -> float:
    """How many answers a second some work gives, over at least half a second."""
    begun, answers = time.perf_counter(), 0
    while time.perf_counter() - begun < 0.5:
        answers += work()
    return answers / (time.perf_counter() - begun)


def all_allowances() -> int:
    facts = follows("taste", allergies={"milk"}, conditions={"loose-stools"})
    return len(day_allowances(shipped.rulebook("hearth-five"), shipped.eater_rules(facts), START))


def all_checks() -> int:
    facts = follows("taste", allergies={"milk"}, conditions={"loose-stools"})
    checker.forget_rows()
    for key in checker.foods():
        checker.why_not(facts, key, {"boiled", "peeled"}, "base", START)
    return len(checker.foods())


def run() -> list[Result]:
    asked = four()
    alone, _ = timed(lambda: plan_week(one()))
    together, week = timed(lambda: plan_week(asked))
    _, first = timed(lambda: plan_week(asked, effort=FIRST_ONLY))
    cost = sum(week.objective.values())
    return [
        compare(
            name=f"week for four, {len(asked.recipes)} recipes",
            unit="s",
            value=together,
            baseline_name="week for one",
            baseline=alone,
            goal=FOUR_AGAINST_ONE,
        ),
        compare(
            name="its cost",
            unit="points",
            value=cost,
            baseline_name="cost of the first week found",
            baseline=sum(first.objective.values()),
            goal=FINAL_AGAINST_FIRST,
        ),
        compare(
            name="its cost",
            unit="points",
            value=cost,
            baseline_name="lowest cost not ruled out",
            baseline=week.bound,
            goal=COST_AGAINST_BOUND,
        ),
        compare(
            name="allowances",
            unit="a second",
            value=per_second(all_allowances),
            baseline_name="the tests' checker",
            baseline=per_second(all_checks),
            goal=ALLOWANCES_AGAINST_CHECKER,
            better="higher",
        ),
    ]
