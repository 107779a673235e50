"""``manage.py send_due --once``: what it sends, what it says, how it leaves."""

from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from coaching.desk.models import Reminder
from coaching.desk.services.reminders import reminders_queue
from coaching.outbox.models import OwedWork
from coaching.outbox.services import claim
from tests.factories import NOON

pytestmark = pytest.mark.django_db
EVENING = NOON + timedelta(hours=5)


@pytest.fixture
def send_due():
    """``send_due("--practice", "here")`` gives the command's two outputs; it is evening where the cast lives."""

    def run(*words: str) -> tuple[str, str]:
        out, err = StringIO(), StringIO()
        with time_machine.travel(EVENING, tick=False):
            try:
                call_command("send_due", "--once", *words, stdout=out, stderr=err)
            except CommandError as error:
                err.write(f"\n{error}")
        return out.getvalue(), err.getvalue()

    return run


def test_one_practice_is_served_and_counted(cast, postbox, send_due):
    """Both clients of the practice are owed one now and one at the same hour tomorrow."""
    out, err = send_due("--practice", "here")
    assert out.splitlines() == ["newly owed: 4 check-in", "done: 2 sent"]
    assert err == ""
    assert len(postbox.messages) == 2
    assert not Reminder.objects.filter(client__household=cast.foreign_household).exists()


def test_a_second_run_finds_nothing_due(cast, postbox, send_due):
    send_due("--practice", "here")
    out, _ = send_due("--practice", "here")
    assert out.splitlines() == ["newly owed: none", "done: none due"]
    assert len(postbox.messages) == 2


def test_without_a_practice_everyone_is_served(cast, postbox, send_due):
    assert "done: 3 sent" in send_due()[0]


def test_what_failed_is_listed_and_the_command_says_so(cast, postbox, send_due):
    client = cast.household.clients.get()
    postbox.reply_to_rcpt = "550 5.1.1 no such mailbox"
    out, err = send_due("--practice", "here")
    assert "done: 2 failed" in out
    assert f"failed: Check-in due to {client.name}, 2026-06-10: refused" in err
    assert err.endswith("2 could not be sent; they are listed above.")


def test_what_will_be_tried_again_counts_as_failed_now(cast, postbox, send_due):
    postbox.reply_to_data = "451 later"
    out, err = send_due("--practice", "here")
    assert "done: 2 owed" in out
    assert err.count("failed: ") == 2
    assert err.count("the mail server answered 451") == 2


def test_what_a_worker_has_in_hand_is_left_to_it(cast, postbox, send_due):
    reminders_queue(now=EVENING, practice=cast.practice)
    assert claim(now=EVENING) is not None
    assert "done: 1 sent" in send_due("--practice", "here")[0]
    assert OwedWork.objects.filter(state=OwedWork.State.DOING).count() == 1


def test_what_is_skipped_is_no_failure(cast, postbox, send_due):
    reminders_queue(now=EVENING, practice=cast.practice)
    type(cast.household).objects.update(archived_at=EVENING)
    out, err = send_due("--practice", "here")
    assert "done: 2 skipped" in out
    assert err == ""


@pytest.mark.parametrize(
    ("slug", "message"),
    [
        ("nowhere", "There is no practice nowhere. Known ones: here, next-door."),
        ("here", "no postal address yet"),
    ],
)
def test_a_practice_that_cannot_send_is_refused_with_a_reason(cast, send_due, slug: str, message: str):
    type(cast.practice).objects.filter(slug="here").update(postal_address="")
    _, err = send_due("--practice", slug)
    assert message in err
    assert not Reminder.objects.exists()
