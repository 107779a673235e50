"""The lead-in timetable: dates, lateness, the honest day one, and published fermentation times."""

from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.book import LeadInTask
from plans.domain.lead_in import joined, timetable
from plans.domain.records import protocol_from_record

TODAY = date(2026, 3, 1)
PROTOCOLS = Path(__file__).parents[3] / "plans" / "data" / "protocols"

tasks = st.builds(
    LeadInTask,
    key=st.sampled_from(["a", "b", "c", "d"]),
    title=st.just("Task"),
    kind=st.just("culture"),
    days_before=st.integers(0, 60),
    at_least_days=st.just(0),
).flatmap(
    lambda task: st.integers(0, task.days_before).map(
        lambda least: LeadInTask(task.key, task.title, task.kind, task.days_before, at_least_days=least)
    )
)


def cabbage(**fields) -> LeadInTask:
    return LeadInTask("cabbage", "Start the cabbage", "culture", days_before=28, at_least_days=21, **fields)


def test_with_time_enough_a_task_stands_on_its_best_day():
    (task,) = timetable([cabbage()], day_one=date(2026, 4, 15), today=TODAY).tasks
    assert (task.on, task.latest, task.late) == (date(2026, 3, 18), date(2026, 3, 25), False)


def test_with_little_time_it_moves_to_today():
    plan = timetable([cabbage()], day_one=date(2026, 3, 24), today=TODAY)
    assert (plan.tasks[0].on, plan.tasks[0].late, plan.honest_day_one) == (TODAY, False, date(2026, 3, 24))


def test_with_too_little_time_it_is_late_and_the_honest_day_one_is_named():
    plan = timetable([cabbage()], day_one=date(2026, 3, 20), today=TODAY)
    assert [task.key for task in plan.late] == ["cabbage"]
    assert plan.honest_day_one == date(2026, 3, 22)


def test_a_task_two_eaters_share_is_done_once_and_for_the_first():
    first = timetable([cabbage()], day_one=date(2026, 4, 10), today=TODAY)
    second = timetable([cabbage()], day_one=date(2026, 4, 20), today=TODAY)
    assert [task.on for task in joined([second, first])] == [first.tasks[0].on]


def test_tasks_of_two_protocols_that_share_a_key_are_both_done():
    other = LeadInTask("cabbage", "Shred the cabbage", "culture", days_before=10)
    plans = [timetable([task], day_one=date(2026, 4, 10), today=TODAY) for task in (cabbage(), other)]
    assert [task.title for task in joined(plans)] == ["Start the cabbage", "Shred the cabbage"]


def test_cabbage_is_given_the_published_time():
    """Three to four weeks at 70-75 °F, five to six at 60-65 °F: USDA Complete Guide / NCHFP, Sauerkraut."""
    record = yaml.safe_load((PROTOCOLS / "hearth-five.yaml").read_text("utf-8"))
    task = next(task for task in protocol_from_record(record).lead_in if task.key == "sauerkraut")
    assert task.at_least_days >= 21
    assert task.days_before <= 42
    assert task.days_before >= task.at_least_days


@pytest.mark.parametrize("name", ["hearth-five.yaml", "three-phase.yaml"])
def test_every_shipped_task_names_its_source_and_can_be_dated(name: str):
    record = yaml.safe_load((PROTOCOLS / name).read_text("utf-8"))
    lead_in = protocol_from_record(record).lead_in
    plan = timetable(lead_in, day_one=TODAY + timedelta(days=60), today=TODAY)
    assert plan.late == ()
    assert all(task.source for task in plan.tasks)
    assert [task.on for task in plan.tasks] == sorted(task.on for task in plan.tasks)


@given(st.lists(tasks, max_size=8), st.integers(-5, 80))
def test_no_task_lies_in_the_past_and_only_hopeless_ones_are_late(lead_in: list[LeadInTask], days: int):
    plan = timetable(lead_in, day_one=TODAY + timedelta(days=days), today=TODAY)
    for task in plan.tasks:
        assert task.on >= TODAY
        assert task.late == (task.latest < TODAY)
        assert task.late or task.on <= max(task.latest, TODAY)


@given(st.lists(tasks, min_size=1, max_size=8), st.integers(0, 80))
def test_nothing_is_late_for_the_honest_day_one_and_no_earlier_day_is_honest(
    lead_in: list[LeadInTask], days: int
):
    plan = timetable(lead_in, day_one=TODAY + timedelta(days=days), today=TODAY)
    assert timetable(lead_in, day_one=plan.honest_day_one, today=TODAY).late == ()
    assert bool(plan.late) == (plan.honest_day_one > plan.day_one)
