"""Rows the desk's pages may touch: a client's own household's, and check-ins a coach may see."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from clients.models import CheckIn, Client, Eater, Packet, Store, Week
from coaching.desk.models import Reminder
from coaching.practice.access import own, visible
from coaching.practice.models import Membership


def own_client(request: HttpRequest) -> Client:
    """The signed-in client's own row, or 404 where there is none (any more)."""
    clients = Client.objects.select_related("household__practice").filter(household__archived_at__isnull=True)
    return get_object_or_404(clients, user=request.user)


def own_eater_for(request: HttpRequest, pk: UUID) -> Eater:
    """An eater of the signed-in client's household, or 404."""
    eaters = Eater.objects.select_related("household__practice").filter(household__archived_at__isnull=True)
    return get_object_or_404(own(request, eaters, household_path="household"), pk=pk)


def own_check_in_for(request: HttpRequest, pk: UUID) -> CheckIn:
    """A check-in of the signed-in client's household, or 404."""
    check_ins = CheckIn.objects.select_related("eater__household__practice")
    return get_object_or_404(own(request, check_ins, household_path="eater__household"), pk=pk)


def own_packet_for(request: HttpRequest, pk: UUID) -> Packet:
    """A finished packet of the signed-in client's household, or 404."""
    packets = Packet.objects.filter(state=Packet.State.READY)
    return get_object_or_404(own(request, packets, household_path="household"), pk=pk)


def own_week_for(request: HttpRequest, pk: UUID) -> Week:
    """A planned week of the signed-in client's household, without its plan, or 404."""
    weeks = Week.objects.filter(state=Week.State.PLANNED, household__archived_at__isnull=True)
    weeks = weeks.select_related("household__practice").defer("brief", "plan")
    return get_object_or_404(own(request, weeks, household_path="household"), pk=pk)


def own_store_for(request: HttpRequest, pk: UUID) -> Store:
    """Something in the signed-in client's house, or 404."""
    stores = Store.objects.select_related("household__practice").filter(household__archived_at__isnull=True)
    return get_object_or_404(own(request, stores, household_path="household"), pk=pk)


def check_in_for(member: Membership, pk: UUID) -> CheckIn:
    """A check-in of a household this member looks after, or 404."""
    check_ins = CheckIn.objects.select_related("eater__household__practice")
    return get_object_or_404(visible(member, check_ins), pk=pk)


def check_ins_for(member: Membership, eater: Eater):
    """The check-ins of one eater, the newest first."""
    return visible(member, CheckIn.objects.filter(eater=eater)).order_by("-on")


def clients_for(member: Membership):
    """The clients a member's board lists: a coach's own, everyone of the practice for its owner and assistants."""
    return visible(member, Client.objects.filter(household__archived_at__isnull=True))


def reminders_for(member: Membership) -> QuerySet[Reminder]:
    """The reminders owed to the clients a member looks after."""
    return visible(member, Reminder.objects.all())


def reminder_for(member: Membership, pk: UUID) -> Reminder:
    """One reminder with its client's household, or 404."""
    return get_object_or_404(reminders_for(member).select_related("client__household__practice"), pk=pk)
