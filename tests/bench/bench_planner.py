"""The week planner on thirty frozen briefs: against the best weeks known, the bound, another solver, and a greedy cook.

``make bench only=planner`` looks at all thirty, plain ``make bench`` at a few, and
``python -m tests.bench.bench_planner COUNT`` at as many as are asked for, spread over all. The planner works on two
cores; efforts are deterministic, so costs are the same on every machine, and seconds say what they take on this one.

Best weeks known are kept in ``best_weeks.json`` with what was spent on them; one that is found here and better is
written there, so that running again only ever improves them. ``python -m tests.bench.bench_planner best MINUTES`` looks
for better ones for so long, brief by brief, harder each time round.

HiGHS gets the same program as an integer program: every row and activity, every column that relaxations wanted on
their way to the bound of the question and of its parts, and all that the planner asks its own solver about first. It
gets as many seconds as the planner took for everything, and what listing the columns took on top.
"""

import json
import statistics
import sys
import time
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from itertools import count
from math import inf
from pathlib import Path
from typing import Any

from ortools.linear_solver.python import model_builder

from plans.domain.brief import Brief, Week
from plans.domain.planner.branches import branches
from plans.domain.planner.columns import Column
from plans.domain.planner.likely import likely
from plans.domain.planner.program import program
from plans.domain.planner.relaxation import MUCH, Relaxation
from plans.domain.planner.setting import lay
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from tests.bench.frozen_briefs import COUNT, brief
from tests.bench.greedy import greedy_cost
from tests.bench.harness import Result, compare

BEST_WEEKS = Path(__file__).with_name("best_weeks.json")
SHORT = Effort()
LONG = Effort(first=3.0, a_round=0.3, splits=16, most=24.0)
"""Meant for twenty seconds."""
A_FEW = 3
FROM_THE_BEST = 1.03
GAP = 0.10
BETTER_THAN_HIGHS = 0.9
AGAINST_GREEDY = 0.8
Known = dict[str, dict[str, Any]]
"""By the number of a brief, the cost of the best week known and the effort that found it."""


@dataclass(frozen=True, slots=True)
class Row:
    """What came of one brief: costs, the bound after a long look and the seconds of a short one."""

    number: int
    eaters: int
    recipes: int
    cost: int
    best: int
    seconds: float
    gap: float
    long_cost: int
    long_seconds: float
    highs: float | None
    greedy: int | None


def planned(asked: Brief, effort: Effort) -> tuple[float, int, float]:
    begun = time.perf_counter()
    week = plan_week(asked, effort=effort)
    seconds = time.perf_counter() - begun
    if not isinstance(week, Week):
        raise RuntimeError(f"There should be a week: {week}")
    return seconds, sum(week.objective.values()), week.gap


def highs(asked: Brief, seconds: float) -> float | None:
    """The cheapest week HiGHS finds in so many seconds, if any."""
    made = program(lay(asked))
    relaxation = Relaxation(made)
    whole = relaxation.solve()
    branches(made, relaxation, SHORT.splits)
    columns = dict.fromkeys((*likely(whole, relaxation.brought_in, MUCH), *relaxation.brought_in))
    model = model_builder.Model()
    rows: dict[object, list[object]] = {}
    prices = []

    def add(most: int, one: Column | object) -> None:
        variable = model.new_int_var(0, most, "")
        prices.append(one.cost * variable)
        for row, amount in one.uses.items():
            rows.setdefault(row, []).append(amount * variable)

    for column in columns:
        add(1, column)
    for activity in made.activities.values():
        add(activity.most, activity)
    for row in made.meals:
        model.add(sum(rows.get(row, ())) == 1)
    for row, most in made.rows.items():
        if row in rows:
            model.add(sum(rows[row]) <= most)
    model.minimize(sum(prices))
    solver = model_builder.Solver("highs")
    solver.set_time_limit_in_seconds(seconds)
    status = solver.solve(model)
    found = status in (model_builder.SolveStatus.OPTIMAL, model_builder.SolveStatus.FEASIBLE)
    return solver.objective_value if found else None


def measured(number: int, known: Known) -> Row:
    asked = brief(number)
    seconds, cost, _ = planned(asked, SHORT)
    long_seconds, long_cost, gap = planned(asked, LONG)
    return Row(
        number,
        len(asked.eaters),
        len(asked.recipes),
        cost,
        min(cost, long_cost, _known(known, number)),
        seconds,
        gap,
        long_cost,
        long_seconds,
        highs(asked, seconds),
        greedy_cost(asked),
    )


HEADING = "brief  eaters  recipes   cost   best  over %  seconds  long cost  gap %  seconds   HiGHS  greedy"


def table(rows: list[Row]) -> str:
    lines = []
    for row in rows:
        over = 100 * (row.cost / row.best - 1)
        other = f"{row.highs:7.0f}" if row.highs is not None else "   none"
        cook = f"{row.greedy:7d}" if row.greedy is not None else "   none"
        lines.append(
            f"{row.number:5d}  {row.eaters:6d}  {row.recipes:7d}  {row.cost:5d}  {row.best:5d}  {over:6.1f}  "
            f"{row.seconds:7.1f}  {row.long_cost:9d}  {100 * row.gap:5.1f}  {row.long_seconds:7.1f}  {other}  {cook}"
        )
    return "\n".join(lines)


def improve(rows: list[Row], known: Known) -> None:
    """Write down the weeks that are better than those known."""
    for row in rows:
        for cost, effort in ((row.cost, SHORT), (row.long_cost, LONG)):
            if cost < _known(known, row.number):
                known[str(row.number)] = {"cost": cost, "effort": asdict(effort)}
    _write(known)


def look_for_better(minutes: float) -> None:
    """Look for better weeks than those known, brief after brief, harder each time round."""
    known = json.loads(BEST_WEEKS.read_text(encoding="utf-8"))
    until = time.monotonic() + 60 * minutes
    for turn in count():
        effort = Effort(first=3.0 + turn, a_round=0.2 + 0.1 * turn, splits=16, most=40.0 + 20 * turn)
        for number in range(COUNT):
            if time.monotonic() > until:
                return
            _, cost, _ = planned(brief(number), effort)
            if cost < _known(known, number):
                known[str(number)] = {"cost": cost, "effort": asdict(effort)}
                _write(known)
                print(f"brief {number}: {cost}", flush=True)


def _known(known: Known, number: int) -> float:
    return known.get(str(number), {}).get("cost", inf)


def _write(known: Known) -> None:
    in_order = {number: known[number] for number in sorted(known, key=int)}
    BEST_WEEKS.write_text(json.dumps(in_order, indent=1) + "\n", encoding="utf-8")


def in_words(rows: list[Row], results: list[Result]) -> str:
    """What was asked of the planner, what came of it, and whether that is enough."""
    dearest, gap, highs_, greedy = results
    over = [row.cost / row.best - 1 for row in rows]
    said = (
        (
            dearest,
            f"after {_about(row.seconds for row in rows)} within 3 % of the best week known: "
            f"{sum(each <= FROM_THE_BEST - 1 for each in over)} of {len(rows)}, at worst {max(over):.1%} over",
        ),
        (
            gap,
            f"after {_about(row.long_seconds for row in rows)} proven within 10 % in the median: {gap.value:.1%}",
        ),
        (
            highs_,
            f"better than HiGHS in the same time on nine of ten: {highs_.value:.0f} of {len(rows)}",
        ),
        (
            greedy,
            f"a fifth better than a greedy cook in the median: {1 - greedy.value:.1%} better, on "
            f"{sum(row.greedy is not None for row in rows)} briefs the cook can do",
        ),
    )
    return "\n".join(f"{'holds' if result.holds else 'MISSED'}  {words}" for result, words in said)


def _about(seconds: Iterable[float]) -> str:
    known = list(seconds)
    return f"{statistics.median(known):.1f} s (at most {max(known):.1f} s)"


def run() -> list[Result]:
    """The short form."""
    return run_some(A_FEW)


def run_whole() -> list[Result]:
    """All briefs."""
    return run_some(COUNT)


def run_some(number: int) -> list[Result]:
    known = json.loads(BEST_WEEKS.read_text(encoding="utf-8"))
    rows = []
    for place in range(number):
        rows.append(measured(place * COUNT // number, known))
        print(table(rows[-1:]) if place else f"{HEADING}\n{table(rows)}", flush=True)
    improve(rows, known)
    results = compared(rows)
    print(f"\n{in_words(rows, results)}")
    return results


def compared(rows: list[Row]) -> list[Result]:
    wins = sum(row.highs is None or row.cost < row.highs for row in rows)
    greedy = [row.cost / row.greedy for row in rows if row.greedy is not None]
    return [
        compare(
            name="dearest week against the best known",
            unit="of it",
            value=max(row.cost / row.best for row in rows),
            baseline_name="the best known",
            baseline=1,
            goal=FROM_THE_BEST,
        ),
        compare(
            name="median gap after a long look",
            unit="of the cost",
            value=statistics.median(row.gap for row in rows),
            baseline_name="the cost",
            baseline=1,
            goal=GAP,
        ),
        compare(
            name="weeks cheaper than by HiGHS in the same time",
            unit="briefs",
            value=wins,
            baseline_name="all briefs",
            baseline=len(rows),
            goal=BETTER_THAN_HIGHS,
            better="higher",
        ),
        compare(
            name="median cost against a greedy cook",
            unit="of it",
            value=statistics.median(greedy) if greedy else 0,
            baseline_name="a greedy cook",
            baseline=1,
            goal=AGAINST_GREEDY,
        ),
    ]


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["best", minutes]:
            look_for_better(float(minutes))
        case [some]:
            run_some(int(some))
        case _:
            run_some(COUNT)
