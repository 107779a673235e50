"""Packets: asking for one, and making it: from the household's week to one file in private storage."""

import logging
from datetime import date, datetime
from uuid import UUID, uuid4

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from clients.models import Household, Packet, Week
from clients.selectors.people import local_date
from clients.services.packet_facts import packet_facts
from clients.services.weeks import block_problems, planned_week, week_values
from coaching.domain.errors import Problem, Refused
from coaching.outbox.services import owe
from coaching.practice.models import Membership, Practice
from coaching.practice.services import audit
from plans.printables.facts import as_json
from plans.printables.renderer import packet_pdf

log = logging.getLogger(__name__)


@transaction.atomic
def packet_ask(
    *, household: Household, start: date, paper: str, language: str, by: Membership | None, at: datetime
) -> Packet:
    """Ask for a packet of the week from ``start``; one that is already being made is returned instead.

    Raises Refused while something stands in the way, for an unknown paper, or a language we do not speak.
    """
    problems = block_problems(household)
    if paper not in Practice.Paper.values:
        problems.append(Problem(0, "paper", _("We do not print on this paper."), _("Choose A4 or Letter.")))
    if language not in dict(settings.LANGUAGES):
        problems.append(Problem(0, "language", _("We do not speak this language."), _("Choose another one.")))
    if problems:
        raise Refused(*problems)
    waiting = Packet.objects.filter(
        household=household, start=start, paper=paper, language=language, state=Packet.State.ASKED
    ).first()
    if waiting is not None:
        return waiting
    packet = Packet.objects.create(
        household=household, start=start, paper=paper, language=language, asked_at=at
    )
    owe(kind="make-packet", key=f"make-packet:{packet.pk}", payload={"packet": str(packet.pk)}, due_at=at)
    audit(
        practice=household.practice,
        user=by.user if by else None,
        action="packet asked for",
        subject=str(packet.pk),
        at=at,
    )
    return packet


def packet_make(*, packet_id: UUID, at: datetime) -> str:
    """Make a packet that was asked for, with the week it needs; returns its state. Doing it twice changes nothing.

    What stood in the way meanwhile, or a week that cannot be planned, fails the packet with the reason in words.
    """
    packet = Packet.objects.select_related("household__practice", "household__coach__user").get(pk=packet_id)
    if packet.state != Packet.State.ASKED:
        return packet.state
    with translation.override(packet.language):
        problems = block_problems(packet.household)
        if problems:
            return _fail(packet, " ".join(f"{one.message} {one.fix}".strip() for one in problems), at)
        week = planned_week(household=packet.household, start=packet.start, at=at)
        if week.state != Week.State.PLANNED:
            return _fail(packet, _("No week fits what the household asks for."), at, week=week)
        return _draw(packet, week, at)


def _draw(packet: Packet, week: Week, at: datetime) -> str:
    plan, brief = week_values(week)
    facts = as_json(
        packet_facts(
            household=packet.household,
            week=plan,
            brief=brief,
            paper=packet.paper,
            language=packet.language,
            today=local_date(packet.household, at),
        )
    )
    printed = packet_pdf(facts)
    name = packet.file.storage.save(f"packets/{uuid4().hex}.pdf", ContentFile(printed.content))
    made = Packet.objects.filter(pk=packet.pk, state=Packet.State.ASKED).update(
        state=Packet.State.READY,
        week=week,
        facts=facts,
        file=name,
        pages=printed.pages,
        problem="",
        made_at=at,
    )
    if not made:
        # Another worker, whose lease this one had outlived, was quicker; its file stands.
        packet.file.storage.delete(name)
        return Packet.objects.get(pk=packet.pk).state
    log.info("packet %s made, %d pages", packet.pk, printed.pages)
    return Packet.State.READY


def packet_given_up(*, packet_id: UUID, at: datetime) -> None:
    """Say of a packet whose making failed again and again that it could not be made."""
    packet = Packet.objects.get(pk=packet_id)
    if packet.state == Packet.State.ASKED:
        with translation.override(packet.language):
            _fail(packet, _("Something went wrong on our side. Ask for it again in a while."), at)


def _fail(packet: Packet, problem: str, at: datetime, *, week: Week | None = None) -> str:
    Packet.objects.filter(pk=packet.pk, state=Packet.State.ASKED).update(
        state=Packet.State.FAILED, problem=problem, week=week, made_at=at
    )
    return Packet.State.FAILED
