"""Two relaxations of one question side by side, each in a thread of its own.

The solvers run outside the interpreter, so two cores take little more than half the time of one. Whatever is asked goes
to a lane by its place, and what a lane does depends only on its own deterministic clock and on what both had found when
they last met: the same question gets the same answer on one core, on two, and at any load.
"""

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from types import TracebackType
from typing import Self, TypeVar

from plans.domain.planner.branches import Branch
from plans.domain.planner.columns import Column
from plans.domain.planner.likely import likely
from plans.domain.planner.master import Asked, Found, ask
from plans.domain.planner.program import Program
from plans.domain.planner.relaxation import MUCH, NO_LIMITS, Limits, Relaxation, Relaxed

_Item = TypeVar("_Item")
_Answer = TypeVar("_Answer")
LANES = 2
NOISE = 1e-3
_A_COLUMN = 5e-5
"""To find a column and to write it down takes so many seconds."""


class Lane:
    """A relaxation and a solver that asks among its columns, with one deterministic clock, in seconds, for both.

    ``turn`` is the next round it makes, no two alike in all lanes, and ``barren`` how many found nothing since the last
    that did.
    """

    def __init__(self, asked: Program, relaxation: Relaxation, number: int) -> None:
        self.asked = asked
        self.relaxation = relaxation
        self.turn = number
        self.barren = 0
        self._asking = 0.0

    @property
    def clock(self) -> float:
        """What was spent so far."""
        return self.relaxation.spent + self._asking

    def ask(
        self, part: Branch, effort: float, best: Found | None, held: Sequence[Column] = ()
    ) -> Found | None:
        """A week of a part of the question, some columns held, that is better than the best."""
        room = MUCH if best is None else best.cost - NOISE - part.bound
        columns = likely(part.relaxed, self.relaxation.brought_in, room)
        return self.among(columns, effort, best, held, part.limits).found

    def among(
        self,
        columns: Iterable[Column],
        effort: float,
        best: Found | None,
        held: Sequence[Column] = (),
        limits: Limits = NO_LIMITS,
    ) -> Asked:
        """A week of some columns that is better than the best."""
        columns = tuple(columns)
        below = None if best is None else best.cost
        answer = ask(self.asked, columns, held=held, limits=limits, below=below, effort=effort)
        self._asking += answer.spent + _A_COLUMN * len(columns)
        return answer


class Lanes:
    """All lanes of a question. They start from the columns that were near to paying in one relaxation of it."""

    def __init__(self, asked: Program, relaxation: Relaxation) -> None:
        self.all = tuple(Lane(asked, relaxation.afresh(), number) for number in range(LANES))
        self._begun = relaxation.spent
        self._threads = ThreadPoolExecutor(LANES)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._threads.shutdown()

    @property
    def clock(self) -> float:
        """What was spent so far, in all lanes and before them."""
        return self._begun + sum(lane.clock for lane in self.all)

    def each(self, work: Callable[[Lane, _Item], _Answer], items: Sequence[_Item]) -> list[_Answer]:
        """Give each lane one item to work on, and wait for all."""
        under_way = [
            self._threads.submit(work, lane, item) for lane, item in zip(self.all, items, strict=False)
        ]
        return [one.result() for one in under_way]

    def solve_each(self, held: Sequence[Column], limits: Sequence[Limits]) -> list[Relaxed]:
        """Solve once for each of some limits, no more than there are lanes."""
        return self.each(lambda lane, each: lane.relaxation.solve(held, each), limits)
