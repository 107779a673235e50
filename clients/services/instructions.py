"""Writing down what a clinician asked an eater to leave out. Nothing is deleted: an instruction ends and stays."""

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from clients.models import Eater, Instruction
from clients.selectors.people import local_date
from clients.selectors.protocols import food_names
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit


@transaction.atomic
def instruction_add(
    *,
    eater: Eater,
    foods: Collection[str],
    said_by: str,
    said_on: date,
    until: date | None = None,
    note: str = "",
    by: Membership,
    at: datetime,
) -> Instruction:
    """Record foods that a clinician asked to leave out, from ``said_on`` until the day they may come back, if one was
    named.

    Raises Refused without a food or a name, for a food that is not in the book, a day to come, or an end that is over.
    """
    problems = _unusable(eater, foods, said_by, said_on, until, local_date(eater.household, at))
    if problems:
        raise Refused(*problems)
    instruction = Instruction.objects.create(
        eater=eater,
        foods=sorted(set(foods)),
        said_by=said_by.strip(),
        said_on=said_on,
        until=until,
        note=note.strip(),
        recorded_by=by.user,
        recorded_at=at,
    )
    _note(instruction, "instruction recorded", by, at)
    return instruction


@transaction.atomic
def instruction_end(*, instruction: Instruction, why: str, by: Membership, at: datetime) -> Instruction:
    """End an instruction today; it stays in the list with who ended it and why.

    Raises Refused without a reason, and for one that is over already.
    """
    rows = Instruction.objects.select_for_update(of=("self",)).select_related("eater__household__practice")
    held = rows.get(pk=instruction.pk)
    today = local_date(held.eater.household, at)
    problems = []
    if held.ended_on is not None or (held.until is not None and held.until <= today):
        problems.append(Problem(0, "why", _("This instruction is over already."), _("Load the page again.")))
    if not why.strip():
        problems.append(
            Problem(0, "why", _("The reason is missing."), _("Write who said so, and when they said it."))
        )
    if problems:
        raise Refused(*problems)
    held.ended_on, held.ended_why, held.ended_by = today, why.strip()[:300], by.user
    held.save(update_fields=["ended_on", "ended_why", "ended_by"])
    _note(held, "instruction ended", by, at)
    return held


def _unusable(
    eater: Eater, foods: Collection[str], said_by: str, said_on: date, until: date | None, today: date
) -> list[Problem]:
    problems = []
    known = {food.key for food in food_names(eater.household.practice)}
    if not foods:
        problems.append(Problem(0, "foods", _("No food is named."), _("Name at least one food.")))
    problems += [
        Problem(0, "foods", _("“%(food)s” is not in your book.") % {"food": key}, _("Choose another."))
        for key in sorted(set(foods) - known)
    ]
    if not said_by.strip():
        problems.append(
            Problem(0, "said_by", _("Who said so is missing."), _("Write the clinician’s name or role."))
        )
    if said_on > today:
        problems.append(
            Problem(0, "said_on", _("This day is still to come."), _("Give the day it was said."))
        )
    if until is not None and until <= max(said_on, today):
        problems.append(
            Problem(0, "until", _("This end is over already."), _("Give a day to come, or leave it empty."))
        )
    return problems


def _note(instruction: Instruction, action: str, by: Membership, at: datetime) -> None:
    audit(
        practice=instruction.eater.household.practice,
        user=by.user,
        action=action,
        subject=str(instruction.pk),
        facts={"foods": len(instruction.foods)},
        at=at,
    )
