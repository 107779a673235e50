"""Days for every task by a solver: exact, deterministic, and slower to begin than the short search before it.

One worker, a fixed seed and a limit in the solver's own deterministic time, never in seconds.
"""

from collections.abc import Callable, Mapping, Sequence

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar

from plans.domain.lead_in.windows import Job, Lag, Windows

EFFORT = 1.0
"""Deterministic time of the solver for one plan; common plans need a hundredth of it."""


def exact_days(
    jobs: Sequence[Job],
    lags: Sequence[Lag],
    room: Callable[[int], int | None],
    found: Windows,
    *,
    nearest: bool,
) -> tuple[Mapping[str, int] | None, bool]:
    """Days that keep windows, lags and free minutes, and whether the answer is certain: days always are, none only if
    the solver proved it. With ``nearest`` they are as near to the best days as the solver found.
    """
    model = CpModel()
    days: dict[str, IntVar] = {}
    work: dict[int, list[tuple[int, IntVar]]] = {}
    far = []
    for job in jobs:
        first, last = found[job.key]
        days[job.key] = model.new_int_var(first, last, job.key)
        if nearest:
            off = model.new_int_var(0, max(abs(first - job.best), abs(last - job.best)), "")
            model.add_abs_equality(off, days[job.key] - job.best)
            far.append(off)
        if job.minutes and room(first) is not None:
            chosen = [model.new_bool_var("") for _day in range(first, last + 1)]
            model.add_exactly_one(chosen)
            model.add(days[job.key] == sum((first + at) * one for at, one in enumerate(chosen)))
            for at, one in enumerate(chosen):
                work.setdefault(first + at, []).append((job.minutes, one))
    for day, pairs in work.items():
        model.add(sum(minutes * one for minutes, one in pairs) <= (room(day) or 0))
    for lag in lags:
        wait = days[lag.after] - days[lag.before]
        model.add(wait >= lag.least)
        if lag.most is not None:
            model.add(wait <= lag.most)
    if nearest:
        model.minimize(sum(far))
    solver = CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 7
    solver.parameters.max_deterministic_time = EFFORT
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {key: solver.value(day) for key, day in days.items()}, True
    return None, status == cp_model.INFEASIBLE
