"""Does what is owed, one piece after another, on a machine without Redis."""

from django.core.management.base import BaseCommand

from coaching.outbox.handlers import read_in
from coaching.outbox.management.loop import NAP_SECONDS, Loop
from coaching.outbox.services import run_one
from coaching.outbox.signs import sign_of_life


class Command(BaseCommand):
    help = "Do owed work (send mail, plan weeks, draw packets) until stopped. Several may run at once."

    def handle(self, *args, **options) -> None:
        loop = Loop()
        read_in()
        loop.run(work_once)


def work_once() -> float:
    """One piece of work, if one is due. Seconds to wait before the next look."""
    sign_of_life("worker")
    return NAP_SECONDS if run_one() is None else 0.0
