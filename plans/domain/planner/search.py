"""Looking for the cheapest week among columns.

A first week is asked of the most promising parts of the question. Where few columns could be in a better one, all of
them are asked, which proves what they give. Then rounds better the week, two at a time, until the time there is for
them is spent.
"""

from dataclasses import dataclass
from math import ceil

from plans.domain.planner.branches import Branch, branches
from plans.domain.planner.columns import Duals
from plans.domain.planner.lanes import LANES, NOISE, Lanes
from plans.domain.planner.likely import likely
from plans.domain.planner.master import Found, ask
from plans.domain.planner.program import Program
from plans.domain.planner.relaxation import MUCH, Relaxation, Relaxed
from plans.domain.planner.rounds import look_on, same_stock
from plans.domain.planner.solving import Effort

MOST_COLUMNS = 1200
"""More than this the solver does not look through in the time there is."""
FIRST_SHARE, PROOF_SHARE = 0.18, 0.4
"""How much of the effort for a first answer a part of the question needs, and a proof."""
TO_SETTLE = 1.0
"""What it takes at most to settle amounts; most take a hundredth."""
A_LEG = 0.5
"""Lanes meet after so much of their own deterministic seconds, to go on from the better week."""


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
    with Lanes(asked, relaxation) as lanes:
        parts = branches(asked, lanes, effort.splits)
        best = _first(lanes, whole, parts, effort)
        if best is None:
            return None
        bound = ceil((parts[0] if parts else whole).bound - NOISE)
        best, bound = _proven(lanes, whole, best, bound, effort)
        while best.cost > bound and lanes.clock < effort.most:
            best = _leg(lanes, best, bound, effort)
    best = _settled(asked, best)
    return Best(best, min(bound, best.cost), whole.prices.duals if whole.prices else {})


def _first(lanes: Lanes, whole: Relaxed, parts: list[Branch], effort: Effort) -> Found | None:
    """A week of the most promising parts, else one of any."""
    found = lanes.each(lambda lane, part: lane.ask(part, FIRST_SHARE * effort.first, None), parts[:LANES])
    weeks = [week for week in found if week is not None]
    if weeks:
        return min(weeks, key=lambda week: week.cost)
    columns = dict.fromkeys(
        column for lane in lanes.all for column in likely(whole, lane.relaxation.brought_in, MUCH)
    )
    return lanes.all[0].among(columns, effort.first, None).found


def _leg(lanes: Lanes, best: Found, bound: int, effort: Effort) -> Found:
    """The best week after the lanes have gone their own ways for a while."""
    stretch = min(A_LEG, (effort.most - lanes.clock) / LANES)
    until = [lane.clock + stretch for lane in lanes.all]
    found = lanes.each(lambda lane, time: look_on(lane, best, bound, effort, time), until)
    better = min(found, key=lambda week: week.cost)
    if better.cost < best.cost:
        for lane in lanes.all:
            lane.barren = 0
    return better


def _settled(asked: Program, best: Found) -> Found:
    """The same pots and meals with the best amounts of stock, which a question cut short may have left open."""
    answer = ask(
        asked, (), held=best.columns, limits=same_stock(asked, best), below=best.cost, effort=TO_SETTLE
    )
    return answer.found or best


def _proven(lanes: Lanes, whole: Relaxed, best: Found, bound: int, effort: Effort) -> tuple[Found, int]:
    """The best week and the least that any may cost, when every column of a better one has been looked at; where those
    are too many, what is known already."""
    if best.cost <= bound:
        return best, bound
    columns = whole.within(best.cost - NOISE - whole.bound, MOST_COLUMNS)
    if columns is None:
        return best, bound
    answer = lanes.all[0].among(columns, PROOF_SHARE * effort.first, best)
    return answer.found or best, max(bound, answer.bound or 0)
