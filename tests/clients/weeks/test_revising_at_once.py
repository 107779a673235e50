"""Two coaches in the same instant, on a database that lets them: of two decisions one holds, of two wishes both."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection

from clients.domain.revising import Change, Kind
from clients.models import Week
from clients.selectors.revising import standing_of
from clients.services.revising import week_accept, week_change, week_put_aside, week_revise
from coaching.domain.errors import Refused
from plans.domain.vocabulary import Slot
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

START = TODAY + timedelta(days=3)


@pytest.fixture
def week(kitchen) -> Week:
    return keep_week(kitchen, START)


def at_once(*calls: Callable[[], object]) -> list[str]:
    """What comes of calls that begin in the same instant, each on a connection of its own."""
    together = Barrier(len(calls))

    def run(call: Callable[[], object]) -> str:
        try:
            together.wait(timeout=20)
            call()
        except Refused:
            return "refused"
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(len(calls)) as pool:
        return sorted(pool.map(run, calls))


def test_one_accepts_while_the_other_keeps_the_old_week(week, cast):
    week_change(week=week, change=Change(Kind.AWAY, meal=(3, Slot.MIDDAY)), by=cast.coach, at=NOON)
    row = week_revise(week=week, by=cast.coach, at=NOON)
    Week.objects.filter(pk=row.pk).update(state=Week.State.OFFERED, brief=week.brief, plan=week.plan)
    ends = at_once(
        lambda: week_accept(week=row, by=cast.coach, at=NOON),
        lambda: week_put_aside(week=row, keeps_changes=False, by=cast.owner, at=NOON),
    )
    assert ends == ["done", "refused"]
    state = Week.objects.get(pk=row.pk).state
    assert state in (Week.State.PLANNED, Week.State.DROPPED)
    assert standing_of(week.household, START) == (row.pk if state == Week.State.PLANNED else week.pk)


def test_wishes_of_both_wait(week, cast):
    changes = [Change(Kind.AWAY, meal=(day, Slot.EVENING)) for day in range(6)]
    ends = at_once(
        *(
            lambda change=change: week_change(week=week, change=change, by=cast.coach, at=NOON)
            for change in changes
        )
    )
    assert ends == ["done"] * 6
    assert len(Week.objects.get(pk=week.pk).waiting) == 6


def test_a_week_is_worked_out_once_however_often_it_is_asked(week, cast):
    week_change(week=week, change=Change(Kind.AWAY, meal=(3, Slot.MIDDAY)), by=cast.coach, at=NOON)
    at_once(*(lambda: week_revise(week=week, by=cast.coach, at=NOON) for _ in range(4)))
    assert Week.objects.filter(basis=week).count() == 1
