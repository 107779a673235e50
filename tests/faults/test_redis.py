"""Celery and Redis: the queue only wakes workers, so a worker killed outright or a queue wiped clean loses nothing."""

import signal
from collections import Counter

import pytest
import redis

from tests.faults.house import House, celery_worker, wait_until
from tests.postbox import Postbox

pytestmark = [pytest.mark.slow, pytest.mark.redis]


def test_mail_goes_through_redis_and_survives_its_loss(
    house_with_redis: House, postbox: Postbox, redis_url: str
):
    """A wake-up delivers at once; then the worker is killed, the queue wiped, and the sweep finds what was owed."""
    house = house_with_redis
    # No beat yet: what arrives now arrives because Redis woke the worker.
    worker = house.start(celery_worker())
    woken = house.seed(5)
    wait_until(lambda: postbox.ids == Counter(woken), "delivery by a wake-up", house)

    house.kill(worker)
    missed = house.seed(8)
    broker = redis.from_url(redis_url)
    assert broker.llen("celery") == 8
    assert all(b"example" not in message for message in broker.lrange("celery", 0, -1)), (
        "ids only, no addresses"
    )
    broker.flushdb()
    broker.close()

    house.start(celery_worker("--beat", "--schedule", str(house.folder / "beat")))
    wait_until(lambda: house.states() == {"done": 13}, "the sweep", house)
    assert postbox.ids == Counter(woken + missed)


def test_a_celery_process_killed_after_sending_repeats_with_the_same_id(
    house_with_redis: House, postbox: Postbox
):
    house = house_with_redis
    armed = house.arm("after_send")
    ids = house.seed(6)
    worker = house.start(celery_worker("--beat", "--schedule", str(house.folder / "beat")))
    wait_until(lambda: house.states() == {"done": 6}, "all the mail", house)
    assert not armed.exists()
    assert set(postbox.ids) == set(ids)
    assert Counter(postbox.ids.values()) == {1: 5, 2: 1}
    worker.send_signal(signal.SIGTERM)
    assert worker.wait(timeout=30) == 0
