"""Asking for a week and planning it, with the real planner on a small book."""

from datetime import date, timedelta

import pytest

from clients.models import Week
from clients.services.weeks import no_week_of, week_ask, week_given_up, week_plan, week_values
from coaching.domain.errors import Refused
from coaching.outbox.models import OwedWork
from coaching.outbox.services import MOST_ATTEMPTS, pump
from coaching.practice.models import AuditEntry
from plans.domain.brief_json import brief_from_record
from tests.factories import NOON

MONDAY = date(2026, 6, 15)


def ask(household, cast, start=MONDAY) -> Week:
    return week_ask(household=household, start=start, by=cast.coach, at=NOON)


def test_asking_owes_the_work_once_and_says_who_asked(kitchen, cast):
    week = ask(kitchen, cast)
    assert week.state == Week.State.ASKED
    work = OwedWork.objects.get(kind="plan-week")
    assert work.payload == {"week": str(week.pk)}
    assert AuditEntry.objects.filter(
        action="week asked for", user=cast.coach.user, subject=str(week.pk)
    ).exists()
    assert ask(kitchen, cast).pk == week.pk
    assert OwedWork.objects.filter(kind="plan-week").count() == 1


def test_a_household_with_something_in_the_way_is_refused_with_all_of_it(kitchen, cast):
    kitchen.clients.get().consents.all().delete()
    cast.practice.rules_checked_at = None
    cast.practice.save(update_fields=["rules_checked_at"])
    with pytest.raises(Refused) as refused:
        ask(type(kitchen).objects.get(pk=kitchen.pk), cast)
    assert len(refused.value.problems) == 2
    assert not Week.objects.exists()
    assert not OwedWork.objects.exists()


def test_a_household_that_is_put_away_or_empty_is_refused(kitchen, cast):
    kitchen.archived_at = NOON
    kitchen.eaters.all().delete()
    with pytest.raises(Refused) as refused:
        ask(kitchen, cast)
    assert [problem.message for problem in refused.value.problems] == [
        "The household is put away.",
        "Nobody eats here yet.",
    ]


def test_a_planned_week_has_every_meal_of_every_eater_and_keeps_its_brief(kitchen, cast):
    week = ask(kitchen, cast)
    assert week_plan(week_id=week.pk, at=NOON) == Week.State.PLANNED
    week.refresh_from_db()
    plan, brief = week_values(week)
    assert {(plate.on, plate.slot) for plate in plan.plates} == {
        (MONDAY + timedelta(days=day), slot) for day in range(7) for slot in brief.slots
    }
    assert brief == brief_from_record(week.brief)
    assert week.planned_at == NOON


def test_planning_twice_changes_nothing_and_asking_twice_gives_the_same_plan(kitchen, cast):
    first = ask(kitchen, cast)
    week_plan(week_id=first.pk, at=NOON)
    first.refresh_from_db()
    assert week_plan(week_id=first.pk, at=NOON + timedelta(hours=1)) == Week.State.PLANNED
    again = Week.objects.get(pk=first.pk)
    assert (again.plan, again.planned_at) == (first.plan, first.planned_at)
    second = ask(kitchen, cast)
    assert second.pk != first.pk
    week_plan(week_id=second.pk, at=NOON)
    second.refresh_from_db()
    assert (second.plan, second.brief) == (first.plan, first.brief)


def test_a_food_that_is_not_open_is_left_off_the_plate(kitchen, cast):
    week = ask(kitchen, cast)
    week_plan(week_id=week.pk, at=NOON)
    week.refresh_from_db()
    plan, brief = week_values(week)
    soups = {cook.key for cook in plan.cooks if cook.recipe == "carrot-soup"}
    assert all("onion" in plate.without for plate in plan.plates if plate.cook in soups)
    assert all(brief.eaters[0].days[day]["onion"].allowance.word == "not yet" for day in range(7))


def test_no_week_says_why_and_what_would_help(kitchen, cast):
    kitchen.kitchen = kitchen.kitchen | {"hands_on_min": {}}
    kitchen.save(update_fields=["kitchen"])
    week = ask(kitchen, cast)
    assert week_plan(week_id=week.pk, at=NOON) == Week.State.NONE
    week.refresh_from_db()
    answer = no_week_of(week)
    assert {reason.code for reason in answer.conflicts} == {"too-little-time"}
    assert {reason.code for reason in answer.relaxations} == {"more-minutes"}
    assert week.brief


def test_giving_up_leaves_a_reason_on_the_page(kitchen, cast):
    week = ask(kitchen, cast)
    week_given_up(week_id=week.pk, at=NOON)
    week.refresh_from_db()
    assert week.state == Week.State.NONE
    assert [reason.code for reason in no_week_of(week).conflicts] == ["given-up"]


def test_a_worker_plans_what_was_asked_for(kitchen, cast):
    week = ask(kitchen, cast)
    assert pump(limit=None, now=NOON).done == 1
    week.refresh_from_db()
    assert week.state == Week.State.PLANNED


def test_a_worker_that_fails_every_time_leaves_the_week_with_a_reason(kitchen, cast, monkeypatch):
    def broken(brief):
        raise RuntimeError("the solver fell over")

    monkeypatch.setattr("clients.services.weeks._planned", broken)
    week = ask(kitchen, cast)
    for attempt in range(MOST_ATTEMPTS):
        pump(limit=None, now=NOON + timedelta(days=attempt))
    week.refresh_from_db()
    assert week.state == Week.State.NONE
