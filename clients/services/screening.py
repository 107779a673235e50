"""Writing what a screening found, and that a clinician agreed."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.questions import Answers, Person, answers_record
from clients.domain.screening import RULES, screen
from clients.models import Caution, Eater, SignOff
from clients.selectors.people import local_date
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit


@transaction.atomic
def screening_record(*, eater: Eater, answers: Answers, by: Membership, at: datetime) -> list[Caution]:
    """Keep the answers and bring the eater's cautions into line with them; returns those that stand.

    A caution that still holds on the same facts keeps its sign-off. One whose facts or strength changed is lifted and
    raised anew: a clinician agreed to what was known then, not to what is known now.
    """
    held = (
        Eater.objects.select_for_update(of=("self",)).select_related("household__practice").get(pk=eater.pk)
    )
    held.answers = answers_record(answers)
    held.save(update_fields=["answers"])
    found = {
        caution.rule: caution
        for caution in screen(Person(held.born, held.sex), answers, local_date(held.household, at))
    }
    standing = Caution.objects.filter(eater=held, rule__in=RULES, lifted_at__isnull=True)
    kept = set()
    lifted = []
    for row in standing:
        now = found.get(row.rule)
        if now is not None and (row.strength, row.facts) == (now.strength.value, dict(now.facts)):
            kept.add(row.rule)
        else:
            lifted.append(row.pk)
    Caution.objects.filter(pk__in=lifted).update(lifted_at=at)
    raised = [
        Caution(eater=held, rule=rule, strength=now.strength.value, facts=dict(now.facts), raised_at=at)
        for rule, now in found.items()
        if rule not in kept
    ]
    Caution.objects.bulk_create(raised)
    audit(
        practice=held.household.practice,
        user=by.user,
        action="screening recorded",
        subject=str(held.pk),
        facts={"raised": len(raised), "lifted": len(lifted), "kept": len(kept)},
        at=at,
    )
    return list(Caution.objects.filter(eater=held, lifted_at__isnull=True))


@transaction.atomic
def sign_offs_record(
    *,
    cautions: Iterable[Caution],
    clinician: str,
    profession: str,
    agreed_on: date,
    note: str = "",
    by: Membership,
    at: datetime,
) -> list[SignOff]:
    """Record one clinician's agreement to several cautions; all of them or none. Raises Refused."""
    return [
        sign_off_record(
            caution=caution,
            clinician=clinician,
            profession=profession,
            agreed_on=agreed_on,
            note=note,
            by=by,
            at=at,
        )
        for caution in cautions
    ]


@transaction.atomic
def sign_off_record(
    *,
    caution: Caution,
    clinician: str,
    profession: str,
    agreed_on: date,
    note: str = "",
    by: Membership,
    at: datetime,
) -> SignOff:
    """Record that a licensed clinician agreed to a *clinician first* caution being passed.

    Raises Refused for any other strength, a second sign-off, a missing name or profession, or a day to come.
    """
    rows = Caution.objects.select_for_update(of=("self",)).select_related("eater__household__practice")
    row = rows.get(pk=caution.pk)
    _refuse_unsignable(row, clinician, profession, agreed_on, at)
    sign_off = SignOff.objects.create(
        caution=row,
        clinician=clinician.strip(),
        profession=profession.strip(),
        agreed_on=agreed_on,
        note=note.strip(),
        recorded_by=by.user,
        recorded_at=at,
    )
    audit(
        practice=row.eater.household.practice,
        user=by.user,
        action="sign-off recorded",
        subject=str(row.pk),
        at=at,
    )
    return sign_off


def _refuse_unsignable(row: Caution, clinician: str, profession: str, agreed_on: date, at: datetime) -> None:
    problems = []
    if row.strength == Caution.Strength.DO_NOT_START:
        problems.append(
            Problem(
                0,
                "cautions",
                _("Nobody can sign off “do not start”."),
                _("Screen again once it no longer holds."),
            )
        )
    elif row.strength != Caution.Strength.CLINICIAN_FIRST:
        problems.append(Problem(0, "cautions", _("This caution asks for no sign-off."), ""))
    if row.lifted_at is not None:
        problems.append(
            Problem(0, "cautions", _("This caution no longer stands."), _("Load the page again."))
        )
    if SignOff.objects.filter(caution=row).exists():
        problems.append(
            Problem(0, "cautions", _("A sign-off is already recorded."), _("Load the page again to see it."))
        )
    if not clinician.strip():
        problems.append(
            Problem(0, "clinician", _("Who agreed is missing."), _("Write the clinician’s name."))
        )
    if not profession.strip():
        problems.append(
            Problem(
                0, "profession", _("The profession is missing."), _("Write it, such as dietitian or doctor.")
            )
        )
    if agreed_on > local_date(row.eater.household, at):
        problems.append(
            Problem(0, "agreed_on", _("This day is still to come."), _("Give the day the clinician agreed."))
        )
    if problems:
        raise Refused(*problems)
