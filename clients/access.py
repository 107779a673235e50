"""The rows a member of staff may reach, one function a kind. What one may not see answers like a missing page."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from clients.models import (
    Caution,
    Client,
    Eater,
    Enrolment,
    Household,
    Instruction,
    IntakeDraft,
    Packet,
    Store,
    Week,
)
from coaching.practice.access import Rows, visible
from coaching.practice.models import Membership


def _one(member: Membership, rows: QuerySet[Rows], pk: UUID) -> Rows:
    """The row with this id among those the member may see. Raises Http404."""
    row = visible(member, rows).filter(pk=pk).first()
    if row is None:
        raise Http404
    return row


def households_for(member: Membership) -> QuerySet[Household]:
    """The households a member may see, archived ones too."""
    return visible(member, Household.objects.all())


def household_for(member: Membership, pk: UUID) -> Household:
    """One household with its practice and coach. Raises Http404."""
    return _one(member, Household.objects.select_related("practice", "coach__user"), pk)


def client_for(member: Membership, pk: UUID) -> Client:
    """One client with the household. Raises Http404."""
    return _one(member, Client.objects.select_related("household__practice"), pk)


def eater_for(member: Membership, pk: UUID) -> Eater:
    """One eater with the household. Raises Http404."""
    return _one(member, Eater.objects.select_related("household__practice"), pk)


def enrolment_for(member: Membership, pk: UUID) -> Enrolment:
    """One enrolment with its eater and version. Raises Http404."""
    return _one(
        member, Enrolment.objects.select_related("eater__household__practice", "version__protocol"), pk
    )


def followers_for(member: Membership, protocol: UUID) -> QuerySet[Enrolment]:
    """The enrolments of a protocol, ended ones too, in households that are not put away."""
    rows = Enrolment.objects.select_related("eater__household").filter(
        version__protocol=protocol, eater__household__archived_at__isnull=True
    )
    return visible(member, rows)


def caution_for(member: Membership, pk: UUID) -> Caution:
    """One caution that still stands, with its eater. Raises Http404."""
    rows = Caution.objects.select_related("eater__household__practice").filter(lifted_at__isnull=True)
    return _one(member, rows, pk)


def instruction_for(member: Membership, pk: UUID) -> Instruction:
    """One instruction of a clinician, over or not, with its eater. Raises Http404."""
    return _one(member, Instruction.objects.select_related("eater__household__practice"), pk)


def drafts_for(member: Membership) -> QuerySet[IntakeDraft]:
    """The unfinished new clients a member may go on with."""
    return visible(member, IntakeDraft.objects.filter(archived_at__isnull=True, household__isnull=True))


def draft_for(member: Membership, pk: UUID) -> IntakeDraft:
    """One draft, finished or not, with its practice. Raises Http404 once it was put away."""
    return _one(member, IntakeDraft.objects.select_related("practice").filter(archived_at__isnull=True), pk)


def week_for(member: Membership, pk: UUID) -> Week:
    """One week with its household and the week it is to change. Raises Http404."""
    rows = Week.objects.select_related("household__practice", "household__coach__user", "basis")
    return _one(member, rows, pk)


def packet_for(member: Membership, pk: UUID) -> Packet:
    """One packet with its household. Raises Http404."""
    return _one(member, Packet.objects.select_related("household__practice", "household__coach__user"), pk)


def store_for(member: Membership, pk: UUID) -> Store:
    """Something in a household's house, with the household. Raises Http404."""
    return _one(member, Store.objects.select_related("household__practice"), pk)
