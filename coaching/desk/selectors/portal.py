"""What a client sees of their own household today."""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from clients.models import CheckIn, Client, Eater, Household, Packet, Spell, Week
from clients.selectors.cautions import OPEN_STATES
from clients.services.lead_in_page import lead_in_page
from coaching.domain.units import System
from plans.domain.brief_json import brief_from_record, week_from_record
from plans.printables.facts import WeekDay
from plans.printables.week import week_sheet
from plans.selectors import protocol_of

TASKS_SHOWN = 6
PACKETS_SHOWN = 5
DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class EaterToday:
    """One eater on a protocol: where they stand and whether today's check-in is in. ``day`` below 1: lead-in."""

    pk: UUID
    name: str
    stage: str
    aim: str
    day: int
    start_on: date
    held: bool
    checked_in: bool


def check_in_of(eater: Eater, on: date) -> CheckIn | None:
    """The report of one eater for one day, if there is one."""
    return CheckIn.objects.filter(eater=eater, on=on).first()


def portal_page(client: Client, *, today: date) -> dict[str, object]:
    """Everything the client's first page shows, in a fixed number of queries."""
    household = client.household
    spells = (
        Spell.objects.filter(
            ended_on__isnull=True, enrolment__eater__household=household, enrolment__state__in=OPEN_STATES
        )
        .select_related("enrolment__eater", "enrolment__version__protocol")
        .order_by("enrolment__eater__position")
    )
    reported = set(
        CheckIn.objects.filter(eater__household=household, on=today).values_list("eater", flat=True)
    )
    eaters = []
    for spell in spells:
        enrolment = spell.enrolment
        protocol = protocol_of(enrolment.version)
        stage = protocol.stage(spell.stage)
        eaters.append(
            EaterToday(
                pk=enrolment.eater_id,
                name=enrolment.eater.name,
                stage=stage.title,
                aim=stage.aim,
                day=(today - spell.began_on).days + 1,
                start_on=enrolment.start_on,
                held=enrolment.state == "held",
                checked_in=enrolment.eater_id in reported,
            )
        )
    return {
        "client": client,
        "household": household,
        "practice": household.practice,
        "today": today,
        "eaters": eaters,
        "table": table_on(household, today),
        "lead_in": lead_in_page(household, today=today, most=TASKS_SHOWN),
        "packets": list(Packet.objects.filter(household=household, state=Packet.State.READY)[:PACKETS_SHOWN]),
    }


def table_on(household: Household, on: date) -> WeekDay | None:
    """What stands on the household's table on a day, by its newest planned week; None without one."""
    weeks = Week.objects.filter(household=household, state=Week.State.PLANNED, start__lte=on)
    row = weeks.filter(start__gt=on - timedelta(days=DAYS_A_WEEK)).order_by("-start", "-asked_at").first()
    if row is None:
        return None
    week = week_from_record(row.plan)
    sheet = week_sheet(week=week, brief=brief_from_record(row.brief), system=System(household.practice.units))
    day = (on - week.start).days
    return sheet.days[day] if day < len(sheet.days) else None
