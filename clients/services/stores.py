"""Writing down what is in a household's house. What is used up stays as a row that no list counts."""

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from clients.models import Household, Store
from clients.selectors.people import local_date
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit

MOST_G = Decimal(100_000)


@transaction.atomic
def store_note(
    *,
    household: Household,
    food: str,
    amount_g: Decimal,
    place: str,
    best_by: date | None = None,
    known: Collection[str],
    by: Membership,
    at: datetime,
) -> Store:
    """Note a food that is in the house, in grams as bought. ``known`` are the foods of the practice's book.

    Raises Refused for a food that is not among them, an amount that cannot be, or a place there is not.
    """
    problems = _unusable(amount_g, place)
    if food not in known:
        problems.append(
            Problem(0, "food", _("“%(food)s” is not in the book.") % {"food": food}, _("Choose another."))
        )
    if problems:
        raise Refused(*problems)
    store = Store.objects.create(
        household=household,
        food=food,
        amount_g=_kept(amount_g),
        place=place,
        best_by=best_by,
        noted_on=local_date(household, at),
    )
    _audit(store, "store noted", by, at)
    return store


@transaction.atomic
def store_change(
    *, store: Store, amount_g: Decimal, place: str, best_by: date | None, by: Membership, at: datetime
) -> Store:
    """Say anew how much of it there is, where, and to which day it is good. Raises Refused like ``store_note``, and
    for one that was used up meanwhile."""
    held = Store.objects.select_for_update(of=("self",)).select_related("household__practice")
    row = held.get(pk=store.pk)
    problems = _unusable(amount_g, place)
    if row.used_up_at is not None:
        problems.append(
            Problem(0, "", _("Somebody has put this down as used up."), _("Note it again if it is there."))
        )
    if problems:
        raise Refused(*problems)
    row.amount_g, row.place, row.best_by = _kept(amount_g), place, best_by
    row.noted_on = local_date(row.household, at)
    row.save(update_fields=["amount_g", "place", "best_by", "noted_on"])
    _audit(row, "store changed", by, at)
    return row


@transaction.atomic
def store_used_up(*, store: Store, by: Membership, at: datetime) -> None:
    """It is all gone. Saying it twice changes nothing."""
    gone = Store.objects.filter(pk=store.pk, used_up_at__isnull=True).update(used_up_at=at)
    if gone:
        _audit(store, "store used up", by, at)


def _kept(amount_g: Decimal) -> Decimal:
    return max(amount_g.quantize(Decimal("0.01")), Decimal("0.01"))


def _unusable(amount_g: Decimal, place: str) -> list[Problem]:
    problems = []
    if not 0 < amount_g <= MOST_G:
        problems.append(
            Problem(0, "amount", _("That much cannot be in a house."), _("Give between 1 g and 100 kg."))
        )
    if place not in Store.Place.values:
        problems.append(Problem(0, "place", _("There is no such place."), _("Choose one of the list.")))
    return problems


def _audit(store: Store, action: str, by: Membership, at: datetime) -> None:
    audit(
        practice=store.household.practice,
        user=by.user,
        action=action,
        subject=str(store.pk),
        at=at,
    )
