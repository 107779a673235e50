"""Pots on burners: never more than there are, and as early as a solver can prove."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from plans.domain.batch.schedule import Job, Turn, earliest_finish

days = st.lists(
    st.tuples(st.sampled_from("abc"), st.integers(10, 60), st.integers(0, 10)), min_size=1, max_size=5
).map(lambda found: [Job(f"job-{number}", *facts) for number, facts in enumerate(found)])


def finish(turns: tuple[Turn, ...]) -> int:
    return max(turn.end_min for turn in turns)


def proven_finish(jobs: list[Job], burners: int) -> int:
    """The earliest finish as a constraint solver proves it from the same facts."""
    model = cp_model.CpModel()
    most = sum(job.elapsed_min for job in jobs)
    starts = [model.new_int_var(0, most, job.key) for job in jobs]
    on_stove = [
        model.new_fixed_size_interval_var(start, job.elapsed_min, job.key)
        for start, job in zip(starts, jobs, strict=True)
    ]
    with_cook = [
        model.new_fixed_size_interval_var(start, job.hands_on_min, job.key)
        for start, job in zip(starts, jobs, strict=True)
    ]
    model.add_cumulative(on_stove, [1] * len(jobs), burners)
    model.add_no_overlap(with_cook)
    for pot in {job.pot for job in jobs}:
        model.add_no_overlap([each for each, job in zip(on_stove, jobs, strict=True) if job.pot == pot])
    end = model.new_int_var(0, most, "end")
    model.add_max_equality(end, [start + job.elapsed_min for start, job in zip(starts, jobs, strict=True)])
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return int(solver.objective_value)


@settings(max_examples=60, deadline=None)
@given(days, st.integers(1, 3))
def test_it_finishes_as_early_as_can_be(jobs, burners):
    assert finish(earliest_finish(jobs, burners)) == proven_finish(jobs, burners)


@given(days, st.integers(1, 3))
def test_burners_pots_and_the_cook_do_one_thing_at_a_time(jobs, burners):
    turns = earliest_finish(jobs, burners)
    assert sorted(turn.job.key for turn in turns) == sorted(job.key for job in jobs)
    assert {turn.burner for turn in turns} <= set(range(1, burners + 1))
    for one, other in combinations(turns, 2):
        if one.burner == other.burner or one.job.pot == other.job.pot:
            assert one.end_min <= other.start_min
        assert one.start_min + one.job.hands_on_min <= other.start_min
    for turn in turns:
        at_once = [other for other in turns if other.start_min <= turn.start_min < other.end_min]
        assert len(at_once) <= burners
        assert turn.end_min - turn.start_min == turn.job.elapsed_min


@given(days, st.integers(1, 3), st.randoms(use_true_random=False))
def test_the_order_of_asking_makes_no_difference(jobs, burners, random):
    shuffled = random.sample(jobs, len(jobs))
    assert earliest_finish(shuffled, burners) == earliest_finish(jobs, burners)


def test_a_short_pot_goes_beside_a_long_one():
    beef, hen, fish = Job("beef", "a", 330, 20), Job("hen", "b", 135, 20), Job("fish", "b", 65, 20)
    turns = earliest_finish([fish, hen, beef], 2)
    assert finish(turns) == 330
    assert (turns[0].job.key, turns[0].turn) == ("beef", 1)
    assert max(turn.turn for turn in turns) == 2


def test_one_pot_is_filled_again_only_when_it_is_empty():
    turns = earliest_finish([Job("1", "a", 135, 20), Job("2", "a", 135, 20)], 4)
    assert [(turn.start_min, turn.turn) for turn in turns] == [(0, 1), (135, 2)]


def test_nothing_to_cook_takes_no_turn():
    assert earliest_finish([], 1) == ()


@pytest.mark.parametrize(
    ("jobs", "burners"),
    [
        ([Job("1", "a", 60, 10)], 0),
        ([Job("1", "a", 60, 10), Job("1", "b", 60, 10)], 2),
        ([Job("1", "a", 10, 20)], 1),
        ([Job("1", "a", 10, -1)], 1),
    ],
)
def test_what_cannot_be_scheduled_is_refused(jobs, burners):
    with pytest.raises(ValueError, match=r"a schedule takes|a job takes"):
        earliest_finish(jobs, burners)
