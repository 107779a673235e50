"""Looking among columns: which are looked at, what is held, and the same answer however the threads run."""

from concurrent.futures import ThreadPoolExecutor
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.planner import lanes
from plans.domain.planner.branches import branches
from plans.domain.planner.lanes import NOISE, Lanes
from plans.domain.planner.likely import BREAKFASTS_BROUGHT_IN, BREAKFASTS_OF_POTS, likely
from plans.domain.planner.program import Program, program
from plans.domain.planner.relaxation import MUCH, Relaxation
from plans.domain.planner.search import search
from plans.domain.planner.setting import lay
from plans.domain.vocabulary import Slot
from tests.bench.frozen_briefs import brief
from tests.efforts import QUICK
from tests.plans.domain.test_every_week import small_question, with_wants

SEEDS = st.integers(min_value=0, max_value=10**6)


@pytest.fixture(scope="module")
def asked() -> Program:
    return program(lay(brief(0)))


@given(SEEDS)
@settings(deadline=None, max_examples=40)
def test_a_week_serves_every_meal_once_and_takes_no_more_than_there_is(seed: int):
    luck = Random(seed)
    setting = lay(with_wants(small_question(luck), luck))
    asked = program(setting)
    found = search(asked, QUICK)
    if found is None:
        return
    taken = dict.fromkeys(asked.meals, 0)
    for column in found.week.columns:
        for row, amount in column.uses.items():
            taken[row] = taken.get(row, 0) + amount
    served = [meal for column in found.week.columns for meal in column.meals]
    assert len(served) == len(set(served))
    assert {("meal", *meal) for meal in served} >= {row for row in asked.meals if row[2] is not Slot.MUG}
    for row, amount in taken.items():
        if row[0] in ("minutes", "repeats", "taste"):
            assert amount <= asked.rows[row]
    assert found.bound <= found.week.cost


@given(SEEDS)
@settings(deadline=None, max_examples=40)
def test_all_columns_within_reach_of_the_bound_are_listed_or_none(seed: int):
    luck = Random(seed)
    relaxed = Relaxation(program(lay(with_wants(small_question(luck), luck)))).solve()
    if relaxed.prices is None:
        return
    room = luck.choice((0.0, 20.0, 300.0))
    listed = relaxed.within(room, 10**6)
    assert listed is not None
    every = [
        offer.offer.column(meals)
        for offer in relaxed.prices.below(MUCH)
        for _, meals in offer.columns_below(MUCH)
    ]
    reduced = {column: relaxed.prices.reduced(column) for column in every}
    assert {column for column in every if reduced[column] <= room - NOISE} <= set(listed)
    assert all(reduced[column] <= room + NOISE for column in listed)
    assert relaxed.within(room, len(listed)) == listed
    assert not listed or relaxed.within(room, len(listed) - 1) is None


@pytest.mark.parametrize("room", [15.0, 200.0, MUCH])
def test_likely_columns_fit_beside_those_held_and_hold_what_the_relaxation_chose(asked: Program, room: float):
    relaxation = Relaxation(asked)
    share, held = max(relaxation.solve().chosen, key=lambda choice: choice[0])
    relaxed = relaxation.solve([held])
    columns = likely(relaxed, relaxation.brought_in, room)
    assert relaxed.prices is not None
    assert share > 0
    assert len(columns) == len(set(columns))
    assert all(set(held.meals).isdisjoint(column.meals) for column in columns)
    assert all(relaxed.prices.reduced(column) <= room for column in columns)
    assert {column for _, column in relaxed.chosen} <= {held, *columns}
    breakfasts = [column for column in columns if column.meals[0][1] is Slot.BREAKFAST]
    assert 0 < len(breakfasts) <= BREAKFASTS_BROUGHT_IN + BREAKFASTS_OF_POTS


def test_lanes_side_by_side_prove_the_bound_that_one_proves(asked: Program):
    relaxation = Relaxation(asked)
    alone = branches(asked, relaxation, 4)
    with Lanes(asked, relaxation) as both:
        assert branches(asked, both, 4)[0].bound == pytest.approx(alone[0].bound, rel=0.02)
        assert both.clock > relaxation.spent > 0


def test_the_same_week_is_found_when_lanes_take_turns(asked: Program, monkeypatch: pytest.MonkeyPatch):
    together = search(asked, QUICK)
    monkeypatch.setattr(lanes, "ThreadPoolExecutor", lambda _: ThreadPoolExecutor(1))
    assert search(asked, QUICK) == together


def test_what_goes_wrong_in_a_lane_is_not_lost(asked: Program):
    def fail(_lane: object, reason: str) -> None:
        raise ValueError(reason)

    with Lanes(asked, Relaxation(asked)) as both, pytest.raises(ValueError, match="first"):
        both.each(fail, ["first", "second"])
