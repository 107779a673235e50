"""Reminders: finding out who is owed one, and sending it.

A reminder is owed once for each client, kind, subject and local date. It is written down up to a day ahead, and looked
at again when it is about to go: what has become untrue or unwanted in between is skipped, and the row says why.
"""

import logging
from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any
from uuid import UUID, uuid4

from django.conf import settings
from django.db import transaction

from clients.models import Eater, Household
from clients.services.links import OPEN_DAYS, check_in_link
from coaching.desk.domain.due import (
    Kind,
    Owed,
    check_in_is_due,
    dates_to_look_at,
    due_moment,
    is_too_late,
    out_of_quiet,
    owed_on,
)
from coaching.desk.models import Reminder
from coaching.desk.selectors.reminders import Addressee, addressees
from coaching.desk.services.mail import AddressRefused, Mail, deliver, first_name, render_mail
from coaching.desk.services.mail_stops import mail_stop, mail_stop_url, refused_address_forget
from coaching.domain.calendar import wall_clock
from coaching.outbox import services as outbox
from coaching.outbox.failpoints import failpoint
from coaching.outbox.handlers import Drop, Later
from coaching.outbox.services import owe
from coaching.practice.models import Membership, Practice
from coaching.practice.services import audit

log = logging.getLogger("ladlework.reminders")
State = Reminder.State
AHEAD = timedelta(hours=24)
"""How long before its moment a reminder is written down, so that staff see what is coming."""
LOOK_BACK = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class End:
    """Why a reminder is not sent: ``why`` is a code the page puts into words."""

    state: str
    why: str


def reminders_queue(*, now: datetime, practice: Practice | None = None) -> Counter[str]:
    """Write down every reminder that falls due within a day and is not yet written down; how many of each kind.

    Looks for what is due and not done, so a run that was missed is made up for, and a second run adds nothing.
    Practices without a postal address send no mail, so nothing is owed there.
    """
    households = Household.objects.filter(archived_at__isnull=True).exclude(practice__postal_address="")
    known = Reminder.objects.filter(local_date__gte=(now - LOOK_BACK).date())
    if practice is not None:
        households = households.filter(practice=practice)
        known = known.filter(client__household__practice=practice)
    keys = set(known.values_list("client_id", "kind", "subject_key", "local_date"))
    moment = lru_cache(maxsize=None)(due_moment)
    counts: Counter[str] = Counter()
    for person in addressees(households=households, since=(now - LOOK_BACK).date()):
        for on in dates_to_look_at(now, person.zone, ahead=AHEAD):
            for owed in owed_on(person.plans, on):
                if (person.client_id, owed.kind, owed.subject_key, on) in keys or not person.wants(owed.kind):
                    continue
                due_at = moment(kind=owed.kind, on=on, zone=person.zone, quiet=person.quiet)
                if is_too_late(due_at, now) or due_at > now + AHEAD:
                    continue
                counts[owed.kind] += reminder_owe(client_id=person.client_id, owed=owed, on=on, due_at=due_at)
    return counts


@transaction.atomic
def reminder_owe(*, client_id: UUID, owed: Owed, on: date, due_at: datetime) -> bool:
    """Write down one reminder and the work of sending it. False if another process was quicker."""
    reminder_id = uuid4()
    work = owe(
        kind="send-reminder",
        key=f"reminder:{client_id}:{owed.kind}:{owed.subject_key}:{on.isoformat()}",
        payload={"reminder": str(reminder_id)},
        due_at=due_at,
    )
    if work.payload["reminder"] != str(reminder_id):
        return False
    Reminder.objects.create(
        pk=reminder_id,
        client_id=client_id,
        kind=owed.kind,
        subject_key=owed.subject_key,
        local_date=on,
        due_at=due_at,
        facts=dict(owed.facts),
        work=work,
    )
    return True


def reminder_send(*, reminder_id: UUID, at: datetime) -> dict[str, Any]:
    """Send one reminder, if it is still true and wanted. Call it outside any transaction.

    Raises Drop when it is not, Later in the reader's quiet hours, and what the mail server raised when another try may
    help. A reminder that was sent before is left alone.
    """
    reminder = Reminder.objects.select_related("client__household__practice").filter(pk=reminder_id).first()
    if reminder is None:
        raise Drop("gone")
    if reminder.state == State.SENT:
        return {"sent": "before"}
    if reminder.state != State.OWED:
        raise Drop(reminder.why)
    person, end = _still_wanted(reminder, at)
    if end is not None:
        _close(reminder, end)
    go_at = out_of_quiet(at, zone=person.zone, quiet=person.quiet)
    if go_at > at:
        raise Later(go_at)
    mail, stop_url = reminder_mail(reminder=reminder, person=person, at=at)
    failpoint("before_send")
    try:
        deliver(
            mail=mail,
            practice=reminder.client.household.practice,
            to=[(reminder.client.name, reminder.client.email)],
            work_id=reminder.work_id,
            at=at,
            stop_url=stop_url,
        )
    except AddressRefused:
        mail_stop(client=reminder.client, kinds=[""], how="refused", at=at)
        _close(reminder, End(State.FAILED, "refused"))
    failpoint("after_send")
    Reminder.objects.filter(pk=reminder.pk, state=State.OWED).update(state=State.SENT, sent_at=at, why="")
    return {"sent": "now"}


def _still_wanted(reminder: Reminder, at: datetime) -> tuple[Addressee | None, End | None]:
    """Asks the same questions as when it was written down, of the rows as they are now."""
    home = reminder.client.household
    if home.archived_at is not None:
        return None, End(State.SKIPPED, "archived")
    if not home.practice.postal_address.strip():
        return None, End(State.FAILED, "no-address")
    households = Household.objects.filter(pk=home.pk)
    people = addressees(households=households, since=reminder.local_date)
    person = next((person for person in people if person.client_id == reminder.client_id), None)
    if person is None:
        return None, End(State.SKIPPED, "inactive")
    if not person.wants(reminder.kind):
        return person, End(State.SKIPPED, "stopped")
    subjects = {(owed.kind, owed.subject_key) for owed in owed_on(person.plans, reminder.local_date)}
    if (reminder.kind, reminder.subject_key) not in subjects:
        return person, End(State.SKIPPED, "not-needed")
    if is_too_late(reminder.due_at, at) or _start_is_past(reminder, wall_clock(at, person.zone).date()):
        log.warning("reminder %s comes too late and is skipped", reminder.pk)
        return person, End(State.SKIPPED, "late")
    return person, None


def _start_is_past(reminder: Reminder, today: date) -> bool:
    return reminder.kind == Kind.COUNTDOWN and date.fromisoformat(reminder.subject_key) < today


def _close(reminder: Reminder, end: End) -> None:
    Reminder.objects.filter(pk=reminder.pk, state=State.OWED).update(state=end.state, why=end.why)
    raise Drop(end.why)


def reminder_mail(*, reminder: Reminder, person: Addressee, at: datetime) -> tuple[Mail, str]:
    """The message of a reminder as it would go now, and the address that stops its kind."""
    client = reminder.client
    stop_url = mail_stop_url(client_id=client.pk, kind=reminder.kind)
    facts: dict[str, Any] = {
        "practice": client.household.practice,
        "first_name": first_name(client.name),
        "stop_url": stop_url,
        "on": reminder.local_date,
        **FACTS[reminder.kind](reminder, person, wall_clock(at, person.zone).date()),
    }
    return render_mail(kind=reminder.kind, language=client.language, facts=facts), stop_url


def _countdown_facts(reminder: Reminder, person: Addressee, today: date) -> dict[str, Any]:
    start_on = date.fromisoformat(reminder.subject_key)
    return {"start_on": start_on, "days": (start_on - today).days}


def _check_in_facts(reminder: Reminder, person: Addressee, today: date) -> dict[str, Any]:
    on = reminder.local_date
    due = [eater_id for eater_id, plan in person.eaters if check_in_is_due(plan, on)]
    eaters = Eater.objects.select_related("household__practice", "client").in_bulk(due)
    links = [
        {
            "name": first_name(eaters[pk].name),
            "url": settings.SITE_URL + check_in_link(eater=eaters[pk], on=on),
        }
        for pk in due
    ]
    return {"links": links, "until": on + timedelta(days=OPEN_DAYS - 1)}


def _lead_in_facts(reminder: Reminder, person: Addressee, today: date) -> dict[str, Any]:
    on = reminder.local_date
    tasks = next(owed.facts["tasks"] for owed in owed_on(person.plans, on) if owed.kind == Kind.LEAD_IN)
    return {"tasks": tasks, "is_today": today == on}


FACTS = {Kind.COUNTDOWN: _countdown_facts, Kind.CHECK_IN: _check_in_facts, Kind.LEAD_IN: _lead_in_facts}


def reminder_given_up(*, reminder_id: UUID) -> None:
    """The mail server could not be reached in any of the attempts: the page shows it as failed."""
    Reminder.objects.filter(pk=reminder_id, state=State.OWED).update(state=State.FAILED, why="given-up")


@transaction.atomic
def reminder_retry(*, reminder: Reminder, by: Membership, at: datetime) -> bool:
    """Try a failed reminder once more, at once; a refused address gets another chance. False if it had not failed."""
    failed = Reminder.objects.filter(pk=reminder.pk, state=State.FAILED)
    if not failed.update(state=State.OWED, why="", due_at=at):
        return False
    refused_address_forget(client=reminder.client)
    if reminder.work_id is not None:
        outbox.retry(work_id=reminder.work_id, at=at)
    audit(practice=by.practice, user=by.user, action="reminder tried again", subject=str(reminder.pk), at=at)
    return True
