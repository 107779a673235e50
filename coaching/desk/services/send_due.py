"""Sending, in one go, every reminder that is due: what a person at a terminal, or a cron job, asks for."""

from collections import Counter
from dataclasses import dataclass, field

from coaching import clock
from coaching.desk.models import Reminder
from coaching.desk.services.reminders import reminders_queue
from coaching.outbox.services import run_one
from coaching.practice.models import Practice


@dataclass(slots=True)
class Sent:
    """``queued`` counts reminders newly written down by kind, ``ended`` how the due ones ended, ``failed`` lists."""

    queued: Counter[str] = field(default_factory=Counter)
    ended: Counter[str] = field(default_factory=Counter)
    failed: list[str] = field(default_factory=list)


def reminders_send_due(*, practice: Practice | None = None) -> Sent:
    """Write down what is owed, then send whatever is due, until nothing is. Each reminder is tried once.

    Safe beside a running worker: what one takes, the other leaves alone.
    """
    report = Sent(queued=reminders_queue(now=clock.now(), practice=practice))
    tried = set()
    while (reminder := _next_due(practice, tried)) is not None:
        tried.add(reminder.pk)
        if run_one(reminder.work_id) is None:
            continue
        reminder.refresh_from_db(fields=["state", "why", "work"])
        report.ended[reminder.state] += 1
        problem = reminder.why if reminder.state == Reminder.State.FAILED else reminder.work.last_error
        if problem:
            report.failed.append(
                f"{reminder.get_kind_display()} to {reminder.client.name}, {reminder.local_date}: {problem}"
            )
    return report


def _next_due(practice: Practice | None, tried: set) -> Reminder | None:
    rows = Reminder.objects.filter(state=Reminder.State.OWED, work__due_at__lte=clock.now()).exclude(
        pk__in=tried
    )
    if practice is not None:
        rows = rows.filter(client__household__practice=practice)
    return rows.select_related("client", "work").order_by("work__due_at", "pk").first()
