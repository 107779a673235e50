"""Owed work on one connection: owed once, done once, tried again with growing pauses, parked in the end."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import override_settings

from coaching.outbox import handlers, services
from coaching.outbox.handlers import Drop, Failed, Later
from coaching.outbox.models import OwedWork
from coaching.outbox.services import (
    MOST_ATTEMPTS,
    RETRY_AFTER,
    claim,
    owe,
    perform,
    pump,
    record,
    retry,
    run_one,
)
from tests.factories import NOON

State = OwedWork.State
pytestmark = pytest.mark.django_db


@pytest.fixture
def kind(monkeypatch):
    """A kind of work of this test's own: ``kind.calls`` are the payloads it got, ``kind.answer`` what it does."""

    class Kind:
        name = "test-kind"
        calls: list[dict]
        parked: list[dict]
        answer = staticmethod(lambda payload: {"fine": True})

        def do(self, payload: dict):
            self.calls.append(payload)
            return self.answer(payload)

    made = Kind()
    made.calls, made.parked = [], []
    doer = handlers.Doer(made.do, made.parked.append)
    monkeypatch.setitem(handlers._doers, Kind.name, doer)
    return made


def owed(key: str = "one", **fields) -> OwedWork:
    return owe(**({"kind": "test-kind", "key": key, "payload": {"row": "7"}, "due_at": NOON} | fields))


def raising(error: Exception):
    def answer(payload: dict):
        raise error

    return answer


def test_work_is_owed_once(kind, noon):
    first, second = owed(), owed(payload={"row": "8"})
    assert first.pk == second.pk
    assert second.payload == {"row": "7"}
    assert pump(limit=None).done == 1
    owed()
    assert pump(limit=None).total == 0


def test_done_work_is_recorded_with_its_result(kind, noon):
    work = owed()
    assert run_one() == "done"
    work.refresh_from_db()
    assert (work.state, work.result, work.attempts, work.finished_at) == (State.DONE, {"fine": True}, 1, NOON)
    assert work.lease_until is None
    assert kind.calls == [{"row": "7", "work": str(work.pk)}]


def test_nothing_is_done_before_it_is_due(kind):
    owed(due_at=NOON + timedelta(seconds=1))
    assert pump(limit=None, now=NOON).total == 0
    assert pump(limit=None, now=NOON + timedelta(seconds=1)).done == 1


def test_the_longest_due_comes_first_and_the_limit_holds(kind):
    for minutes in (3, 1, 2):
        owed(str(minutes), payload={"row": minutes}, due_at=NOON - timedelta(minutes=minutes))
    assert pump(limit=2, now=NOON).done == 2
    assert [call["row"] for call in kind.calls] == [3, 2]


def test_a_failure_is_tried_again_with_growing_pauses_and_parked_at_the_fifth(kind, caplog):
    """Pauses of 1, 5, 30 minutes and 2 hours, then a person has to look."""
    kind.answer = raising(OSError("dana@example.org is not reachable"))
    work, now = owed(), NOON
    for pause in RETRY_AFTER:
        assert run_one(now=now) == "retried"
        work.refresh_from_db()
        assert (work.state, work.due_at - now, work.last_error) == (State.WAITING, pause, "OSError")
        assert run_one(now=work.due_at - timedelta(seconds=1)) is None
        now = work.due_at
    assert kind.parked == []
    assert run_one(now=now) == "parked"
    work.refresh_from_db()
    assert (work.state, work.attempts) == (State.PARKED, MOST_ATTEMPTS)
    assert kind.parked == [{"row": "7", "work": str(work.pk)}]
    assert run_one(now=now + timedelta(days=30)) is None


def test_a_known_failure_keeps_its_own_words(kind):
    kind.answer = raising(Failed("the mail server answered 451"))
    work = owed()
    assert run_one(now=NOON) == "retried"
    work.refresh_from_db()
    assert work.last_error == "the mail server answered 451"


def test_a_failing_piece_does_not_hold_up_the_others(kind):
    for row in (0, 1, 2):
        owed(str(row), payload={"row": row}, due_at=NOON - timedelta(minutes=9 - row))
    kind.answer = lambda payload: {"share": 1 / payload["row"]}
    report = pump(limit=None, now=NOON)
    assert (report.done, report.retried) == (2, 1)


def test_later_is_no_failure(kind):
    kind.answer = raising(Later(NOON + timedelta(hours=3)))
    work = owed()
    for _ in range(MOST_ATTEMPTS + 2):
        OwedWork.objects.update(due_at=NOON)
        assert run_one(now=NOON) == "later"
    work.refresh_from_db()
    assert (work.state, work.attempts, work.due_at) == (State.WAITING, 0, NOON + timedelta(hours=3))


def test_dropped_work_keeps_the_reason(kind):
    kind.answer = raising(Drop("not wanted"))
    work = owed()
    assert run_one(now=NOON) == "dropped"
    work.refresh_from_db()
    assert (work.state, work.result) == (State.DROPPED, {"reason": "not wanted"})


def test_a_claim_that_runs_out_is_taken_over_first(kind, settings):
    stuck = owed("stuck")
    assert claim(now=NOON) is not None
    owed("fresh", due_at=NOON - timedelta(hours=1))
    lease = timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
    assert claim(now=NOON + lease - timedelta(seconds=1), work_id=stuck.pk) is None
    assert claim(now=NOON + lease).work_id == stuck.pk


def test_an_overtaken_claim_records_nothing(kind, settings):
    work = owed()
    slow = claim(now=NOON)
    later = NOON + timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
    quick = claim(now=later)
    assert quick.attempt == slow.attempt + 1
    assert not record(claim=slow, outcome=perform(slow, now=later), now=later)
    work.refresh_from_db()
    assert work.state == State.DOING
    assert record(claim=quick, outcome=perform(quick, now=later), now=later)


def test_an_overtaken_claim_stays_overtaken_after_later(kind, settings):
    """``later`` takes its own attempt back; no earlier holder's number may come round again by that."""
    owed()
    slow = claim(now=NOON)
    now = NOON + timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
    kind.answer = raising(Later(now))
    assert run_one(now=now) == "later"
    assert claim(now=now).attempt == slow.attempt + 1
    assert not record(claim=slow, outcome=services.Outcome("done", State.DONE), now=now)


def test_work_whose_process_always_dies_is_parked(kind, settings):
    work, now = owed(), NOON
    for _ in range(MOST_ATTEMPTS):
        assert claim(now=now) is not None
        now += timedelta(seconds=settings.OUTBOX_LEASE_SECONDS)
    assert run_one(now=now) == "parked"
    work.refresh_from_db()
    assert work.state == State.PARKED
    assert "process ended" in work.last_error
    assert len(kind.parked) == 1
    assert kind.calls == []


def test_a_room_that_cannot_be_told_does_not_keep_work_from_being_parked(kind, monkeypatch, settings):
    monkeypatch.setitem(handlers._doers, "test-kind", handlers.Doer(kind.do, raising(RuntimeError("no"))))
    OwedWork.objects.filter(pk=owed().pk).update(attempts=MOST_ATTEMPTS)
    assert run_one(now=NOON) == "parked"


def test_a_kind_nobody_does_is_tried_and_parked_like_any_failure(noon):
    work = owed(kind="nobody-does-this")
    assert run_one() == "retried"
    work.refresh_from_db()
    assert work.last_error == "Unknown"


def test_parked_work_gets_a_fresh_set_of_attempts(kind):
    work = owed()
    OwedWork.objects.update(state=State.PARKED, attempts=MOST_ATTEMPTS, last_error="OSError")
    assert retry(work_id=work.pk, at=NOON)
    assert run_one(now=NOON) == "done"
    assert not retry(work_id=work.pk, at=NOON)
    assert not retry(work_id=uuid4(), at=NOON)


def test_two_handlers_for_one_kind_are_refused(kind):
    with pytest.raises(ValueError, match="test-kind"):
        handlers.handles("test-kind")(lambda payload: None)


def test_a_scheduler_that_fails_stops_no_other(monkeypatch, caplog):
    def broken(now):
        raise RuntimeError("no")

    monkeypatch.setattr(handlers, "_schedulers", [broken, lambda now: 2])
    assert services.look_at_calendar(now=NOON) == 2
    assert "broken failed" in caplog.text


@override_settings(REDIS_URL="redis://127.0.0.1:1/0", CELERY_BROKER_URL="redis://127.0.0.1:1/0")
def test_a_broker_that_is_away_stops_nothing(
    kind, noon, django_capture_on_commit_callbacks, caplog, monkeypatch
):
    from coaching.celery import app

    monkeypatch.setattr(app.conf, "broker_url", "redis://127.0.0.1:1/0")
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        owed()
    assert len(callbacks) == 1
    assert "no worker could be woken" in caplog.text
    assert run_one() == "done"


@override_settings(REDIS_URL="redis://127.0.0.1:1/0")
def test_nobody_is_woken_for_work_that_is_not_due_or_was_owed_before(
    kind, noon, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as callbacks:
        owed("later", due_at=NOON + timedelta(seconds=1))
        owed("now")
        owed("now")
    assert len(callbacks) == 1


def test_nobody_is_woken_without_redis(kind, noon, settings, django_capture_on_commit_callbacks):
    settings.REDIS_URL = ""
    with django_capture_on_commit_callbacks() as callbacks:
        owed()
    assert callbacks == []
