"""A question split by its stock: how many pots of it, and which.

A relaxation cooks tenths of a pot of stock, and that is most of what it gets wrong. Split into weeks with at most so
many pots and weeks with more, each part has a higher bound, and the lowest of them holds for all.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from math import ceil, floor
from typing import Protocol

from plans.domain.planner.columns import Column
from plans.domain.planner.program import Name, Program
from plans.domain.planner.relaxation import NO_LIMITS, WHOLE, Limits, Relaxed

_TOLERANCE = 1e-3


@dataclass(frozen=True, order=True, slots=True)
class Branch:
    """Part of a question: the weeks within limits, of which none costs less than the bound."""

    bound: float
    number: int
    limits: Limits = field(compare=False)
    relaxed: Relaxed = field(compare=False)


class Solves(Protocol):
    """A relaxation, or several of the same question."""

    def solve_each(self, held: Sequence[Column], limits: Sequence[Limits]) -> list[Relaxed]:
        """Solve once for each of some limits."""


def branches(
    asked: Program,
    relaxation: Solves,
    splits: int,
    held: Sequence[Column] = (),
    limits: Limits = NO_LIMITS,
) -> list[Branch]:
    """The parts of a question, some columns held, after so many splits of whichever is most promising; that one comes
    first."""
    (whole,) = relaxation.solve_each(held, [limits])
    parts = [Branch(whole.bound, 0, limits, whole)] if whole.whole else []
    for turn in range(splits):
        if not parts or (name := _split(parts[0].relaxed)) is None:
            break
        branch = heappop(parts)
        least, most = branch.limits.get(name, (0, asked.activities[name].most))
        middle = floor(branch.relaxed.stock[name])
        sides = [{**branch.limits, name: bounds} for bounds in ((least, middle), (middle + 1, most))]
        for side, relaxed in enumerate(relaxation.solve_each(held, sides)):
            if relaxed.whole:
                bound = max(branch.bound, relaxed.bound)
                heappush(parts, Branch(bound, 2 * turn + side + 1, sides[side], relaxed))
    return sorted(parts)


def _split(relaxed: Relaxed) -> Name | None:
    """The number of pots, else the pot, that is farthest from whole."""
    for kind in WHOLE:
        broken = [
            (abs(value - floor(value) - 0.5), name)
            for name, value in relaxed.stock.items()
            if name[0] == kind and min(value - floor(value), ceil(value) - value) > _TOLERANCE
        ]
        if broken:
            return min(broken)[1]
    return None
