"""Looking for the cheapest week among columns.

A first week comes from a dive: columns of which the relaxation is surest are held, one after another, until the solver
can choose the rest. A search among the columns nearest to paying their way betters it, or shows that there is none.
Rounds then hold most of the best week still and look at the rest again, with every column that could better it, or the
nearest of them where there are too many.
"""

from dataclasses import dataclass, replace
from math import ceil
from random import Random

from plans.domain.planner.branches import Branch, branches
from plans.domain.planner.columns import Column, Duals
from plans.domain.planner.master import Found, ask
from plans.domain.planner.program import Program
from plans.domain.planner.relaxation import MUCH, Limits, Relaxation, Relaxed
from plans.domain.planner.solving import Effort

_NOISE = 1e-3
MOST_COLUMNS = 1200
"""More than this the solver does not look through in the time there is."""
OPEN_MEALS = 12
"""A dive leaves so many meals to the solver, and a round opens ``FREED_MEALS``."""
FREED_MEALS = 14
SURE = 0.8
ROUND_SPLITS = 2
SHARE = 0.4
"""How much of an effort a question in columns needs: it is a smaller one than a question in plates."""
FREE_STOCK = 5
"""Every so many rounds the stock is open too. Otherwise it stays, which leaves far fewer columns to look at."""
SPREAD_DAYS = 4


@dataclass(frozen=True, slots=True)
class Best:
    """The best week found, the least that any may cost, and what the relaxation says each row is worth."""

    week: Found
    bound: int
    duals: Duals


def search(asked: Program, effort: Effort) -> Best | None:
    """The best week in columns found within an effort."""
    relaxation = Relaxation(asked)
    whole = relaxation.solve()
    parts = branches(asked, relaxation, effort.splits)
    best = None
    for number, part in enumerate(parts):
        if best is not None and number >= effort.splits // 2:
            break
        best = _dive(asked, relaxation, part, effort, best) or best
    best = best or _from_nothing(asked, whole, effort)
    if best is None:
        return None
    best, bound = _near(asked, whole, best, ceil((parts[0] if parts else whole).bound - _NOISE), effort)
    for number in range(effort.rounds):
        if best.cost <= bound:
            break
        best = _look_again(asked, relaxation, best, number, effort) or best
    return Best(best, min(bound, best.cost), whole.prices.duals if whole.prices else {})


def _dive(
    asked: Program, relaxation: Relaxation, part: Branch, effort: Effort, best: Found | None
) -> Found | None:
    """A week of a part of the question that is better than the best."""
    held: list[Column] = []
    below = None if best is None else best.cost
    while _open(asked, held) > OPEN_MEALS and (surest := _surest(part.relaxed, held)):
        deeper = relaxation.solve((*held, *surest), part.limits)
        if not deeper.whole or (below and deeper.bound > below - 1):
            break
        held, part = [*held, *surest], replace(part, bound=deeper.bound, relaxed=deeper)
    room = MUCH if below is None else below - _NOISE - part.bound
    nearest, _ = part.relaxed.near(room, MOST_COLUMNS)
    chosen = (column for _, column in part.relaxed.chosen if column not in held)
    columns = dict.fromkeys((*nearest, *chosen))
    return ask(asked, columns, held=held, limits=part.limits, below=below, effort=SHARE * effort.first).found


def _from_nothing(asked: Program, whole: Relaxed, effort: Effort) -> Found | None:
    """A week where every dive came to nothing."""
    columns, _ = whole.near(MUCH, 3 * MOST_COLUMNS)
    return ask(asked, columns, effort=effort.first).found


def _open(asked: Program, held: list[Column]) -> int:
    return len(asked.meals) - sum(len(column.meals) for column in held)


def _surest(relaxed: Relaxed, held: list[Column]) -> list[Column]:
    """The columns that are as good as chosen, else the one that is chosen most."""
    free = sorted(
        (
            (-share, column.pot, column.meals, column)
            for share, column in relaxed.chosen
            if column not in held
        ),
        key=lambda choice: choice[:3],
    )
    return [column for share, _, _, column in free if -share >= SURE] or [choice[3] for choice in free[:1]]


def _near(asked: Program, whole: Relaxed, best: Found, bound: int, effort: Effort) -> tuple[Found, int]:
    """A better week among the columns nearest to paying, and the least that any week may cost."""
    columns, beyond = whole.near(best.cost - _NOISE - whole.bound, MOST_COLUMNS)
    answer = ask(asked, columns, below=best.cost, effort=SHARE * effort.first)
    if answer.bound is not None:
        bound = max(bound, min(answer.bound, ceil(whole.bound + beyond - _NOISE)))
    return answer.found or best, bound


def _look_again(
    asked: Program, relaxation: Relaxation, best: Found, number: int, effort: Effort
) -> Found | None:
    """A better week that keeps all but some columns, most times with the stock it has."""
    freed = _freed(best, number)
    held = [column for column in best.columns if column not in freed]
    other_stock = number % FREE_STOCK == FREE_STOCK - 1
    if other_stock:
        parts = branches(asked, relaxation, ROUND_SPLITS, held)
    else:
        parts = branches(asked, relaxation, 0, held, _same_stock(asked, best))
    for part in parts[:1]:
        if part.bound <= best.cost - 1:
            columns, _ = part.relaxed.near(best.cost - _NOISE - part.bound, MOST_COLUMNS)
            return ask(
                asked, columns, held=held, limits=part.limits, below=best.cost, effort=SHARE * effort.a_round
            ).found
    return None


def _same_stock(asked: Program, best: Found) -> Limits:
    return {
        name: (1, 1) if name[1] in best.stock else (0, 0) for name in asked.activities if name[0] == "cooked"
    }


def _freed(best: Found, number: int) -> list[Column]:
    """The columns nearest in time to one of them, until enough meals are open: which, is left to a fixed chance."""
    luck = Random(number)  # noqa: S311 - it picks dishes, it keeps no secret
    columns = sorted(best.columns, key=lambda column: (column.meals, column.pot))
    first = luck.choice(columns)
    far = {
        column: _days_apart(column, first) + SPREAD_DAYS * luck.random()
        for column in columns
        if column is not first
    }
    freed = [first]
    for column in sorted(far, key=far.__getitem__):
        if sum(len(one.meals) for one in freed) >= FREED_MEALS:
            break
        freed.append(column)
    return freed


def _days_apart(column: Column, other: Column) -> int:
    return min(abs(mine[0] - theirs[0]) for mine in column.meals for theirs in other.meals)
