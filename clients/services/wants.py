"""Writing down what a household's weeks are to do well, most wanted first."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from clients.domain.wants import wants_in_order, wants_moved, wants_record
from clients.models import Household
from coaching.practice.models import Membership
from coaching.practice.services import audit


@transaction.atomic
def want_move(*, household: Household, want: str, way: str, by: Membership, at: datetime) -> tuple[str, ...]:
    """Move one want a place ``up`` or ``down``; gives the order that holds now. Raises ValueError for another want."""
    held = _held(household)
    return _keep(held, wants_moved(wants_in_order(held.wants), want, way), by, at)


@transaction.atomic
def wants_as_usual(*, household: Household, by: Membership, at: datetime) -> tuple[str, ...]:
    """Go back to the usual order, which is given."""
    return _keep(_held(household), wants_in_order(()), by, at)


def _held(household: Household) -> Household:
    rows = Household.objects.select_for_update(of=("self",)).select_related("practice")
    return rows.get(pk=household.pk)


def _keep(held: Household, order: Sequence[str], by: Membership, at: datetime) -> tuple[str, ...]:
    record = wants_record(order)
    if record != held.wants:
        held.wants = record
        held.save(update_fields=["wants"])
        audit(
            practice=held.practice,
            user=by.user,
            action="household changed",
            subject=str(held.pk),
            facts={"fields": ["wants"]},
            at=at,
        )
    return tuple(order)
