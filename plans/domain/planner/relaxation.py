"""The linear relaxation of a week in columns, and what it proves.

Columns are far too many to list for a whole book, so they are brought in as they are wanted: each solution prices every
row, and every pot offers the columns that would still pay at those prices. When none would, the solution is that of all
columns there are, and no week costs less. Whoever may pay ``U`` then need not look at a column whose reduced cost is
more than ``U`` less that bound.

Columns can be held. The bound is then that of the weeks they are in.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from ortools.linear_solver import pywraplp

from plans.domain.planner.columns import Column, Duals, Offer, Priced, Row, Uses, priced
from plans.domain.planner.model import Meal
from plans.domain.planner.packs_left import BOUGHT, REST
from plans.domain.planner.pricing import Pricing
from plans.domain.planner.program import Name, Program
from plans.domain.planner.setting import Pot

Limits = Mapping[Name, tuple[int, int]]
"""The least and the most of activities."""
NO_LIMITS: Limits = {}
WHOLE = ("pots", "cooked")
"""The activities that only count when whole: how many pots of a stock there are, and each pot of it."""
ONLY_WHOLE = (BOUGHT, REST)
"""Rows that say nothing to a relaxation."""
MUCH = 1e9
A_MEAL_MISSING = 3000
"""More than a pot for one meal can cost, so that meals are left out only when nothing else is left."""
_TOLERANCE = 1e-4
_LOOKED_AT = 400
_AT_ONCE = 3
"""Columns a pot brings in at a time."""
_MOST_ROUNDS = 200
_NEAR_TO_PAYING = 60.0
"""Columns farther from paying are hardly ever wanted again."""
_A_SOLUTION, _A_STEP, _A_START = 1e-3, 2e-8, 150
"""A solution takes so many seconds for anything; a step of the simplex so many for each row and column, and to start
takes so many steps."""


@dataclass(frozen=True, slots=True)
class Prices:
    """The offers at the duals of a relaxation in which some meals are taken. ``least`` is, offer by offer, no more than
    the reduced cost of any of its columns.
    """

    offers: tuple[Offer, ...]
    duals: Duals
    taken: frozenset[Meal]
    least: np.ndarray

    def reduced(self, column: Column) -> float:
        """The reduced cost of a column."""
        return column.cost - sum(self.duals.get(row, 0.0) * amount for row, amount in column.uses.items())

    def below(self, limit: float) -> Iterator[Priced]:
        """The offers that may have columns of a reduced cost below a limit."""
        for number in np.flatnonzero(self.least <= limit):
            offer = priced(self.offers[number], self.duals, self.taken)
            if offer is not None and offer.least() <= limit:
                yield offer


@dataclass(frozen=True, slots=True)
class Relaxed:
    """A solved relaxation: the lowest cost of any week, the final prices, how much of each column is chosen, and
    whether every meal is served.
    """

    bound: float
    prices: Prices | None
    chosen: tuple[tuple[float, Column], ...]
    stock: Mapping[Name, float]
    whole: bool

    def within(self, room: float, most: int) -> list[Column] | None:
        """All columns that a week can hold which costs no more than ``room`` over the bound; None if they are more than
        so many."""
        if self.prices is None:
            return []
        choices = (
            (offer.offer, meals)
            for offer in self.prices.below(room)
            for _, meals in offer.columns_below(room)
        )
        found = list(islice(choices, most + 1))
        return None if len(found) > most else [offer.column(meals) for offer, meals in found]


class Relaxation:
    """The relaxation of a program. It grows by the columns it wants, and starts again from where it was.

    ``spent`` is what solving took, in deterministic seconds.
    """

    def __init__(self, asked: Program, pricing: Pricing | None = None) -> None:
        self.spent = 0.0
        self._asked = asked
        self._pricing = pricing or Pricing(asked.offers, (*asked.meals, *asked.rows))
        self._lp = pywraplp.Solver.CreateSolver("GLOP")
        self._lp.SetSolverSpecificParametersAsString("use_preprocessing: false")
        self._lp.Objective().SetMinimization()
        endless = self._lp.infinity()
        self._rows: dict[Row, pywraplp.Constraint] = {row: self._lp.Constraint(1, 1) for row in asked.meals}
        self._rows |= {
            row: self._lp.Constraint(-endless, most)
            for row, most in asked.rows.items()
            if row[0] not in ONLY_WHOLE
        }
        missing = A_MEAL_MISSING * max(asked.setting.weights.values())
        self._missing = [self._add(missing, {row: 1}) for row in asked.meals]
        self._activities = {
            name: self._add(activity.cost, activity.uses, most=activity.most)
            for name, activity in asked.activities.items()
        }
        self._columns: dict[tuple[Pot, tuple[Meal, ...]], tuple[Column, pywraplp.Variable]] = {}

    def afresh(self) -> "Relaxation":
        """The same relaxation with no more of its columns than those near to paying, of which it solves faster."""
        fresh = Relaxation(self._asked, self._pricing)
        for column, variable in self._columns.values():
            if variable.reduced_cost() <= _NEAR_TO_PAYING:
                fresh._variable(column)
        return fresh

    def solve_each(self, held: Sequence[Column], limits: Sequence[Limits]) -> list[Relaxed]:
        """Solve once for each of some limits."""
        return [self.solve(held, each) for each in limits]

    def solve(self, held: Iterable[Column] = (), limits: Limits = NO_LIMITS) -> Relaxed:
        """Solve over every column there is, with some held and some activities within limits."""
        held = tuple(held)
        taken = frozenset(meal for column in held for meal in column.meals)
        for column in held:
            self._variable(column).SetLb(1)
        for name, (least, most) in limits.items():
            self._activities[name].SetBounds(least, most)
        try:
            return self._solved(taken)
        finally:
            for column in held:
                self._variable(column).SetLb(0)
            for name in limits:
                self._activities[name].SetBounds(0, self._asked.activities[name].most)

    @property
    def brought_in(self) -> tuple[Column, ...]:
        """Every column that was wanted so far."""
        return tuple(column for column, _ in self._columns.values())

    def _solved(self, taken: frozenset[Meal]) -> Relaxed:
        """The solution with whatever is held; with limits that cannot all be kept there is none."""
        for _ in range(_MOST_ROUNDS):
            status = self._lp.Solve()
            steps = _A_START + self._lp.iterations()
            self.spent += _A_SOLUTION + steps * (len(self._rows) + len(self._columns)) * _A_STEP
            if status != pywraplp.Solver.OPTIMAL:
                return Relaxed(MUCH, None, (), {}, whole=False)
            value, prices = self._lp.Objective().Value(), self._prices(taken)
            wanted = [(offer, choices) for offer in prices.below(-_TOLERANCE) if (choices := _wanted(offer))]
            fresh = [
                offer.offer.column(meals)
                for offer, choices in wanted
                for _, meals in choices
                if (offer.offer.pot, meals) not in self._columns
            ]
            for column in fresh:
                self._variable(column)
            if not fresh:
                break
        owed = sum(choices[0][0] for _, choices in wanted)
        missing = sum(variable.solution_value() for variable in self._missing)
        whole = {
            name: variable.solution_value() for name, variable in self._activities.items() if name[0] in WHOLE
        }
        return Relaxed(value + owed, prices, tuple(self._chosen()), whole, missing < _TOLERANCE)

    def _chosen(self) -> Iterator[tuple[float, Column]]:
        for column, variable in self._columns.values():
            if variable.solution_value() > _TOLERANCE:
                yield variable.solution_value(), column

    def _variable(self, column: Column) -> pywraplp.Variable:
        """The variable of a column. It has no most of its own: its meals keep it to one."""
        key = (column.pot, column.meals)
        if key not in self._columns:
            self._columns[key] = column, self._add(column.cost, column.uses)
        return self._columns[key][1]

    def _add(self, cost: int, uses: Uses, *, most: float = MUCH) -> pywraplp.Variable:
        variable = self._lp.NumVar(0, most, "")
        self._lp.Objective().SetCoefficient(variable, cost)
        for row, amount in uses.items():
            if row[0] not in ONLY_WHOLE:
                self._rows[row].SetCoefficient(variable, amount)
        return variable

    def _prices(self, taken: frozenset[Meal]) -> Prices:
        """What the solution makes of every offer."""
        duals = self._pricing.duals({row: constraint.dual_value() for row, constraint in self._rows.items()})
        return Prices(
            self._asked.offers,
            dict(zip(self._pricing.rows, duals.tolist(), strict=False)),
            taken,
            self._pricing.least(duals, taken),
        )


def _wanted(offer: Priced) -> list[tuple[float, tuple[Meal, ...]]]:
    """The columns of a pot that pay best at the prices of a solution; none only when none pays."""
    if offer.least() >= -_TOLERANCE:
        return []
    paying = [choice for choice in offer.likely() if choice[0] < -_TOLERANCE]
    return sorted(paying or islice(offer.columns_below(-_TOLERANCE), _LOOKED_AT))[:_AT_ONCE]
