"""Rounds that hold most of the best week still and look at the rest again, most times with the stock it has."""

from random import Random

from plans.domain.planner.branches import branches
from plans.domain.planner.columns import Column
from plans.domain.planner.lanes import LANES, Lane
from plans.domain.planner.master import Found
from plans.domain.planner.program import Program
from plans.domain.planner.relaxation import Limits
from plans.domain.planner.solving import Effort

OPEN_MEALS, MORE_MEALS = 12, 2
"""A round opens so many meals, and more for every ``BARREN`` rounds of a lane that found nothing."""
BARREN, HARDEST = 2, 4
FREE_STOCK = 3
"""Every so many rounds the stock is open too. Otherwise it stays, which leaves far fewer columns to look at."""
STOCK_SHARE, SHARE = 1.0, 0.4
"""How much of the effort of a round a question with open stock needs, and one without: they are smaller than a question
in plates."""
STOCK_SPLITS = 2
SPREAD_DAYS = 4


def look_on(lane: Lane, best: Found, bound: int, effort: Effort, until: float) -> Found:
    """The best week after as many rounds as a lane begins until its clock shows a time."""
    while best.cost > bound and lane.clock < until:
        better = _look_again(lane, best, effort)
        lane.turn += LANES
        lane.barren = 0 if better else lane.barren + 1
        best = better or best
    return best


def _look_again(lane: Lane, best: Found, effort: Effort) -> Found | None:
    """A better week that keeps all but some columns."""
    harder = min(lane.barren // BARREN, HARDEST)
    freed = _freed(best, lane.turn, OPEN_MEALS + harder * MORE_MEALS)
    held = [column for column in best.columns if column not in freed]
    if lane.turn % FREE_STOCK == FREE_STOCK - 1:
        parts = branches(lane.asked, lane.relaxation, STOCK_SPLITS, held)
        share = STOCK_SHARE
    else:
        parts = branches(lane.asked, lane.relaxation, 0, held, same_stock(lane.asked, best))
        share = SHARE
    if not parts or parts[0].bound > best.cost - 1:
        return None
    return lane.ask(parts[0], share * effort.a_round * (1 + harder), best, held)


def same_stock(asked: Program, best: Found) -> Limits:
    """The limits within which the pots of stock are those of a week."""
    return {
        name: (1, 1) if name[1] in best.stock else (0, 0) for name in asked.activities if name[0] == "cooked"
    }


def _freed(best: Found, number: int, meals: int) -> list[Column]:
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
        if sum(len(one.meals) for one in freed) >= meals:
            break
        freed.append(column)
    return freed


def _days_apart(column: Column, other: Column) -> int:
    return min(abs(mine[0] - theirs[0]) for mine in column.meals for theirs in other.meals)
