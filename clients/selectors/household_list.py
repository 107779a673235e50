"""The list of households: who, at which stage, whose."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import F, Min, Prefetch, Q, QuerySet

from clients.access import households_for
from clients.models import Client, Eater, Enrolment, Household, Spell
from clients.selectors.cautions import OPEN_STATES
from clients.selectors.protocols import StageLine, stage_lines
from coaching.practice.access import COACHES
from coaching.practice.models import Membership

ORDERS = {
    "name": ("name", "pk"),
    "-name": ("-name", "pk"),
    "day-one": (F("day_one").asc(nulls_last=True), "name"),
    "-day-one": (F("day_one").desc(nulls_last=True), "name"),
    "-created": ("-created_at", "name"),
}
_OPEN = Q(eaters__enrolments__state__in=OPEN_STATES)


@dataclass(frozen=True, slots=True)
class Sieve:
    """What the list is narrowed to. ``coach`` and ``stage`` are as typed in the address; nonsense finds nothing."""

    q: str = ""
    coach: str = ""
    stage: str = ""
    archived: bool = False
    order: str = "name"


@dataclass(frozen=True, slots=True)
class EaterLine:
    """One eater in a list: the stage they are in and its day, 1 on the first; 0 or less before day one."""

    name: str
    protocol: str = ""
    stage: str = ""
    day: int | None = None
    held: bool = False

    @property
    def starts_in(self) -> int:
        """Days until day one; 0 once it came."""
        return 0 if self.day is None else max(0, 1 - self.day)


@dataclass(frozen=True, slots=True)
class HouseholdLine:
    """One household in a list."""

    pk: UUID
    name: str
    coach: str
    clients: tuple[Client, ...]
    eaters: tuple[EaterLine, ...]
    day_one: date | None


def households_sieved(member: Membership, sieve: Sieve) -> QuerySet[Household]:
    """The households a member may see, narrowed and ordered, with all a list line needs in a fixed few queries."""
    rows = households_for(member).filter(archived_at__isnull=not sieve.archived)
    if sieve.q:
        # By id, so that the words looked for do not narrow the eaters whose day one is taken below.
        rows = rows.filter(pk__in=_named(sieve.q))
    if sieve.coach:
        rows = rows.filter(coach__in=[pk for pk, _name in coaches_of(member) if str(pk) == sieve.coach])
    if sieve.stage:
        open_spells = Spell.objects.filter(
            stage=sieve.stage, ended_on__isnull=True, enrolment__state__in=OPEN_STATES
        )
        rows = rows.filter(pk__in=open_spells.values("enrolment__eater__household"))
    with_day_one = rows.annotate(day_one=Min("eaters__enrolments__start_on", filter=_OPEN))
    return with_day_one.order_by(*ORDERS.get(sieve.order, ORDERS["name"])).prefetch_related(
        "clients", "coach__user", Prefetch("eaters", Eater.objects.prefetch_related(_open_enrolments()))
    )


def _named(words: str) -> QuerySet:
    return Household.objects.filter(
        Q(name__icontains=words)
        | Q(clients__name__icontains=words)
        | Q(clients__email__icontains=words)
        | Q(eaters__name__icontains=words)
    ).values("pk")


def household_lines(households: Iterable[Household], today: date) -> list[HouseholdLine]:
    """Lines for the households of one page of the list."""
    listed = list(households)
    enrolments = [
        enrolment for row in listed for eater in row.eaters.all() for enrolment in eater.open_enrolments
    ]
    titles = stage_lines(enrolment.version_id for enrolment in enrolments)
    return [
        HouseholdLine(
            pk=row.pk,
            name=row.name,
            coach=str(row.coach.user) if row.coach else "",
            clients=tuple(row.clients.all()),
            eaters=tuple(_eater_line(eater, titles, today) for eater in row.eaters.all()),
            day_one=row.day_one,
        )
        for row in listed
    ]


def stages_in_use(member: Membership) -> list[tuple[str, str]]:
    """The stages somebody is in now, by key, with a title; for the list's sieve."""
    spells = Spell.objects.filter(
        ended_on__isnull=True,
        enrolment__state__in=OPEN_STATES,
        enrolment__eater__household__in=households_for(member).filter(archived_at__isnull=True),
    )
    pairs = set(spells.values_list("stage", "enrolment__version"))
    titles = stage_lines(version for _stage, version in pairs)
    named = {stage: titles[version].stages.get(stage, stage) for stage, version in pairs}
    return sorted(named.items(), key=lambda pair: pair[1].lower())


def coaches_of(member: Membership) -> list[tuple[UUID, str]]:
    """The coaches of the member's practice by name; for the list's sieve."""
    rows = Membership.objects.select_related("user").filter(practice=member.practice_id, role__in=COACHES)
    return sorted(((row.pk, str(row.user)) for row in rows), key=lambda pair: pair[1].lower())


def _open_enrolments() -> Prefetch:
    """Enrolments that have not ended, with their open spell, and without the protocol's whole document."""
    rows = Enrolment.objects.filter(state__in=OPEN_STATES).prefetch_related(
        Prefetch("spells", Spell.objects.filter(ended_on__isnull=True), to_attr="open_spells")
    )
    return Prefetch("enrolments", rows, to_attr="open_enrolments")


def _eater_line(eater: Eater, titles: dict[UUID, StageLine], today: date) -> EaterLine:
    for enrolment in eater.open_enrolments:
        for spell in enrolment.open_spells:
            line = titles[enrolment.version_id]
            return EaterLine(
                name=eater.name,
                protocol=line.title,
                stage=line.stages.get(spell.stage, spell.stage),
                day=(today - spell.began_on).days + 1,
                held=enrolment.state == Enrolment.State.HELD,
            )
    return EaterLine(eater.name)
