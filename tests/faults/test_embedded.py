"""One machine, no Redis: whatever is killed, no mail is lost, and none is sent twice unless the crash fell into the one
gap where nobody can know, between the mail server's "250 OK" and the note of it. Then the repeat carries the same id.
"""

import signal
from collections import Counter

import pytest

from tests.faults.house import House, manage, wait_until
from tests.postbox import Postbox

pytestmark = pytest.mark.slow
WORKER = manage("run_worker")
GAPS = ("after_claim", "before_send", "after_send", "before_record", "after_record")


def all_done(house: House, number: int) -> bool:
    return house.states() == {"done": number}


def test_a_worker_killed_in_every_gap_loses_nothing_and_repeats_one(house: House, postbox: Postbox):
    ids = house.seed(12)
    for gap in GAPS:
        house.arm(gap)
        worker = house.start(WORKER)
        assert worker.wait(timeout=30) == -signal.SIGKILL, gap
    house.start(WORKER)
    wait_until(lambda: all_done(house, 12), "the rest of the mail", house)
    assert set(postbox.ids) == set(ids)
    assert Counter(postbox.ids.values()) == {1: 11, 2: 1}
    assert house.reminder_states() == {"sent": 12}


def test_two_workers_never_send_the_same_mail_also_when_one_is_killed(house: House, postbox: Postbox):
    ids = house.seed(60)
    first, second = house.start(WORKER), house.start(WORKER)
    wait_until(lambda: len(postbox.messages) >= 15, "the first mail", house)
    house.kill(first)
    wait_until(lambda: all_done(house, 60), "the rest of the mail", house)
    assert second.poll() is None
    assert set(postbox.ids) == set(ids)
    assert sum(postbox.ids.values()) - len(ids) <= 1, "one crash can repeat one mail at most"


def test_two_workers_unharmed_send_everything_exactly_once(house: House, postbox: Postbox):
    ids = house.seed(40)
    house.start(WORKER)
    house.start(WORKER)
    wait_until(lambda: all_done(house, 40), "all the mail", house)
    assert postbox.ids == Counter(ids)


def test_a_worker_asked_to_stop_finishes_what_it_has_in_hand(house: House, postbox: Postbox):
    postbox.delay_seconds = 1.0
    house.seed(3)
    worker = house.start(WORKER)
    wait_until(lambda: house.states()["doing"] == 1, "the first claim", house)
    worker.send_signal(signal.SIGTERM)
    assert worker.wait(timeout=10) == 0
    assert house.states() == {"done": 1, "waiting": 2}
    assert len(postbox.messages) == 1


def test_a_mail_server_that_is_away_costs_time_and_nothing_else(house: House, postbox: Postbox):
    postbox.reply_to_data = "451 4.3.0 try later"
    ids = house.seed(3)
    output = house.run_any(manage("send_due", "--once"))
    assert (output.returncode, house.states()) == (1, {"waiting": 3})
    assert output.stderr.count("\nfailed: ") == 3
    postbox.reply_to_data = ""
    house.make_due()
    assert house.run_any(manage("send_due", "--once")).returncode == 0
    assert postbox.ids == Counter(ids)


def test_the_scheduler_starts_looks_and_stops(house: House):
    scheduler = house.start(manage("run_scheduler"))
    wait_until(lambda: any(house.folder.glob("alive-scheduler-*")), "the first look", house)
    scheduler.send_signal(signal.SIGTERM)
    assert scheduler.wait(timeout=10) == 0
