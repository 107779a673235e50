"""Who is written to, about whom, and what became of it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache, partial
from uuid import UUID

from django.db.models import F, FilteredRelation, Q, QuerySet

from clients.models import CheckIn, Client, Enrolment, Household
from clients.selectors.cautions import barred_eaters
from clients.services.lead_in import lead_in_asks
from coaching.desk.domain.due import EaterPlan, QuietHours, no_tasks
from coaching.desk.models import MailStop, Reminder
from coaching.domain.calendar import first_zone
from plans.domain.lead_in.asking import Ask
from plans.domain.lead_in.plan import first_due

STATES = tuple(Reminder.State.choices)
KINDS = tuple(Reminder.Kind.choices)


@dataclass(frozen=True, slots=True)
class Addressee:
    """A client we may write to: where their clock stands, which kinds they stopped, and the eaters they answer for."""

    client_id: UUID
    zone: str
    quiet: QuietHours
    stopped: frozenset[str]
    eaters: tuple[tuple[UUID, EaterPlan], ...]

    @property
    def plans(self) -> tuple[EaterPlan, ...]:
        return tuple(plan for _, plan in self.eaters)

    def wants(self, kind: str) -> bool:
        """False once the client stopped this kind of mail, or all of it."""
        return kind not in self.stopped and "" not in self.stopped


def addressees(*, households: QuerySet[Household], since: date) -> Iterator[Addressee]:
    """The clients of these households with the eaters they answer for. Check-ins are looked at from ``since`` on.

    A fixed number of queries, however many households. An eater without a client of their own is answered for by the
    first client of the household.
    """
    homes = households.values("pk")
    clients = _clients(homes)
    about: dict[UUID, list[tuple[UUID, EaterPlan]]] = defaultdict(list)
    for client_id, eater_id, plan in _plans(homes, clients, since):
        about[client_id].append((eater_id, plan))
    stopped = defaultdict(set)
    for client_id, kind in MailStop.objects.filter(client__household__in=homes).values_list(
        "client_id", "kind"
    ):
        stopped[client_id].add(kind)
    for client in clients:
        practice = client.household.practice
        yield Addressee(
            client_id=client.pk,
            zone=first_zone(client.time_zone, practice.time_zone),
            quiet=QuietHours(practice.quiet_from, practice.quiet_until),
            stopped=frozenset(stopped[client.pk]),
            eaters=tuple(about[client.pk]),
        )


def _clients(homes: QuerySet) -> list[Client]:
    """Clients with an address whose account, if they have one, is open; the first eater's client first."""
    return list(
        Client.objects.filter(household__in=homes)
        .exclude(email="")
        .exclude(user__is_active=False)
        .select_related("household__practice")
        .order_by("household_id", F("eater__position").asc(nulls_last=True), "name", "pk")
    )


def _plans(homes: QuerySet, clients: Iterable[Client], since: date) -> Iterator[tuple[UUID, UUID, EaterPlan]]:
    first_client: dict[UUID, UUID] = {}
    for client in clients:
        first_client.setdefault(client.household_id, client.pk)
    known = {client.pk for client in clients}
    checked_in = defaultdict(set)
    for eater_id, on in CheckIn.objects.filter(on__gte=since, eater__household__in=homes).values_list(
        "eater_id", "on"
    ):
        checked_in[eater_id].add(on)
    rows = list(_enrolments(homes))
    barred = barred_eaters(row["eater_id"] for row in rows)
    asks = lead_in_asks(homes, since=since, today=since)
    tasks = {home: _Tasks(ask) for home, ask in asks.items()}
    for row in rows:
        own_client = row["eater__client_id"]
        client_id = own_client if own_client in known else first_client.get(row["eater__household_id"])
        if client_id is None:
            continue
        plan = EaterPlan(
            start_on=row["start_on"],
            stage_began_on=row["open_spell__began_on"],
            blocked=row["eater_id"] in barred,
            tasks=tasks[home].of(row["eater_id"])
            if (home := row["eater__household_id"]) in tasks
            else no_tasks,
            checked_in=frozenset(checked_in[row["eater_id"]]),
        )
        yield client_id, row["eater_id"], plan


def _enrolments(homes: QuerySet) -> QuerySet:
    """Enrolments under way or about to be, with the date the open stage began; those on hold are left in peace."""
    return (
        Enrolment.objects.filter(state=Enrolment.State.ACTIVE, eater__household__in=homes)
        .annotate(open_spell=FilteredRelation("spells", condition=Q(spells__ended_on__isnull=True)))
        .order_by("eater__household_id", "eater__position", "eater__name", "eater_id")
        .values(
            "eater_id",
            "eater__client_id",
            "eater__household_id",
            "start_on",
            "open_spell__began_on",
        )
    )


class _Tasks:
    """The lead-in tasks of one household that fall due on a date, worked out when a date is asked for."""

    def __init__(self, ask: Ask) -> None:
        self.due = lru_cache(maxsize=None)(partial(first_due, ask))

    def of(self, eater: UUID) -> Callable[[date], frozenset[str]]:
        """Those of one eater."""
        return lambda on: self.due(on).get(str(eater), frozenset())


def reminder_list(
    reminders: QuerySet[Reminder], *, state: str = "", kind: str = "", q: str = ""
) -> QuerySet[Reminder]:
    """The reminders a page shows, the latest due first, each with its client and household."""
    if state:
        reminders = reminders.filter(state=state)
    if kind:
        reminders = reminders.filter(kind=kind)
    if q:
        reminders = reminders.filter(Q(client__name__icontains=q) | Q(client__household__name__icontains=q))
    return reminders.select_related("client__household").order_by("-due_at", "pk")
