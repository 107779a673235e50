"""The guards around the outbox: its system checks, its fail points, its signs of life."""

import os

import pytest

from coaching.outbox import checks
from coaching.outbox.failpoints import FOLDER, failpoint
from coaching.outbox.signs import sign_of_life


def test_the_shipped_times_pass():
    assert checks.claims_outlive_tasks(None) == []


def test_a_claim_shorter_than_a_task_is_refused(settings):
    settings.TESTING = False
    settings.OUTBOX_LEASE_SECONDS = settings.CELERY_TASK_TIME_LIMIT
    assert [error.id for error in checks.claims_outlive_tasks(None)] == ["outbox.E001"]


def test_a_broker_that_hands_out_living_tasks_is_refused(settings):
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": settings.CELERY_TASK_TIME_LIMIT}
    assert [error.id for error in checks.claims_outlive_tasks(None)] == ["outbox.E002"]


@pytest.mark.parametrize("testing", [True, False])
def test_a_fail_point_kills_only_under_test_and_only_when_armed(
    tmp_path, monkeypatch, settings, testing: bool
):
    killed = []
    monkeypatch.setattr(os, "kill", lambda pid, number: killed.append(pid))
    monkeypatch.setenv(FOLDER, str(tmp_path))
    settings.TESTING = testing
    failpoint("after_send")
    assert killed == []
    (tmp_path / "after_send").touch()
    failpoint("before_send")
    failpoint("after_send")
    failpoint("after_send")
    assert killed == ([os.getpid()] if testing else [])


def test_a_sign_of_life_is_a_fresh_file(tmp_path, settings):
    settings.VAR_DIR = tmp_path
    path = sign_of_life("worker")
    os.utime(path, (0, 0))
    assert sign_of_life("worker") == path
    assert path.stat().st_mtime > 0
