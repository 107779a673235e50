"""Writing drafts of new clients: each step as it was typed, until the last one makes the household."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.people import NewHousehold
from clients.models import Household, IntakeDraft
from clients.services.households import household_create
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership, Practice
from coaching.practice.services import audit


def draft_start(*, practice: Practice, coach: Membership, at: datetime) -> IntakeDraft:
    """An empty draft for a new client of this coach. Raises Refused while the practice is not set up."""
    if not practice.is_set_up:
        raise Refused(
            Problem(
                0,
                "practice",
                _("The practice is not set up yet."),
                _("Confirm the local rules and what clients agree to, then begin."),
            )
        )
    return IntakeDraft.objects.create(practice=practice, coach=coach, updated_at=at)


@transaction.atomic
def draft_keep(
    *, draft: IntakeDraft, step: str, typed: Mapping[str, Any], label: str | None = None, at: datetime
) -> IntakeDraft:
    """Keep one step as it was typed, right or wrong. Raises Refused once the household was made."""
    held = IntakeDraft.objects.select_for_update().get(pk=draft.pk)
    if held.household_id:
        raise Refused(_made_already())
    held.answers = {**held.answers, step: dict(typed)}
    held.updated_at = at
    if label is not None:
        held.label = label[:120]
    held.save(update_fields=["answers", "updated_at", "label"])
    return held


@transaction.atomic
def draft_archive(*, draft: IntakeDraft, by: Membership, at: datetime) -> None:
    """Put a draft away. A draft that became a household stays with it. Raises Refused for such a one."""
    held = IntakeDraft.objects.select_for_update().get(pk=draft.pk)
    if held.household_id:
        raise Refused(_made_already())
    held.archived_at = at
    held.save(update_fields=["archived_at"])
    audit(practice=by.practice, user=by.user, action="draft archived", subject=str(held.pk), at=at)


@transaction.atomic
def intake_complete(*, draft: IntakeDraft, new: NewHousehold, by: Membership, at: datetime) -> Household:
    """Make the household of a finished draft. A second call gives the household of the first."""
    held = (
        IntakeDraft.objects.select_for_update(of=("self",))
        .select_related("practice", "coach")
        .get(pk=draft.pk)
    )
    if held.household_id:
        return Household.objects.get(pk=held.household_id)
    household = household_create(practice=held.practice, coach=held.coach, new=new, by=by, at=at)
    # The household now holds the answers; a second copy of someone's health has no use.
    held.household, held.answers, held.updated_at = household, {}, at
    held.save(update_fields=["household", "answers", "updated_at"])
    return household


def _made_already() -> Problem:
    return Problem(
        0, "draft", _("This client is no draft any more."), _("Change things on the household’s page.")
    )
