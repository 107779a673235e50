"""Writing down which meals somebody eats elsewhere."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.people import WeeklyMeal
from clients.domain.presence import away_from_record, away_record, nobody_at_home
from clients.models import Eater, Household
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit


@transaction.atomic
def presence_change(*, eater: Eater, away: Collection[WeeklyMeal], by: Membership, at: datetime) -> Eater:
    """Say which meals of every week an eater eats elsewhere.

    Raises Refused when nobody of the household would eat anything at home.
    """
    # The household is held, so that two pages at once cannot send everybody away.
    household = (
        Household.objects.select_for_update(of=("self",))
        .select_related("practice")
        .get(pk=eater.household_id)
    )
    held = Eater.objects.select_for_update().get(pk=eater.pk)
    others = Eater.objects.filter(household=household).exclude(pk=held.pk).values_list("away", flat=True)
    if nobody_at_home([frozenset(away), *map(away_from_record, others)]):
        raise Refused(nobody_left())
    record = away_record(away)
    if record != held.away:
        held.away = record
        held.save(update_fields=["away"])
        audit(
            practice=household.practice,
            user=by.user,
            action="eater changed",
            subject=str(held.pk),
            facts={"fields": ["away"]},
            at=at,
        )
    return held


def nobody_left() -> Problem:
    """Nothing would be left to plan."""
    return Problem(
        0,
        "away",
        _("Nobody of the household would eat anything at home."),
        _("Leave at least one meal at home to somebody."),
    )
