"""Sends the reminders that are due, without a worker."""

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coaching.desk.services.send_due import Sent, reminders_send_due
from coaching.outbox.management.loop import Loop
from coaching.practice.models import Practice

EVERY_SECONDS = 30.0


class Command(BaseCommand):
    help = (
        "Write down the reminders of the next day and send those that are due. Safe beside a running worker."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="stop when nothing is due any more")
        parser.add_argument("--practice", metavar="SLUG", help="only this practice's clients")

    def handle(self, *args, **options) -> None:
        practice = _practice(options["practice"])
        if not options["once"]:
            Loop().run(lambda: self._go_on(practice))
            return
        failed = self._round(practice)
        if failed:
            raise CommandError(f"{failed} could not be sent; they are listed above.")

    def _go_on(self, practice: Practice | None) -> float:
        self._round(practice)
        return EVERY_SECONDS

    def _round(self, practice: Practice | None) -> int:
        """Sends what is due, says what happened, and returns how many failed."""
        report = reminders_send_due(practice=practice)
        for line in _lines(report):
            self.stdout.write(line)
        for line in report.failed:
            self.stderr.write(f"failed: {line}")
        return len(report.failed)


def _practice(slug: str | None) -> Practice | None:
    if slug is None:
        return None
    practice = Practice.objects.filter(slug=slug).first()
    if practice is None:
        known = ", ".join(Practice.objects.order_by("slug").values_list("slug", flat=True)[:20]) or "none yet"
        raise CommandError(f"There is no practice {slug}. Known ones: {known}.")
    if not practice.postal_address.strip():
        raise CommandError(
            f"{practice.name} has no postal address yet, and mail must carry one. Nothing was sent."
        )
    return practice


def _lines(report: Sent) -> list[str]:
    queued = (
        ", ".join(f"{number} {kind}" for kind, number in sorted(report.queued.items()) if number) or "none"
    )
    ended = ", ".join(f"{number} {state}" for state, number in sorted(report.ended.items())) or "none due"
    return [f"newly owed: {queued}", f"done: {ended}"]
