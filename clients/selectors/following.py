"""Who follows a protocol, and who of them follows an older version of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import F, Prefetch, Q, QuerySet, Subquery

from clients.access import followers_for
from clients.models import Enrolment, Spell
from coaching.practice.models import Membership
from plans.models import Protocol, ProtocolVersion
from plans.selectors import protocol_of


@dataclass(frozen=True, slots=True)
class FollowerLine:
    """One open enrolment in the list. ``day`` is 1 on the first day of the stage, 0 or less before it."""

    enrolment: Enrolment
    spell: Spell
    number: int
    stage: str
    day: int

    @property
    def is_held(self) -> bool:
        return self.enrolment.state == Enrolment.State.HELD


def followers_found(
    member: Membership, protocol: UUID, *, q: str = "", number: str = ""
) -> QuerySet[Enrolment]:
    """The open enrolments of a protocol that a member may see: older versions first, then by eater.

    ``number`` narrows to one version, as typed in the address; nonsense finds nobody. Spells are fetched with
    the rows; versions are left to ``attach_versions``.
    """
    rows = followers_for(member, protocol).exclude(state=Enrolment.State.ENDED)
    if q:
        rows = rows.filter(Q(eater__name__icontains=q) | Q(eater__household__name__icontains=q))
    if number:
        rows = rows.filter(version__number=number) if number.isdecimal() and len(number) < 7 else rows.none()
    return rows.order_by("version__number", "eater__name", "pk").prefetch_related(_spells())


def followers_chosen(member: Membership, protocol: UUID, ids: Iterable[UUID]) -> list[Enrolment]:
    """The enrolments with these ids, ended ones too, by eater. Those a member may not see are not among them."""
    rows = followers_for(member, protocol).filter(pk__in=set(ids)).order_by("eater__name", "pk")
    return list(rows.prefetch_related(_spells()))


def followers_behind(member: Membership, protocol: Protocol) -> int:
    """How many of the followers a member may see are not on the newest version."""
    newest = protocol.versions.filter(published_at__isnull=False).order_by("-number").values("pk")[:1]
    rows = followers_for(member, protocol.pk).exclude(state=Enrolment.State.ENDED)
    return rows.exclude(version=Subquery(newest)).count()


def attach_versions(
    protocol: Protocol, enrolments: Iterable[Enrolment], *, target: UUID
) -> dict[UUID, ProtocolVersion]:
    """The versions that enrolments of a protocol are on, and the target, by id; one query.

    Enrolments on one version share one row, so that no document is fetched twice.
    """
    listed = list(enrolments)
    wanted = {target, *(enrolment.version_id for enrolment in listed)}
    versions = {row.pk: row for row in ProtocolVersion.objects.filter(protocol=protocol, pk__in=wanted)}
    for enrolment in listed:
        enrolment.version = versions[enrolment.version_id]
    return versions


def follower_line(enrolment: Enrolment, today: date) -> FollowerLine:
    """One follower in the list, with spells and version at hand."""
    spell = open_spell(enrolment)
    return FollowerLine(
        enrolment=enrolment,
        spell=spell,
        number=enrolment.version.number,
        stage=protocol_of(enrolment.version).stage(spell.stage).title,
        day=(today - spell.began_on).days + 1,
    )


def open_spell(enrolment: Enrolment) -> Spell:
    """The spell an open enrolment is in, of its fetched spells."""
    return next(spell for spell in enrolment.spells.all() if spell.ended_on is None)


def _spells() -> Prefetch:
    return Prefetch("spells", Spell.objects.order_by("began_on", F("ended_on").asc(nulls_last=True)))
