"""Writing how far each eater has come. Every step is a coach's decision; nothing here runs by itself."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clients.models import Eater, Enrolment, Spell
from clients.selectors.cautions import OPEN_STATES, barring_cautions, open_red_flags
from clients.selectors.people import local_date
from clients.selectors.protocols import stages_of
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.book import Stage
from plans.models import ProtocolVersion

MOST_REASON = 300


@transaction.atomic
def enrolment_start(
    *,
    eater: Eater,
    version: ProtocolVersion,
    stage: str,
    start_on: date,
    by: Membership,
    at: datetime,
    may_have_begun: bool = False,
) -> Enrolment:
    """Put an eater on a protocol version, from a stage and a day on, and open the first spell.

    Raises Refused while *do not start* holds, for an unpublished or foreign version, an unknown stage, a second open
    enrolment, or a day in the past (unless it ``may_have_begun``, as when a household is brought in from elsewhere).
    """
    held = (
        Eater.objects.select_for_update(of=("self",)).select_related("household__practice").get(pk=eater.pk)
    )
    problems = [*_version_problems(held, version, stage), *_person_problems(held)]
    if not may_have_begun and start_on < local_date(held.household, at):
        problems.append(
            Problem(0, "start_on", _("Day one lies in the past."), _("Choose today or a later day."))
        )
    if problems:
        raise Refused(*problems)
    enrolment = Enrolment.objects.create(eater=held, version=version, start_on=start_on)
    Spell.objects.create(enrolment=enrolment, stage=stage, began_on=start_on, began_why=_("Day one"))
    _note(enrolment, "enrolment started", by, at, stage=stage)
    return enrolment


@transaction.atomic
def stage_move_on(
    *, enrolment: Enrolment, seen: UUID, reason: str = "", by: Membership, at: datetime
) -> Spell:
    """Close the open spell and open one in the next stage, today. ``seen`` is the spell the coach decided on.

    Raises Refused before day one, on hold, in the last stage, while a caution or a red flag stands, or before the
    stage's least days without a reason.
    """
    held, spell = _open(enrolment, seen)
    today = local_date(held.eater.household, at)
    stages = stages_of(held.version)
    place = _place(stages, spell.stage)
    problems = [*_standing_problems(held)]
    if held.state == Enrolment.State.HELD:
        problems.append(_problem(_("The protocol is on hold."), _("Resume it first.")))
    if place + 1 >= len(stages):
        problems.append(_problem(_("This is the last stage."), _("End the protocol when it is done.")))
    days = (today - spell.began_on).days
    if days < 0:
        problems.append(_problem(_("The stage has not begun yet."), _("Wait for day one, or change it.")))
    elif days < stages[place].least_days and not reason.strip():
        problems.append(_too_early(stages[place], days))
    if problems:
        raise Refused(*problems)
    return _next_spell(
        held, spell, stages[place + 1].key, reason or _("Moved on"), today, "stage moved on", by, at
    )


@transaction.atomic
def stage_step_back(
    *, enrolment: Enrolment, seen: UUID, stage: str, reason: str, by: Membership, at: datetime
) -> Spell:
    """Close the open spell and open one in an earlier stage, today. A reason is asked for. Raises Refused."""
    held, spell = _open(enrolment, seen)
    today = local_date(held.eater.household, at)
    earlier = [known.key for known in stages_of(held.version)][: _place(stages_of(held.version), spell.stage)]
    problems = _missing_reason(reason)
    if stage not in earlier:
        problems.append(
            Problem(
                0, "stage", _("This is not an earlier stage."), _("Choose one of the stages before this one.")
            )
        )
    if spell.began_on > today:
        problems.append(_problem(_("The stage has not begun yet."), _("Wait for day one, or change it.")))
    if problems:
        raise Refused(*problems)
    return _next_spell(held, spell, stage, reason, today, "stage stepped back", by, at)


@transaction.atomic
def enrolment_hold(*, enrolment: Enrolment, reason: str, by: Membership, at: datetime) -> Enrolment:
    """Stay in the stage until the coach resumes. A reason is asked for. Raises Refused when already on hold."""
    held = _locked(enrolment)
    problems = _missing_reason(reason)
    if held.state == Enrolment.State.HELD:
        problems.append(_problem(_("The protocol is on hold already."), _("Load the page again.")))
    if problems:
        raise Refused(*problems)
    held.state = Enrolment.State.HELD
    held.held_since = local_date(held.eater.household, at)
    held.held_why = reason.strip()[:MOST_REASON]
    held.save(update_fields=["state", "held_since", "held_why"])
    _note(held, "enrolment held", by, at)
    return held


@transaction.atomic
def enrolment_resume(*, enrolment: Enrolment, by: Membership, at: datetime) -> Enrolment:
    """Go on after a hold, in the same stage. Raises Refused when it was not on hold."""
    held = _locked(enrolment)
    if held.state != Enrolment.State.HELD:
        raise Refused(_problem(_("The protocol is not on hold."), _("Load the page again.")))
    held.state, held.held_since, held.held_why = Enrolment.State.ACTIVE, None, ""
    held.save(update_fields=["state", "held_since", "held_why"])
    _note(held, "enrolment resumed", by, at)
    return held


@transaction.atomic
def day_one_change(*, enrolment: Enrolment, start_on: date, by: Membership, at: datetime) -> Enrolment:
    """Move day one while it still lies ahead. Raises Refused once it came, or for a day in the past."""
    held = _locked(enrolment)
    today = local_date(held.eater.household, at)
    if held.start_on <= today:
        raise Refused(
            Problem(0, "start_on", _("Day one has come."), _("Hold the stage instead, or step back."))
        )
    if start_on < today:
        raise Refused(
            Problem(0, "start_on", _("Day one lies in the past."), _("Choose today or a later day."))
        )
    held.start_on = start_on
    held.save(update_fields=["start_on"])
    held.spells.filter(ended_on__isnull=True).update(began_on=start_on)
    _note(held, "day one changed", by, at, start_on=start_on.isoformat())
    return held


@transaction.atomic
def enrolment_end(*, enrolment: Enrolment, reason: str, by: Membership, at: datetime) -> Enrolment:
    """Close the protocol for this eater, finished or not; the history stays. A reason is asked for. Raises Refused."""
    held = _locked(enrolment)
    problems = _missing_reason(reason)
    if problems:
        raise Refused(*problems)
    today = local_date(held.eater.household, at)
    for spell in held.spells.filter(ended_on__isnull=True):
        spell.ended_on, spell.ended_why = max(today, spell.began_on), reason.strip()[:MOST_REASON]
        spell.save(update_fields=["ended_on", "ended_why"])
    held.state, held.held_since, held.held_why = Enrolment.State.ENDED, None, ""
    held.save(update_fields=["state", "held_since", "held_why"])
    _note(held, "enrolment ended", by, at)
    return held


def _locked(enrolment: Enrolment) -> Enrolment:
    """The open enrolment under a lock, so that two decisions at once come one after the other."""
    held = (
        Enrolment.objects.select_for_update(of=("self",))
        .select_related("eater__household__practice", "version")
        .get(pk=enrolment.pk)
    )
    if held.state == Enrolment.State.ENDED:
        raise Refused(_problem(_("The protocol has ended for this eater."), _("Load the page again.")))
    return held


def _open(enrolment: Enrolment, seen: UUID) -> tuple[Enrolment, Spell]:
    held = _locked(enrolment)
    spell = held.spells.get(ended_on__isnull=True)
    if spell.pk != seen:
        raise Refused(
            _problem(
                _("The stage changed while this page was open."), _("Look at the page again, then decide.")
            )
        )
    return held, spell


def _next_spell(
    held: Enrolment,
    spell: Spell,
    stage: str,
    reason: str,
    today: date,
    action: str,
    by: Membership,
    at: datetime,
) -> Spell:
    why = reason.strip()[:MOST_REASON]
    spell.ended_on, spell.ended_why = today, why
    spell.save(update_fields=["ended_on", "ended_why"])
    opened = Spell.objects.create(enrolment=held, stage=stage, began_on=today, began_why=why)
    _note(held, action, by, at, stage=stage)
    return opened


def _place(stages: tuple[Stage, ...], key: str) -> int:
    return next(place for place, stage in enumerate(stages) if stage.key == key)


def _version_problems(eater: Eater, version: ProtocolVersion, stage: str) -> list[Problem]:
    if version.published_at is None or version.protocol.practice_id != eater.household.practice_id:
        return [
            Problem(0, "protocol", _("This version cannot be followed."), _("Choose a published protocol."))
        ]
    if stage not in {known.key for known in stages_of(version)}:
        return [
            Problem(
                0, "protocol", _("The protocol has no such stage."), _("Choose one of the protocol’s stages.")
            )
        ]
    return []


def _person_problems(eater: Eater) -> list[Problem]:
    problems = []
    if eater.enrolments.filter(state__in=OPEN_STATES).exists():
        problems.append(
            Problem(
                0,
                "protocol",
                _("%(eater)s already follows a protocol.") % {"eater": eater.name},
                _("End that one first."),
            )
        )
    if not eater.answers:
        problems.append(
            Problem(
                0,
                "protocol",
                _("%(eater)s has not been screened.") % {"eater": eater.name},
                _("Ask the screening questions first."),
            )
        )
    if barring_cautions(eater).filter(strength="do-not-start").exists():
        problems.append(
            Problem(
                0,
                "protocol",
                _("“Do not start” holds for %(eater)s.") % {"eater": eater.name},
                _("Let them follow none for now, and screen again once it no longer holds."),
            )
        )
    return problems


def _standing_problems(enrolment: Enrolment) -> list[Problem]:
    problems = []
    strengths = set(barring_cautions(enrolment.eater).values_list("strength", flat=True))
    if "do-not-start" in strengths:
        problems.append(
            _problem(
                _("“Do not start” holds for %(eater)s.") % {"eater": enrolment.eater.name},
                _("Hold the stage, or end the protocol."),
            )
        )
    if "clinician-first" in strengths:
        problems.append(
            _problem(_("A caution waits for a clinician."), _("Record the sign-off first, then move on."))
        )
    if open_red_flags(enrolment.eater).exists():
        problems.append(
            _problem(
                _("A red flag from a check-in is open."),
                _("Record what the clinician answered, then move on."),
            )
        )
    return problems


def _too_early(stage: Stage, days: int) -> Problem:
    message = ngettext(
        "This stage asks for at least %(least)s days; %(days)s day is over.",
        "This stage asks for at least %(least)s days; %(days)s days are over.",
        days,
    ) % {"least": stage.least_days, "days": days}
    return Problem(0, "reason", message, _("Give a reason to move on early, or stay."))


def _missing_reason(reason: str) -> list[Problem]:
    return (
        []
        if reason.strip()
        else [Problem(0, "reason", _("The reason is missing."), _("Write why, in a few words."))]
    )


def _problem(message: str, fix: str) -> Problem:
    return Problem(0, "decision", message, fix)


def _note(enrolment: Enrolment, action: str, by: Membership, at: datetime, **facts: str) -> None:
    audit(
        practice=enrolment.eater.household.practice,
        user=by.user,
        action=action,
        subject=str(enrolment.pk),
        facts=facts,
        at=at,
    )
