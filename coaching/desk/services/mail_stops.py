"""Who does not want which mail: the links that stop it, and stopping it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.urls import reverse

from clients.models import Client
from coaching.desk.models import MailStop, Reminder
from coaching.practice.services import audit

SALT = "desk.mail-stop"
KINDS = tuple(Reminder.Kind.values)


@dataclass(frozen=True, slots=True)
class StopLink:
    """What a link in a mail stands for: whose mail, and which kind it was."""

    client: Client
    kind: str


def mail_stop_url(*, client_id: UUID, kind: str) -> str:
    """The address that stops mail of this kind for this client. It works for good: the wish to stop has no term."""
    token = signing.Signer(salt=SALT).sign(signing.b64_encode(client_id.bytes + kind.encode()).decode())
    return settings.SITE_URL + reverse("mail_stop", args=[token])


def open_stop_link(token: str) -> StopLink | None:
    """Whose mail a token is about, or None if it is forged or the client was erased."""
    try:
        told = signing.b64_decode(signing.Signer(salt=SALT).unsign(token).encode())
        client_id, kind = UUID(bytes=told[:16]), told[16:].decode()
    except (signing.BadSignature, ValueError):
        return None
    client = Client.objects.select_related("household__practice").filter(pk=client_id).first()
    return StopLink(client, kind) if client is not None and kind in KINDS else None


def stopped_kinds(client: Client) -> frozenset[str]:
    """The kinds of mail a client does not get any more."""
    kinds = set(MailStop.objects.filter(client=client).values_list("kind", flat=True))
    return frozenset(KINDS) if "" in kinds else frozenset(kinds)


@transaction.atomic
def mail_stop(*, client: Client, kinds: Iterable[str], how: str, at: datetime) -> None:
    """Stop these kinds of mail for a client. Doing it twice changes nothing."""
    fresh = [
        kind
        for kind in kinds
        if MailStop.objects.get_or_create(client=client, kind=kind, defaults={"at": at, "how": how})[1]
    ]
    if fresh:
        _note(client, "mail stopped", fresh, how, at)


@transaction.atomic
def mail_resume(*, client: Client, how: str, at: datetime) -> None:
    """Send this client all kinds of mail again."""
    lifted, _ = MailStop.objects.filter(client=client).delete()
    if lifted:
        _note(client, "mail resumed", [], how, at)


@transaction.atomic
def refused_address_forget(*, client: Client) -> None:
    """Try an address again that a mail server refused. What the person stopped themselves stays stopped."""
    MailStop.objects.filter(client=client, how="refused").delete()


def _note(client: Client, action: str, kinds: list[str], how: str, at: datetime) -> None:
    audit(
        practice=client.household.practice,
        # A mail server that refuses an address is no act of the person.
        user=None if how == "refused" else client.user,
        action=action,
        subject=str(client.pk),
        facts={"kinds": kinds, "how": how},
        at=at,
    )
