"""Writing check-ins: by the client, by a link in a reminder, or by the coach on the telephone."""

import logging
from datetime import date, datetime

from django.db import transaction

from clients.domain.check_in import RED_FLAGS, SYMPTOMS, Answers, burden
from clients.models import CheckIn, CheckInLink, Eater
from coaching.domain.errors import Problem, Refused
from coaching.outbox.services import owe
from coaching.practice.models import Membership, User
from coaching.practice.services import audit

log = logging.getLogger(__name__)
EARLIEST_DAYS = 14
"""A check-in may be filled in this many days late; memory is no better than that (our choice)."""


def answers_of(check_in: CheckIn) -> Answers:
    """A stored report as the values the rules understand."""
    return Answers(
        symptoms=check_in.symptoms,
        stool_form=check_in.stool_form,
        stool_count=check_in.stool_count,
        energy=check_in.energy,
        sleep_hours=check_in.sleep_hours,
        mood=check_in.mood,
        foods_tried=check_in.foods_tried,
        notes=check_in.notes,
        red_flags=tuple(check_in.red_flags),
    )


@transaction.atomic
def check_in_record(
    *, eater: Eater, on: date, today: date, answers: Answers, by: str, user: User | None, at: datetime
) -> CheckIn:
    """Keep one eater's report of a day; a second one for the same day replaces the first.

    Red flags are told to the coach at once. Raises Refused for an empty form or a date out of reach.
    """
    _refuse_unusable(on, today, answers)
    values = {
        "by": by,
        "symptoms": dict(answers.symptoms),
        "stool_form": answers.stool_form,
        "stool_count": answers.stool_count,
        "energy": answers.energy,
        "sleep_hours": answers.sleep_hours,
        "mood": answers.mood,
        "foods_tried": answers.foods_tried,
        "notes": answers.notes,
        "red_flags": list(answers.red_flags),
        "burden": burden(answers.symptoms),
        "recorded_at": at,
    }
    reset = (
        {"flags_answered_at": None, "flags_answered_by": None, "flags_answer": ""}
        if answers.red_flags
        else {}
    )
    check_in, created = CheckIn.objects.update_or_create(eater=eater, on=on, defaults=values | reset)
    if answers.red_flags:
        owe(
            kind="tell-coach",
            key=f"tell-coach:{check_in.pk}:{at.isoformat()}",
            payload={"household": str(eater.household_id)},
            due_at=at,
        )
    audit(
        practice=eater.household.practice,
        user=user,
        action="check-in recorded" if created else "check-in replaced",
        subject=str(check_in.pk),
        facts={"by": by},
        at=at,
    )
    return check_in


def _refuse_unusable(on: date, today: date, answers: Answers) -> None:
    if not 0 <= (today - on).days <= EARLIEST_DAYS:
        raise Refused(
            Problem(
                0, "on", "This day cannot be filled in.", f"Choose a day from the last {EARLIEST_DAYS} days."
            )
        )
    if answers.is_empty:
        raise Refused(
            Problem(0, "symptoms", "Nothing is filled in yet.", "Answer at least one question, then send.")
        )
    unknown = [key for key in answers.symptoms if key not in SYMPTOMS]
    unknown += [key for key in answers.red_flags if key not in {flag.key for flag in RED_FLAGS}]
    if unknown:
        raise Refused(
            Problem(0, "symptoms", f"Unknown words: {', '.join(unknown)}.", "Reload the page and try again.")
        )


@transaction.atomic
def link_check_in_record(*, link: CheckInLink, today: date, answers: Answers, at: datetime) -> CheckIn:
    """A check-in by link: the link works once. Raises Refused when it was used meanwhile."""
    used = CheckInLink.objects.filter(pk=link.pk, used_at__isnull=True).update(used_at=at)
    if not used:
        raise Refused(Problem(0, "link", "This check-in is already filled in.", "Sign in to change it."))
    return check_in_record(
        eater=link.eater, on=link.on, today=today, answers=answers, by=CheckIn.By.LINK, user=None, at=at
    )


@transaction.atomic
def red_flags_answer(*, check_in: CheckIn, answer: str, by: Membership, at: datetime) -> None:
    """Record what a clinician answered to a red flag; only then does the flag stop pausing advice."""
    if not answer.strip():
        raise Refused(
            Problem(
                0, "answer", "There is no answer yet.", "Write who was asked, when, and what they said to do."
            )
        )
    CheckIn.objects.filter(pk=check_in.pk).update(
        flags_answer=answer.strip(), flags_answered_at=at, flags_answered_by=by.user
    )
    audit(practice=by.practice, user=by.user, action="red flags answered", subject=str(check_in.pk), at=at)
