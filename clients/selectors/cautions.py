"""Cautions that stand, and what they hold up."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import Q, QuerySet

from clients.domain.blocks import Block
from clients.models import Caution, CheckIn, Consent, Eater, Enrolment, Household

OPEN_STATES = (Enrolment.State.ACTIVE, Enrolment.State.HELD)
_BARS = Q(strength=Caution.Strength.DO_NOT_START) | Q(
    strength=Caution.Strength.CLINICIAN_FIRST, sign_off__isnull=True
)


def standing_cautions(eater: Eater) -> QuerySet[Caution]:
    """The cautions of an eater that are not lifted, with their sign-offs."""
    return Caution.objects.filter(eater=eater, lifted_at__isnull=True).select_related("sign_off")


def standing_rules(eaters: Iterable[Eater]) -> dict[UUID, set[str]]:
    """The rules whose cautions stand for each eater, in one query."""
    rules: dict[UUID, set[str]] = {eater.pk: set() for eater in eaters}
    rows = Caution.objects.filter(eater__in=list(rules), lifted_at__isnull=True)
    for eater, rule in rows.values_list("eater_id", "rule"):
        rules[eater].add(rule)
    return rules


def barring_cautions(eater: Eater) -> QuerySet[Caution]:
    """Those that hold an eater up: do not start, and clinician first without a sign-off."""
    return standing_cautions(eater).filter(_BARS)


def barred_eaters(eaters: Iterable[UUID]) -> set[UUID]:
    """Which of these eaters a caution holds up: a clinician has to agree first, or they should not start at all."""
    standing = Caution.objects.filter(_BARS, eater__in=eaters, lifted_at__isnull=True)
    return set(standing.values_list("eater_id", flat=True))


def open_red_flags(eater: Eater) -> QuerySet[CheckIn]:
    """Check-ins that reported a red flag no clinician has answered yet."""
    return CheckIn.objects.filter(eater=eater, flags_answered_at__isnull=True).exclude(red_flags=[])


def packet_blocks(household: Household) -> list[Block]:
    """Why the household gets no week and no packet now; empty when nothing is in the way.

    Only eaters on a protocol count: someone who follows none is not restricted by what we plan.
    """
    blocks = []
    if not household.practice.is_set_up:
        blocks.append(Block("not-set-up"))
    if not Consent.objects.filter(client__household=household, kind="scope").exists():
        blocks.append(Block("no-consent"))
    on_a_protocol = Enrolment.objects.filter(eater__household=household, state__in=OPEN_STATES).values(
        "eater"
    )
    barring = (
        Caution.objects.filter(_BARS, eater__in=on_a_protocol, lifted_at__isnull=True)
        .select_related("eater")
        .order_by("eater__position", "eater__name", "raised_at")
    )
    blocks += [Block(row.strength, row.eater.name, row.rule, row.facts, row.pk) for row in barring]
    return blocks
