"""Links that open one check-in without signing in: signed, for one eater and one day, good once and not for long."""

from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.core import signing
from django.urls import reverse

from clients.models import CheckInLink, Eater
from coaching.domain.calendar import first_zone, moment_of

SALT = "clients.check-in-link"
OPEN_DAYS = 3
"""A link works on its own day and the two after it; memory fades and mail gets forwarded."""


def check_in_link(*, eater: Eater, on: date) -> str:
    """The path that opens this eater's check-in for one day. The same link however often it is asked for."""
    link, _ = CheckInLink.objects.get_or_create(
        eater=eater,
        on=on,
        defaults={"expires_at": moment_of(on + timedelta(days=OPEN_DAYS), time(0), _zone_of(eater))},
    )
    return reverse("check_in_by_link", args=[signing.Signer(salt=SALT).sign(link.pk.hex)])


def open_check_in_link(token: str, at: datetime) -> CheckInLink | None:
    """The link a token stands for, or None if it is forged, used, run out, or its household was archived."""
    try:
        pk = UUID(signing.Signer(salt=SALT).unsign(token))
    except (signing.BadSignature, ValueError):
        return None
    return (
        CheckInLink.objects.select_related("eater__household__practice")
        .filter(pk=pk, used_at__isnull=True, expires_at__gt=at, eater__household__archived_at__isnull=True)
        .first()
    )


def _zone_of(eater: Eater) -> str:
    """The zone of whoever answers for the eater, else the practice's."""
    client = eater.client or eater.household.clients.order_by("pk").first()
    return first_zone(client.time_zone if client else "", eater.household.practice.time_zone)
