"""What the board shows, in a number of queries that does not grow with the clients."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Avg, Count, Max, Q, QuerySet

from clients.models import Caution, CheckIn, Client, Enrolment, Packet, Spell
from coaching.desk.domain.attention import Attention, ClientFacts, StageFacts, pressing, reasons
from plans.domain.book import Protocol, Stage
from plans.models import ProtocolVersion
from plans.selectors import protocol_of

NOW_DAYS = 3
BEFORE_DAYS = 14


@dataclass(frozen=True, slots=True)
class StageLine:
    """One eater's line on the board: where they are and since when. ``day`` counts from 1, 0 or less is the lead-in."""

    eater_id: UUID
    eater: str
    protocol: str
    stage: str
    stage_key: str
    day: int
    start_on: date
    held: bool
    last_check_in: date | None


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One client with everything the board says of them."""

    client_id: UUID
    household_id: UUID
    name: str
    household: str
    coach: str
    email: str
    phone: str
    lines: tuple[StageLine, ...]
    attention: tuple[Attention, ...]

    @property
    def pressing(self) -> int:
        return pressing(self.attention)

    @property
    def last_check_in(self) -> date | None:
        return max((line.last_check_in for line in self.lines if line.last_check_in), default=None)


def board_rows(clients: QuerySet[Client], *, today: date, health: bool) -> list[BoardRow]:
    """Every client of the queryset, most pressing first, then by name.

    Without ``health`` (an assistant's board) reasons and figures that speak of someone's health are left out.
    """
    people = list(clients.select_related("household__coach__user").order_by("name"))
    household_ids = {client.household_id for client in people}
    lines, stages = _stages(household_ids, today, health)
    unsigned, barred = _cautions(household_ids) if health else ({}, {})
    with_packet = set(
        Packet.objects.filter(household__in=household_ids, state=Packet.State.READY).values_list(
            "household", flat=True
        )
    )
    rows = []
    for client in people:
        home = client.household
        facts = ClientFacts(
            stages=tuple(stages[home.pk]),
            unsigned=unsigned.get(home.pk, 0),
            barred=barred.get(home.pk, 0),
            has_packet=home.pk in with_packet,
        )
        found = tuple(reason for reason in reasons(facts, today) if health or not reason.is_health)
        rows.append(_row(client, tuple(lines[home.pk]), found))
    return sorted(rows, key=lambda row: (-row.pressing, row.name.casefold()))


def _row(client: Client, lines: tuple[StageLine, ...], attention: tuple[Attention, ...]) -> BoardRow:
    home = client.household
    return BoardRow(
        client_id=client.pk,
        household_id=home.pk,
        name=client.name,
        household=home.name,
        coach=str(home.coach.user) if home.coach else "",
        email=client.email,
        phone=client.phone,
        lines=lines,
        attention=attention,
    )


def _stages(household_ids: Iterable[UUID], today: date, health: bool):
    """Stage lines for the page and stage facts for the rules, by household."""
    spells = list(
        Spell.objects.filter(ended_on__isnull=True, enrolment__eater__household__in=household_ids)
        .exclude(enrolment__state=Enrolment.State.ENDED)
        .order_by("enrolment__eater__position", "enrolment__eater__name")
        .values_list(
            "stage",
            "began_on",
            "enrolment__start_on",
            "enrolment__state",
            "enrolment__held_since",
            "enrolment__version",
            "enrolment__eater",
            "enrolment__eater__name",
            "enrolment__eater__household",
            named=True,
        )
    )
    protocols = _protocols({spell.enrolment__version for spell in spells})
    reports = _reports({spell.enrolment__eater for spell in spells}, today)
    lines, facts = defaultdict(list), defaultdict(list)
    for spell in spells:
        protocol = protocols[spell.enrolment__version]
        stage = protocol.stage(spell.stage)
        report = reports.get(spell.enrolment__eater, {})
        home = spell.enrolment__eater__household
        lines[home].append(_line(spell, protocol, stage, report.get("last"), today))
        facts[home].append(_facts(spell, stage, report, health))
    return lines, facts


def _protocols(version_ids: Iterable[UUID]) -> dict[UUID, Protocol]:
    versions = ProtocolVersion.objects.select_related("protocol").filter(pk__in=version_ids)
    return {version.pk: protocol_of(version) for version in versions}


def _reports(eater_ids: Iterable[UUID], today: date) -> dict[UUID, dict]:
    """Per eater: last check-in, mean burden of the last days and of the days before, open red flags."""
    near, far = today - timedelta(days=NOW_DAYS), today - timedelta(days=BEFORE_DAYS)
    grouped = (
        CheckIn.objects.filter(eater__in=eater_ids)
        .order_by()
        .values("eater")
        .annotate(
            last=Max("on"),
            now=Avg("burden", filter=Q(on__gt=near)),
            before=Avg("burden", filter=Q(on__gt=far, on__lte=near)),
            flags=Count("pk", filter=~Q(red_flags=[]) & Q(flags_answered_at__isnull=True)),
        )
    )
    return {report["eater"]: report for report in grouped}


def _line(spell, protocol: Protocol, stage: Stage, last: date | None, today: date) -> StageLine:
    return StageLine(
        eater_id=spell.enrolment__eater,
        eater=spell.enrolment__eater__name,
        protocol=protocol.title,
        stage=stage.title,
        stage_key=stage.key,
        day=(today - spell.began_on).days + 1,
        start_on=spell.enrolment__start_on,
        held=spell.enrolment__state == Enrolment.State.HELD,
        last_check_in=last,
    )


def _facts(spell, stage: Stage, report: dict, health: bool) -> StageFacts:
    return StageFacts(
        eater=spell.enrolment__eater__name,
        began_on=spell.began_on,
        start_on=spell.enrolment__start_on,
        usual_days=stage.usual_days,
        most_days=stage.most_days,
        held_since=spell.enrolment__held_since if spell.enrolment__state == Enrolment.State.HELD else None,
        last_check_in=report.get("last"),
        burden_now=report.get("now") if health else None,
        burden_before=report.get("before") if health else None,
        open_red_flags=report.get("flags", 0) if health else 0,
    )


def _cautions(household_ids: Iterable[UUID]) -> tuple[dict[UUID, int], dict[UUID, int]]:
    """Open cautions that block, by household: those waiting for a sign-off, and those that bar the start."""
    grouped = (
        Caution.objects.filter(eater__household__in=household_ids, lifted_at__isnull=True)
        .order_by()
        .values("eater__household")
        .annotate(
            unsigned=Count("pk", filter=Q(strength=Caution.Strength.CLINICIAN_FIRST, sign_off__isnull=True)),
            barred=Count("pk", filter=Q(strength=Caution.Strength.DO_NOT_START)),
        )
    )
    found = list(grouped)
    return (
        {row["eater__household"]: row["unsigned"] for row in found},
        {row["eater__household"]: row["barred"] for row in found},
    )
