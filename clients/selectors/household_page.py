"""One household's page: everybody at the table, how far they have come, and, for those who may know, their health."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Prefetch, Subquery

from clients.domain.blocks import Block
from clients.domain.measures import age_months
from clients.domain.people import KitchenFacts
from clients.domain.screening import SOURCE, Strength
from clients.models import (
    Caution,
    CheckIn,
    Client,
    Consent,
    Eater,
    Enrolment,
    Household,
    Introduction,
    SignOff,
    Spell,
)
from clients.selectors.cautions import OPEN_STATES, packet_blocks
from clients.selectors.instructions import InstructionLine, line_of
from clients.selectors.protocols import food_names
from coaching.practice.access import COACHES
from coaching.practice.models import Membership
from plans.domain.book import Stage
from plans.models import ProtocolVersion
from plans.selectors import protocol_of
from plans.wording import forms_said


@dataclass(frozen=True, slots=True)
class CautionLine:
    """A caution that stands. ``source`` is where its rule is published."""

    pk: UUID
    rule: str
    strength: Strength
    facts: dict[str, Any]
    source: str
    raised_on: date
    sign_off: SignOff | None

    @property
    def waits(self) -> bool:
        """True while it holds the eater up."""
        return self.strength is Strength.DO_NOT_START or (
            self.strength is Strength.CLINICIAN_FIRST and self.sign_off is None
        )


@dataclass(frozen=True, slots=True)
class StageLine:
    """One stage on an eater's way: done, now or ahead."""

    key: str
    name: str
    state: str


@dataclass(frozen=True, slots=True)
class Progress:
    """Where an eater stands on a protocol. ``day`` is 1 on the first day of the stage, 0 or less before it."""

    enrolment: Enrolment
    protocol: str
    number: int
    stages: tuple[Stage, ...]
    stage: Stage
    spell: Spell
    day: int
    history: tuple[tuple[str, Spell], ...]

    @property
    def way(self) -> list[StageLine]:
        return [StageLine(stage.key, stage.title, self._state(stage)) for stage in self.stages]

    def _state(self, stage: Stage) -> str:
        if stage.number == self.stage.number:
            return "now" if self.has_begun else "ahead"
        return "done" if stage.number < self.stage.number else "ahead"

    @property
    def has_begun(self) -> bool:
        return self.day >= 1

    @property
    def starts_in(self) -> int:
        """Days until the stage begins."""
        return max(0, 1 - self.day)

    @property
    def days_over(self) -> int:
        """Whole days spent in the stage."""
        return max(0, self.day - 1)

    @property
    def is_early(self) -> bool:
        """True while the stage's least days are not over."""
        return self.days_over < self.stage.least_days

    @property
    def is_overdue(self) -> bool:
        """True once a review is overdue."""
        return self.stage.most_days is not None and self.day > self.stage.most_days

    @property
    def is_held(self) -> bool:
        return self.enrolment.state == Enrolment.State.HELD

    @property
    def is_last(self) -> bool:
        return self.stage.number == self.stages[-1].number

    @property
    def earlier(self) -> tuple[Stage, ...]:
        """The stages before this one."""
        return tuple(stage for stage in self.stages if stage.number < self.stage.number)


@dataclass(frozen=True, slots=True)
class IntroductionLine:
    """One introduction that has begun and has no outcome yet, with its food by name and its form in words."""

    row: Introduction
    food: str
    form: str


@dataclass(frozen=True, slots=True)
class EaterView:
    """One eater on the page. Health fields stay empty for those who may not know."""

    eater: Eater
    age_months: int
    progress: Progress | None
    is_client: bool
    screened: bool = False
    cautions: tuple[CautionLine, ...] = ()
    red_flags: int = 0
    newer: int = 0
    """The number of the newest version of the protocol, when the eater is on an older one; else 0."""
    allergies: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    dislikes: tuple[str, ...] = ()
    instructions: tuple[InstructionLine, ...] = ()
    introductions: tuple[IntroductionLine, ...] = ()

    @property
    def can_sign_off(self) -> bool:
        """True while a caution waits for a clinician."""
        return any(
            caution.waits and caution.strength is Strength.CLINICIAN_FIRST for caution in self.cautions
        )


@dataclass(frozen=True, slots=True)
class HouseholdPage:
    """Everything the page of one household shows."""

    household: Household
    clients: tuple[Client, ...]
    eaters: tuple[EaterView, ...]
    kitchen: KitchenFacts
    today: date
    sees_health: bool
    consent: Consent | None = None
    blocks: tuple[Block, ...] = ()


def sees_health(member: Membership) -> bool:
    """True for those who may read health notes: the owner and coaches, never an assistant."""
    return member.role in COACHES


def household_page(household: Household, *, member: Membership, today: date) -> HouseholdPage:
    """The page of one household, in a number of queries that does not grow with its eaters."""
    may_know = sees_health(member)
    eaters = list(
        Eater.objects.filter(household=household)
        .prefetch_related(_enrolments(), *(_health(today) if may_know else ()))
        .order_by("position", "name")
    )
    names = {food.key: food.name for food in food_names(household.practice)} if may_know else {}
    return HouseholdPage(
        household=household,
        clients=tuple(Client.objects.filter(household=household).select_related("user")),
        eaters=tuple(_view(eater, today, may_know, names) for eater in eaters),
        kitchen=KitchenFacts.from_record(household.kitchen),
        today=today,
        sees_health=may_know,
        consent=Consent.objects.filter(client__household=household, kind="scope")
        .order_by("agreed_on")
        .last(),
        blocks=tuple(packet_blocks(household)) if may_know else (),
    )


def progress_of(enrolment: Enrolment, today: date) -> Progress | None:
    """Where one eater stands; None once the protocol has ended."""
    spells = list(Spell.objects.filter(enrolment=enrolment).order_by("began_on", "ended_on"))
    return _progress(enrolment, spells, today)


def caution_lines(eater: Eater) -> list[CautionLine]:
    """The cautions of one eater that stand, the strongest first."""
    rows = Caution.objects.filter(eater=eater, lifted_at__isnull=True).select_related("sign_off")
    return _lines(rows)


def _enrolments() -> Prefetch:
    published = ProtocolVersion.objects.filter(
        protocol=OuterRef("version__protocol"), published_at__isnull=False
    )
    newest = Subquery(published.order_by("-number").values("number")[:1])
    rows = Enrolment.objects.filter(state__in=OPEN_STATES).annotate(newest_number=newest)
    rows = rows.select_related("version__protocol")
    spells = Prefetch("spells", Spell.objects.order_by("began_on", "ended_on"))
    return Prefetch("enrolments", rows.prefetch_related(spells), to_attr="open_enrolments")


def _health(today: date) -> tuple[Prefetch | str, ...]:
    cautions = Caution.objects.filter(lifted_at__isnull=True).select_related("sign_off")
    flagged = CheckIn.objects.filter(flags_answered_at__isnull=True).exclude(red_flags=[])
    begun = Introduction.objects.filter(outcome=Introduction.Outcome.OPEN, first_day__lte=today)
    return (
        Prefetch("cautions", cautions, to_attr="standing"),
        Prefetch("check_ins", flagged, to_attr="flagged"),
        "instructions",
        Prefetch("introductions", begun, to_attr="under_way"),
    )


def _view(eater: Eater, today: date, may_know: bool, names: dict[str, str]) -> EaterView:
    progress = None
    for enrolment in eater.open_enrolments:
        progress = _progress(enrolment, list(enrolment.spells.all()), today)
    view = EaterView(
        eater=eater,
        age_months=age_months(eater.born, today),
        progress=progress,
        is_client=eater.client_id is not None,
    )
    if not may_know:
        return view
    return EaterView(
        eater=eater,
        age_months=view.age_months,
        progress=progress,
        is_client=view.is_client,
        screened=bool(eater.answers),
        cautions=tuple(_lines(eater.standing)),
        red_flags=len(eater.flagged),
        newer=_newer(eater),
        allergies=tuple(eater.allergies),
        excluded=tuple(names.get(key, key) for key in eater.excluded),
        dislikes=tuple(names.get(key, key) for key in eater.dislikes),
        instructions=tuple(
            line for line in (line_of(row, names, today) for row in eater.instructions.all()) if line.in_force
        ),
        introductions=tuple(
            IntroductionLine(row, names.get(row.food, row.food), forms_said(row.form))
            for row in eater.under_way
        ),
    )


def _newer(eater: Eater) -> int:
    for enrolment in eater.open_enrolments:
        if enrolment.version.number < enrolment.newest_number:
            return enrolment.newest_number
    return 0


def _progress(enrolment: Enrolment, spells: list[Spell], today: date) -> Progress | None:
    open_spell = next((spell for spell in spells if spell.ended_on is None), None)
    if open_spell is None:
        return None
    protocol = protocol_of(enrolment.version)
    titles = {stage.key: stage.title for stage in protocol.stages}
    return Progress(
        enrolment=enrolment,
        protocol=enrolment.version.protocol.title,
        number=enrolment.version.number,
        stages=protocol.stages,
        stage=protocol.stage(open_spell.stage),
        spell=open_spell,
        day=(today - open_spell.began_on).days + 1,
        history=tuple(
            (titles.get(spell.stage) or _former_title(spell.stage), spell)
            for spell in spells
            if spell.ended_on is not None
        ),
    )


def _former_title(key: str) -> str:
    """What to call a stage that the version followed now does not have: its key, made readable."""
    return key.replace("-", " ").capitalize()


def _lines(rows) -> list[CautionLine]:
    lines = [
        CautionLine(
            pk=row.pk,
            rule=row.rule,
            strength=Strength(row.strength),
            facts=row.facts,
            source=SOURCE.get(row.rule, ""),
            raised_on=row.raised_at.date(),
            sign_off=getattr(row, "sign_off", None),
        )
        for row in rows
    ]
    return sorted(lines, key=lambda line: (not line.waits, -line.strength.rank))
