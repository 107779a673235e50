"""Moving eaters from one version of their protocol to another. The coach decides; nobody is moved by a publish."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from clients.models import Enrolment, Spell
from clients.selectors.people import local_date
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.moving import places
from plans.models import ProtocolVersion
from plans.selectors import protocol_of

MOST_REASON = 300


@dataclass(frozen=True, slots=True)
class Move:
    """One enrolment to be moved. ``stage`` and why it is chosen only where the version lacks the eater's own."""

    enrolment: Enrolment
    stage: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What the page showed of an enrolment when the coach decided: its version and its open spell."""

    version: UUID
    spell: UUID


@transaction.atomic
def enrolments_move(
    *,
    moves: Sequence[Move],
    version: ProtocolVersion,
    seen: Mapping[UUID, Seen],
    by: Membership,
    at: datetime,
) -> list[Enrolment]:
    """Move enrolments to a published version of their protocol, earlier or later: all of them, or none.

    The open spell goes on where the version has its stage. Elsewhere it ends today and one begins in the stage the
    coach chose, with a reason; a spell that has not begun takes the new stage instead. Weeks and packets that are made
    already stay as they are. ``seen`` is by enrolment id.

    Raises Refused with all that is in the way: a version that is not published or of another protocol or practice, an
    ended enrolment, one that is no longer as it was seen, a stage beyond the eater's place, a missing reason.
    """
    _check_version(version, by)
    by_id = {move.enrolment.pk: move for move in moves}
    rows = Enrolment.objects.select_for_update(of=("self",)).filter(
        pk__in=by_id, eater__household__practice=by.practice_id
    )
    held = list(rows.select_related("eater__household__practice", "version__protocol").order_by("pk"))
    spells = {
        spell.enrolment_id: spell for spell in Spell.objects.filter(enrolment__in=held, ended_on__isnull=True)
    }
    problems = [
        problem
        for one in held
        for problem in _problems(one, by_id[one.pk], version, spells.get(one.pk), seen.get(one.pk))
    ]
    if len(held) < len(by_id) or not held:
        problems.append(_problem(_("Somebody on this page is not there any more."), _look_again()))
    if problems:
        raise Refused(*problems)
    for one in held:
        _move(one, by_id[one.pk], version, spells[one.pk], by, at)
    return held


def _move(
    held: Enrolment, move: Move, version: ProtocolVersion, spell: Spell, by: Membership, at: datetime
) -> None:
    facts: dict[str, str | int] = {"was": held.version.number, "now": version.number}
    held.version = version
    held.save(update_fields=["version"])
    if not _has(version, spell.stage):
        facts |= {"stage_was": spell.stage, "stage": move.stage}
        today = local_date(held.eater.household, at)
        _change_stage(held, spell, move.stage, move.reason.strip()[:MOST_REASON], today)
    audit(
        practice=held.eater.household.practice,
        user=by.user,
        action="enrolment moved",
        subject=str(held.pk),
        facts=facts,
        at=at,
    )


def _change_stage(held: Enrolment, spell: Spell, stage: str, why: str, today: date) -> None:
    if spell.began_on > today:
        spell.stage, spell.began_why = stage, why
        spell.save(update_fields=["stage", "began_why"])
        return
    spell.ended_on, spell.ended_why = today, why
    spell.save(update_fields=["ended_on", "ended_why"])
    Spell.objects.create(enrolment=held, stage=stage, began_on=today, began_why=why)


def _check_version(version: ProtocolVersion, by: Membership) -> None:
    if version.published_at is None or version.protocol.practice_id != by.practice_id:
        raise Refused(
            Problem(0, "to", _("This version cannot be followed."), _("Choose a published version."))
        )


def _problems(
    held: Enrolment, move: Move, version: ProtocolVersion, spell: Spell | None, seen: Seen | None
) -> list[Problem]:
    names = {"eater": held.eater.name, "number": version.number}
    if held.state == Enrolment.State.ENDED or spell is None:
        return [_problem(_("The protocol has ended for %(eater)s.") % names, _("Choose the others again."))]
    if held.version.protocol_id != version.protocol_id:
        return [_problem(_("%(eater)s follows another protocol.") % names, _look_again())]
    if seen != Seen(held.version_id, spell.pk):
        message = _("The version or the stage of %(eater)s changed while this page was open.") % names
        return [_problem(message, _look_again())]
    if held.version_id == version.pk:
        return [_problem(_("%(eater)s follows version %(number)s already.") % names, _look_again())]
    return _stage_problems(held, move, version, spell, names)


def _stage_problems(
    held: Enrolment, move: Move, version: ProtocolVersion, spell: Spell, names: Mapping[str, object]
) -> list[Problem]:
    if _has(version, spell.stage):
        if move.stage in (None, spell.stage):
            return []
        return [
            Problem(
                0,
                "stage",
                _("Version %(number)s has the stage that %(eater)s is in.") % names,
                _("Move them first, then decide about the stage."),
            )
        ]
    offered = [stage.key for stage in places(protocol_of(held.version), protocol_of(version), spell.stage)]
    if not offered:
        return [no_place(held.eater.name, version.number)]
    problems = []
    if move.stage not in offered:
        message = _("Version %(number)s lacks the stage that %(eater)s is in.") % names
        problems.append(Problem(0, "stage", message, _("Choose one of the stages offered.")))
    if not move.reason.strip():
        message = _("The reason for %(eater)s is missing.") % names
        problems.append(Problem(0, "reason", message, _("Write why this stage, in a few words.")))
    return problems


def no_place(eater: str, number: int) -> Problem:
    """Why an eater cannot be moved: the version has no stage at or before their place."""
    message = _("Version %(number)s has no stage at or before the one %(eater)s is in.")
    return Problem(
        0,
        "stage",
        message % {"number": number, "eater": eater},
        _("Step back first, or end the protocol and begin it anew."),
    )


def _has(version: ProtocolVersion, stage: str) -> bool:
    return any(known.key == stage for known in protocol_of(version).stages)


def _look_again() -> str:
    return _("Nothing was moved. Look at the page again, then decide.")


def _problem(message: str, fix: str) -> Problem:
    return Problem(0, "enrolment", message, fix)
