"""Asking the solver, so that the same question always gets the same answer.

One worker, a fixed seed and a limit in the solver's own deterministic time, never in seconds: a slow machine takes
longer and finds the same week. First the whole model, which also proves the bound; then rounds that hold most of the
best week still and look again at a few days, at breakfasts and stock, or at a handful of other dishes.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import cycle, islice
from math import ceil
from typing import TypeVar

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpModel, CpSolver, IntVar, LinearExpr

from plans.domain.planner.model import WeekModel
from plans.domain.planner.setting import MAIN_SLOTS

_Name = TypeVar("_Name")
_SEED = 7
_NOISE = 1e-6
"""Costs are whole numbers; the solver reports them with rounding noise."""
_WINDOW_DAYS = 3
_OTHER_DISHES = 5


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to look, in the solver's deterministic seconds: for a first answer and for each round after.

    A week in plates takes so many ``rounds``. One in columns is split ``splits`` times before, and begins rounds until
    ``most`` is spent on all there is.
    """

    first: float = 2.5
    a_round: float = 0.2
    rounds: int = 12
    splits: int = 6
    most: float = 4.8


@dataclass(frozen=True, slots=True)
class Answer:
    """A solution: the value of every variable by index, its cost and the lowest cost that is still possible."""

    values: tuple[int, ...]
    cost: int
    bound: int

    def of(self, variable: IntVar) -> int:
        """The value of a variable."""
        return self.values[variable.index]

    def worth(self, expression: LinearExpr | int) -> int:
        """The value of a linear expression."""
        if isinstance(expression, int):
            return expression
        flat = cp_model.FlatIntExpr(expression)
        terms = zip(flat.vars, flat.coeffs, strict=True)
        return flat.offset + sum(coefficient * self.of(variable) for variable, coefficient in terms)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of asking: an answer, or none; without one ``impossible`` says whether that is proven.

    ``spent`` is in the solver's deterministic seconds.
    """

    answer: Answer | None
    impossible: bool = False
    proven: bool = False
    spent: float = 0.0


def solve(model: CpModel, effort: float, *, probing: bool = True) -> Outcome:
    """Ask once. Probing tries every variable before the search, which pays where the question is asked for long."""
    solver = _solver(effort)
    if not probing:
        solver.parameters.cp_model_probing_level = 0
    return _outcome(model, solver)


def collide(model: CpModel, literals: Mapping[_Name, IntVar], effort: float) -> tuple[list[_Name], Outcome]:
    """Ask whether all of some literals can be true; if that is impossible, the names of some that cannot. All of them,
    when it stays open."""
    model.add_assumptions(list(literals.values()))
    solver = _solver(effort)
    outcome = _outcome(model, solver)
    if not outcome.impossible:
        return list(literals), outcome
    names = {literal.index: name for name, literal in literals.items()}
    return [names[index] for index in solver.sufficient_assumptions_for_infeasibility()], outcome


def _solver(effort: float) -> CpSolver:
    solver = CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = _SEED
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = effort
    return solver


def _outcome(model: CpModel, solver: CpSolver) -> Outcome:
    status = solver.solve(model)
    spent = solver.response_proto.deterministic_time
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outcome(None, impossible=status == cp_model.INFEASIBLE, spent=spent)
    whole_bound = ceil(solver.best_objective_bound - _NOISE)
    answer = Answer(tuple(solver.response_proto.solution), round(solver.objective_value), whole_bound)
    return Outcome(answer, proven=status == cp_model.OPTIMAL, spent=spent)


def solve_in_rounds(week: WeekModel, effort: Effort) -> Outcome:
    """Ask for the whole week, then improve on it round by round."""
    outcome = solve(week.cp, effort.first)
    if outcome.answer is None or outcome.proven:
        return outcome
    best = outcome.answer
    for number, look in enumerate(islice(cycle((_days, _small_meals, _days, _dishes)), effort.rounds)):
        if best.cost <= best.bound:
            return Outcome(best, proven=True)
        again = solve(_held(week.cp, best, look(week, best, number)), effort.a_round).answer
        if again is not None and again.cost < best.cost:
            best = Answer(again.values, again.cost, best.bound)
    return Outcome(best, proven=best.cost <= best.bound)


def hint(model: CpModel, answer: Answer) -> None:
    """Let the next search of a model start from an answer."""
    model.clear_hints()
    for index, value in enumerate(answer.values):
        model.add_hint(model.get_int_var_from_proto_index(index), value)


def _held(model: CpModel, best: Answer, fixed: Iterator[IntVar]) -> CpModel:
    """A copy of the model that keeps some variables as they are in the best week and starts from it."""
    held = model.clone()
    for variable in fixed:
        held.add(held.get_int_var_from_proto_index(variable.index) == best.of(variable))
    hint(held, best)
    return held


def _days(week: WeekModel, best: Answer, number: int) -> Iterator[IntVar]:
    """Keep every meal but those of three days."""
    start = 2 * number % week.setting.brief.days
    looked_at = {(start + day) % week.setting.brief.days for day in range(_WINDOW_DAYS)}
    for (_, (day, _)), served in week.served.items():
        if day not in looked_at:
            yield served


def _small_meals(week: WeekModel, best: Answer, number: int) -> Iterator[IntVar]:
    """Keep midday and evening; look at breakfasts, mugs and stock."""
    for (_, (_, slot)), served in week.served.items():
        if slot in MAIN_SLOTS:
            yield served


def _dishes(week: WeekModel, best: Answer, number: int) -> Iterator[IntVar]:
    """Keep every dish out that is neither cooked now nor one of a few others, who take turns."""
    dishes = [key for key, dish in week.setting.dishes.items() if not dish.recipe.makes]
    used = {key for (key, _), cooked in week.cooked.items() if best.of(cooked)}
    others = [key for key in dishes if key not in used]
    start = _OTHER_DISHES * (number // 4)
    turn = {others[(start + place) % len(others)] for place in range(_OTHER_DISHES)} if others else set()
    for (key, _), cooked in week.cooked.items():
        if key in dishes and key not in used and key not in turn:
            yield cooked
