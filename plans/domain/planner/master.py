"""A week in columns as the solver's model: some of the columns, some of them held, and all that is not a column."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ortools.sat.python.cp_model import CpModel, IntVar, LinearExpr

from plans.domain.planner.columns import Column, Row, Uses
from plans.domain.planner.packs_left import BOUGHT, REST
from plans.domain.planner.program import Name, Program
from plans.domain.planner.relaxation import NO_LIMITS, Limits
from plans.domain.planner.setting import Pot
from plans.domain.planner.solving import solve

_ONLY_IF_USED = ("again", "twice", BOUGHT, REST)


@dataclass(frozen=True, slots=True)
class Found:
    """A week in columns, the pots of stock that it cooks, and its cost."""

    columns: tuple[Column, ...]
    stock: tuple[Pot, ...]
    cost: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What came of asking: a week or none, the least that a week of these columns can cost, and what asking took."""

    found: Found | None
    bound: int | None
    spent: float = 0.0


@dataclass(frozen=True, slots=True)
class _Master:
    cp: CpModel
    columns: Mapping[int, Column]
    """By the index of their variable."""
    stock: Mapping[Pot, IntVar]


def ask(
    program: Program,
    columns: Iterable[Column],
    *,
    held: Iterable[Column] = (),
    limits: Limits = NO_LIMITS,
    below: int | None = None,
    effort: float,
) -> Asked:
    """The cheapest week of some columns in which those held are, if there is one that costs less than ``below``."""
    held, columns = tuple(held), tuple(columns)
    if not held and not columns:
        return Asked(None, below)
    model = _master(program, (*held, *columns), limits, below)
    for index in range(len(held)):
        model.cp.add(model.cp.get_int_var_from_proto_index(index) == 1)
    outcome = solve(model.cp, effort, probing=False)
    if outcome.answer is None:
        return Asked(None, below if outcome.impossible else None, outcome.spent)
    values = outcome.answer.values
    chosen = tuple(column for index, column in model.columns.items() if values[index])
    stock = tuple(pot for pot, variable in model.stock.items() if outcome.answer.of(variable))
    return Asked(Found(chosen, stock, outcome.answer.cost), outcome.answer.bound, outcome.spent)


def _master(program: Program, columns: tuple[Column, ...], limits: Limits, below: int | None) -> _Master:
    cp = CpModel()
    rows: dict[Row, list[tuple[IntVar, int]]] = {}
    prices: list[tuple[IntVar, int]] = []

    def add(variable: IntVar, cost: int, uses: Uses) -> IntVar:
        prices.append((variable, cost))
        for row, amount in uses.items():
            rows.setdefault(row, []).append((variable, amount))
        return variable

    pots: dict[Pot, list[IntVar]] = {}
    by_index: dict[int, Column] = {}
    for column in columns:
        variable = add(cp.new_bool_var(""), column.cost, column.uses)
        by_index[variable.index] = column
        pots.setdefault(column.pot, []).append(variable)
    done: dict[Name, IntVar] = {}
    for name, activity in program.activities.items():
        if name[0] not in _ONLY_IF_USED or name in rows:
            least, most = limits.get(name, (0, activity.most))
            done[name] = add(cp.new_int_var(least, most, ""), activity.cost, activity.uses)
    for row in program.meals:
        cp.add_exactly_one(variable for variable, _ in rows.get(row, ()))
    for variables in pots.values():
        cp.add_at_most_one(variables)
    for row, most in program.rows.items():
        if row in rows:
            cp.add(_weighted(rows[row]) <= most)
    cost = _weighted(prices)
    if below is not None:
        cp.add(cost < below)
    cp.minimize(cost)
    return _Master(
        cp, by_index, {name[1]: variable for name, variable in done.items() if name[0] == "cooked"}
    )


def _weighted(terms: list[tuple[IntVar, int]]) -> LinearExpr:
    variables, amounts = zip(*terms, strict=True)
    return LinearExpr.weighted_sum(variables, amounts)
