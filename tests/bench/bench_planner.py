"""The week planner on thirty frozen briefs: against the best weeks known, the bound, another solver, and a greedy cook.

``python -m tests.bench.bench_planner [COUNT]`` looks at fewer briefs, spread over all. Best weeks known come from
longer searches, of 22 briefs so far, and are kept in ``best_weeks.json``; a better one found here belongs there. HiGHS
gets the same program with the columns nearest to paying and those the relaxation chose, and as many seconds as the
planner took.
"""

import json
import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from ortools.linear_solver.python import model_builder

from plans.domain.brief import Brief, Week
from plans.domain.planner.columns import Column
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
LONG = Effort(first=3.0, a_round=0.3, rounds=30, splits=16)
"""About five and twenty seconds on a machine that does nothing else."""
COLUMNS_FOR_HIGHS = 6000
FROM_THE_BEST = 1.03
GAP = 0.10
BETTER_THAN_HIGHS = 0.9
AGAINST_GREEDY = 0.8


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
    """The cheapest week HiGHS finds among the columns nearest to paying, in so many seconds, if any."""
    made = program(lay(asked))
    relaxed = Relaxation(made).solve()
    columns, _ = relaxed.near(MUCH, COLUMNS_FOR_HIGHS)
    columns += [column for _, column in relaxed.chosen if column not in columns]
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


def measured(number: int, known: dict[str, int]) -> Row:
    asked = brief(number)
    seconds, cost, _ = planned(asked, SHORT)
    long_seconds, long_cost, gap = planned(asked, LONG)
    return Row(
        number,
        len(asked.eaters),
        len(asked.recipes),
        cost,
        min(cost, long_cost, known.get(str(number), cost)),
        seconds,
        gap,
        long_cost,
        long_seconds,
        highs(asked, seconds),
        greedy_cost(asked),
    )


def table(rows: list[Row]) -> str:
    lines = [
        "brief  eaters  recipes   cost   best  over %  seconds  long cost  gap %  seconds   HiGHS  greedy"
    ]
    for row in rows:
        over = 100 * (row.cost / row.best - 1)
        other = f"{row.highs:7.0f}" if row.highs is not None else "   none"
        cook = f"{row.greedy:7d}" if row.greedy is not None else "   none"
        lines.append(
            f"{row.number:5d}  {row.eaters:6d}  {row.recipes:7d}  {row.cost:5d}  {row.best:5d}  {over:6.1f}  "
            f"{row.seconds:7.1f}  {row.long_cost:9d}  {100 * row.gap:5.1f}  {row.long_seconds:7.1f}  {other}  {cook}"
        )
    return "\n".join(lines)


def run(count: int = COUNT) -> list[Result]:
    known = json.loads(BEST_WEEKS.read_text(encoding="utf-8"))
    rows = [measured(place * COUNT // count, known) for place in range(count)]
    print(table(rows))
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
    run(int(sys.argv[1]) if len(sys.argv) > 1 else COUNT)
