"""Why a client needs the coach today, most pressing first.

Pure: the board hands in dates and counts, and gets back reasons as codes with facts; wording happens on the page.
The order is ours: danger first, then what blocks the household, then what the coach owes, then what is merely due.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

QUIET_DAYS = 3
"""A client who is under way and silent this long is worth a call: common practice, no source."""
HOLD_DAYS = 7
SOON_DAYS = 7
PACKET_DAYS = 14
MEANINGFUL_RISE = Decimal(2)
"""About 2 points on a 0-10 scale is a change people notice: Farrar et al., Pain 2001;94:149-58."""

WEIGHT = {
    "red-flag": 100,
    "do-not-start": 90,
    "clinician-first": 80,
    "worse": 70,
    "no-packet": 60,
    "silent": 50,
    "long-hold": 45,
    "review-overdue": 40,
    "ready-to-review": 30,
    "starts-soon": 20,
    "no-protocol": 10,
}
HEALTH = frozenset({"red-flag", "do-not-start", "clinician-first", "worse"})
"""Reasons that speak of someone's health; an assistant does not see these."""


@dataclass(frozen=True, slots=True)
class StageFacts:
    """Where one eater stands. ``began_on`` may lie ahead: then the eater is in the lead-in."""

    eater: str
    began_on: date
    start_on: date
    usual_days: int
    most_days: int | None
    held_since: date | None = None
    last_check_in: date | None = None
    burden_now: Decimal | None = None
    burden_before: Decimal | None = None
    open_red_flags: int = 0


@dataclass(frozen=True, slots=True)
class ClientFacts:
    """One client's household, as the board needs it."""

    stages: tuple[StageFacts, ...]
    unsigned: int = 0
    barred: int = 0
    has_packet: bool = False


@dataclass(frozen=True, slots=True)
class Attention:
    """One reason to look at a client; ``weight`` orders reasons, 100 the most pressing."""

    code: str
    weight: int
    facts: dict[str, str | int] = field(default_factory=dict)

    @property
    def is_health(self) -> bool:
        return self.code in HEALTH


def reasons(facts: ClientFacts, today: date) -> tuple[Attention, ...]:
    """Every reason this client needs the coach, most pressing first; none at all is a good answer."""
    found = [*_household(facts, today)]
    for stage in facts.stages:
        found += _danger(stage)
        found += _pace(stage, today)
    return tuple(sorted(found, key=lambda reason: -reason.weight))


def pressing(attention: Iterable[Attention]) -> int:
    """The weight of the most pressing reason; 0 when nothing presses."""
    return max((reason.weight for reason in attention), default=0)


def _reason(code: str, **facts: str | int) -> Attention:
    return Attention(code, WEIGHT[code], facts)


def _household(facts: ClientFacts, today: date) -> Iterable[Attention]:
    if facts.barred:
        yield _reason("do-not-start", count=facts.barred)
    if facts.unsigned:
        yield _reason("clinician-first", count=facts.unsigned)
    if not facts.stages:
        yield _reason("no-protocol")
        return
    days_left = (min(stage.start_on for stage in facts.stages) - today).days
    if 0 <= days_left <= PACKET_DAYS and not facts.has_packet:
        yield _reason("no-packet", days=days_left)
    if 0 <= days_left <= SOON_DAYS:
        yield _reason("starts-soon", days=days_left)


def _danger(stage: StageFacts) -> Iterable[Attention]:
    if stage.open_red_flags:
        yield _reason("red-flag", eater=stage.eater)
    now, before = stage.burden_now, stage.burden_before
    if now is not None and before is not None and now - before >= MEANINGFUL_RISE:
        yield _reason("worse", eater=stage.eater, now=f"{now:.1f}", before=f"{before:.1f}")


def _pace(stage: StageFacts, today: date) -> Iterable[Attention]:
    if stage.held_since is not None:
        held = (today - stage.held_since).days
        if held >= HOLD_DAYS:
            yield _reason("long-hold", eater=stage.eater, days=held)
        return
    days_in = (today - stage.began_on).days + 1
    if days_in < 1:
        return
    since = (today - (stage.last_check_in or stage.start_on)).days
    if since >= QUIET_DAYS:
        yield _reason("silent", eater=stage.eater, days=since)
    if stage.most_days is not None and days_in > stage.most_days:
        yield _reason("review-overdue", eater=stage.eater, days=days_in, most=stage.most_days)
    elif days_in >= stage.usual_days:
        yield _reason("ready-to-review", eater=stage.eater, days=days_in)
