"""What a client sees of their own household today."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.models import CheckIn, Client, Eater, Packet, Spell
from clients.selectors.cautions import OPEN_STATES, packet_blocks
from clients.services.days import day_at_a_glance
from clients.services.lead_in_page import lead_in_page
from plans.selectors import protocol_of

TASKS_SHOWN = 6
PACKETS_SHOWN = 5


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
    """Everything the client's first page shows, in a fixed number of queries.

    ``kitchen`` is the day's work in one line; empty without a week, and while weeks and packets are blocked.
    """
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
        "kitchen": "" if packet_blocks(household) else day_at_a_glance(household, on=today),
        "lead_in": lead_in_page(household, today=today, most=TASKS_SHOWN),
        "packets": list(Packet.objects.filter(household=household, state=Packet.State.READY)[:PACKETS_SHOWN]),
    }
