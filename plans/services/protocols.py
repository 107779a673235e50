"""What is written of protocols: a file becomes a published version."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from coaching.domain.errors import Refused
from coaching.practice.models import Practice, User
from coaching.practice.services import audit
from plans.domain import book
from plans.domain.filing.protocols import read_protocol
from plans.domain.records import digest_of, protocol_record
from plans.models import Protocol, ProtocolVersion
from plans.selectors import book_of, newest_published


@dataclass(frozen=True, slots=True)
class FiledProtocol:
    """The protocol a file holds and its newest version, which is None when the file was only checked and is new."""

    protocol: book.Protocol
    version: ProtocolVersion | None
    is_new: bool


@transaction.atomic
def protocol_import(
    *,
    practice: Practice,
    text: str,
    filename: str = "",
    check_only: bool = False,
    by: User | None,
    at: datetime,
) -> FiledProtocol:
    """Publish the protocol of a file as a new version, unless it says what the newest version says.

    Earlier versions and the enrolments on them stay as they are. Raises Refused with every problem of the file.
    """
    protocol, problems = read_protocol(text, filename, book_of(practice).foods.values())
    if protocol is None:
        raise Refused(*problems)
    return protocol_put(practice, protocol, check_only=check_only, by=by, at=at)


def protocol_put(
    practice: Practice, protocol: book.Protocol, *, check_only: bool, by: User | None, at: datetime
) -> FiledProtocol:
    """Publish a protocol as a new version of its key, unless its newest version says the same.

    A draft of the protocol stays open and will be the version after this one.
    """
    document = protocol_record(protocol)
    digest = digest_of(document)
    row = Protocol.objects.select_for_update().filter(practice=practice, key=protocol.key).first()
    newest = newest_published(row) if row else None
    if newest is not None and newest.digest == digest:
        return FiledProtocol(protocol, newest, is_new=False)
    if check_only:
        return FiledProtocol(protocol, None, is_new=True)
    if row is None:
        row = Protocol.objects.create(practice=practice, key=protocol.key, title=protocol.title)
    elif row.title != protocol.title:
        Protocol.objects.filter(pk=row.pk).update(title=protocol.title)
    number = newest.number + 1 if newest else 1
    row.versions.filter(published_at__isnull=True).update(number=number + 1)
    version = ProtocolVersion.objects.create(
        protocol=row,
        number=number,
        document=document,
        digest=digest,
        published_at=at,
    )
    audit(
        practice=practice,
        user=by,
        action="protocol published",
        subject=str(version.pk),
        facts={"protocol": str(row.pk), "number": version.number},
        at=at,
    )
    return FiledProtocol(protocol, version, is_new=True)
