"""Gathering what a packet says of a household. Call it while the packet's language is active."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from clients.domain.check_in import RED_FLAGS, SYMPTOMS, Urgency
from clients.domain.instructions import Instruction
from clients.domain.screening import SOURCE
from clients.models import Caution, Eater, Enrolment, Household
from clients.selectors.instructions import instructions_of
from clients.selectors.stores import lots_of, stores_of
from clients.services.briefs import eater_rules, open_enrolments, rules_on
from clients.services.lead_in import lead_in_of, words_of
from clients.wording.check_in import RED_FLAG, STOOL_FORM, SYMPTOM, WHAT_TO_DO
from clients.wording.families import FAMILY
from clients.wording.screening import caution_words
from coaching.domain.units import System
from plans.domain.allowance import EaterRules
from plans.domain.book import Food, Protocol
from plans.domain.brief import Brief, Reason, Week
from plans.domain.limits import LIMITS, concerns
from plans.domain.rulebook import RuleBook, forms_text
from plans.printables.cards import cards
from plans.printables.cautions import cautions
from plans.printables.cover import contents, cover
from plans.printables.diary import diary
from plans.printables.facts import (
    CareSigns,
    CautionNote,
    CoverEater,
    Diary,
    DiaryRow,
    LeadIn,
    PacketFacts,
    Sender,
    StageSheet,
    Standing,
)
from plans.printables.lead_in import lead_in
from plans.printables.shopping import shopping
from plans.printables.stage_sheet import stage_sheet
from plans.printables.week import week_sheet
from plans.printables.words import date_words, listed, period_words, sentence_case, short_names
from plans.selectors import book_of, protocol_of
from plans.wording import say

DIARY_ROWS = (
    *(DiaryRow(SYMPTOM[key], "0–10") for key in SYMPTOMS),
    DiaryRow(gettext_lazy("Stool form"), gettext_lazy("1–7, see below; the loosest")),
    DiaryRow(gettext_lazy("How many times")),
    DiaryRow(gettext_lazy("Energy"), gettext_lazy("0 none, 10 plenty")),
    DiaryRow(gettext_lazy("Mood"), gettext_lazy("0 very low, 10 very good")),
    DiaryRow(gettext_lazy("Hours slept")),
    DiaryRow(gettext_lazy("New foods tried"), tall=True),
    DiaryRow(gettext_lazy("Anything else"), tall=True),
)
"""The check-in's questions in the form's own order, as they stand on paper."""


@dataclass(frozen=True, slots=True)
class Follower:
    """An eater on a protocol, and the day their stage sheet is about."""

    eater: Eater
    enrolment: Enrolment
    protocol: Protocol
    rules: EaterRules
    on: date
    standing: Standing


def packet_facts(
    *, household: Household, week: Week, brief: Brief, paper: str, language: str, today: date
) -> PacketFacts:
    """Everything the packet of a planned week says, as of ``today``."""
    practice = household.practice
    system = System(practice.units)
    eaters = list(household.eaters.order_by("position", "name", "pk"))
    enrolments = open_enrolments(eaters)
    instructions = instructions_of(eaters)
    rules = eater_rules(eaters, enrolments, today=today, instructions=instructions)
    followers = [
        _follower(eater, enrolments[eater.pk], rules[eater.pk], instructions[eater.pk], week.start)
        for eater in eaters
        if eater.pk in enrolments
    ]
    foods = book_of(practice).foods
    sheets = _stage_sheets(followers, foods, system)
    diaries = tuple(_diary(follower.standing, week.start) for follower in followers)
    getting_ready = _lead_in(household, week.start, today, foods)
    recipe_cards = cards(week=week, brief=brief, system=system)
    day_one = min(
        (one.enrolment.start_on for one in followers if one.enrolment.start_on >= week.start), default=None
    )
    last = week.start + timedelta(days=week.days - 1)
    client = household.clients.order_by("pk").first()
    return PacketFacts(
        language=language,
        paper=paper,
        printed=today.isoformat(),
        printed_on=date_words(today),
        title=_("%(household)s household, %(period)s")
        % {"household": household.name, "period": period_words(week.start, last)},
        sender=_sender(household),
        household=household.name,
        standings=_standings(followers),
        protocol_cautions=tuple(
            dict.fromkeys(one.protocol.caution for one in followers if one.protocol.caution)
        ),
        cover=cover(
            household=household.name,
            client=client.name if client else household.name,
            first=week.start,
            last=last,
            day_one=day_one,
            eaters=tuple(_cover_eater(eater, followers) for eater in eaters),
            contents=contents(
                stage_sheets=[sheet.standing for sheet in sheets],
                diaries=[page.standing for page in diaries],
                has_lead_in=getting_ready is not None,
                has_week=True,
                cards=len(recipe_cards),
            ),
        ),
        cautions=cautions(notes=_notes(household), care=_care(practice.emergency_number)),
        stage_sheets=sheets,
        lead_in=getting_ready,
        shopping=shopping(week=week, brief=brief, system=system, house=lots_of(stores_of(household), today)),
        week=week_sheet(week=week, brief=brief, system=system),
        cards=recipe_cards,
        diaries=diaries,
    )


def _follower(
    eater: Eater,
    enrolment: Enrolment,
    rules: EaterRules,
    instructions: tuple[Instruction, ...],
    start: date,
) -> Follower:
    """Where an eater stands on the first day of the packet, or on day one if that comes later."""
    on = max(start, rules.stages[0][0])
    protocol = protocol_of(enrolment.version)
    stage = protocol.stage(rules.stage_on(on))
    standing = Standing(
        eater=eater.name,
        protocol=protocol.title,
        version=enrolment.version.number,
        stage=stage.title,
        stage_number=stage.number,
        stage_count=len(protocol.stages),
        as_of=date_words(on),
        day_one=date_words(enrolment.start_on),
        dietitian=protocol.dietitian,
    )
    return Follower(eater, enrolment, protocol, rules_on(rules, instructions, on), on, standing)


def _stage_sheets(
    followers: Iterable[Follower], foods: Mapping[str, Food], system: System
) -> tuple[StageSheet, ...]:
    compiled: dict[UUID, RuleBook] = {}
    sheets = []
    for one in followers:
        version = one.enrolment.version_id
        if version not in compiled:
            compiled[version] = RuleBook.compile(one.protocol, foods.values())
        sheets.append(
            stage_sheet(
                standing=one.standing,
                protocol=one.protocol,
                book=compiled[version],
                rules=one.rules,
                on=one.on,
                left_out=(
                    *_left_out(one.rules, foods, one.on),
                    *_limits(one.rules, compiled[version], one.on),
                ),
                system=system,
            )
        )
    return tuple(sheets)


def _lead_in(household: Household, start: date, today: date, foods: Mapping[str, Food]) -> LeadIn | None:
    """What to do before day one for those whose day one is in this week or lies after it."""
    plan = lead_in_of(household, today=today, since=start)
    return None if plan is None else lead_in(words_of(household, plan, foods, today=today))


def _left_out(rules: EaterRules, foods: Mapping[str, Food], on: date) -> tuple[str, ...]:
    """What this eater leaves out whatever the stage says: by allergy, own choice, a clinician's word or a reaction."""

    def name(key: str) -> str:
        return foods[key].name if key in foods else key

    lines = [
        _("%(family)s and everything that holds it: allergy") % {"family": FAMILY[family]}
        for family in sorted(rules.allergies)
    ]
    if rules.excluded:
        lines.append(listed(sorted(name(key) for key in rules.excluded)))
    if rules.forbidden:
        lines.append(
            _("%(foods)s: your clinician asked for it")
            % {"foods": listed(sorted(name(key) for key in rules.forbidden))}
        )
    for tried in rules.introductions:
        if tried.outcome != "reacted":
            continue
        if tried.left_out_until is None:
            lines.append(
                _("%(food)s: not tolerated, until your coach says otherwise") % {"food": name(tried.food)}
            )
        elif on < tried.left_out_until:
            lines.append(
                _("%(food)s: not tolerated, until %(date)s")
                % {"food": name(tried.food), "date": date_words(tried.left_out_until)}
            )
    return tuple(lines)


def _limits(rules: EaterRules, book: RuleBook, on: date) -> tuple[str, ...]:
    """What age, pregnancy and the like ask of this eater, each with the foods it is about."""
    names = short_names(book.foods.values())
    return tuple(
        "{}: {}".format(
            sentence_case(listed([names[key] for key in book.limited[limit]])),
            say(Reason(limit.code, {"forms": forms_text(limit.forms)})),
        )
        for limit in LIMITS
        if book.limited[limit] and concerns(limit, rules.born, rules.flags, on)
    )


def _standings(followers: Iterable[Follower]) -> tuple[str, ...]:
    """For the foot of every page: protocol, version, and who stands in which stage since when it is printed."""
    grouped: dict[tuple[str, int, str], list[Standing]] = defaultdict(list)
    for one in followers:
        grouped[one.standing.protocol, one.standing.version, one.standing.as_of].append(one.standing)
    return tuple(
        _("%(protocol)s, version %(version)d: %(eaters)s, as of %(date)s")
        % {
            "protocol": protocol,
            "version": version,
            "eaters": ", ".join(f"{standing.eater} ({standing.stage})" for standing in alike),
            "date": as_of,
        }
        for (protocol, version, as_of), alike in grouped.items()
    )


def _cover_eater(eater: Eater, followers: Iterable[Follower]) -> CoverEater:
    standing = next((one.standing for one in followers if one.eater.pk == eater.pk), None)
    return CoverEater(eater.name, standing, "" if standing else _("no protocol, eats along"))


def _sender(household: Household) -> Sender:
    practice = household.practice
    return Sender(
        name=practice.name,
        address=tuple(line.strip() for line in practice.postal_address.splitlines() if line.strip()),
        phone=practice.phone,
        email=practice.email,
        coach=str(household.coach.user) if household.coach else "",
        emergency_number=practice.emergency_number,
    )


def _notes(household: Household) -> tuple[CautionNote, ...]:
    """The household's standing cautions.

    Paper lies about in kitchens, so of what a clinician had to agree to it says only that, who and when; what is good
    for the cook to know is told in full.
    """
    rows = (
        Caution.objects.filter(eater__household=household, lifted_at__isnull=True)
        .select_related("eater", "sign_off")
        .order_by("eater__position", "eater__name", "strength", "rule")
    )
    notes = [_note(row, household.practice.emergency_number) for row in rows]
    return tuple(dict.fromkeys(note for note in notes if note is not None))


def _note(caution: Caution, emergency_number: str) -> CautionNote | None:
    if caution.strength == Caution.Strength.TELL:
        words = caution_words(caution.rule, caution.facts, emergency_number)
        return CautionNote(
            eater=caution.eater.name,
            strength=_("Good to know"),
            title=words.title,
            text=words.meaning,
            source=SOURCE.get(caution.rule, ""),
        )
    sign_off = getattr(caution, "sign_off", None)
    if sign_off is None:
        return None
    return CautionNote(
        eater=caution.eater.name,
        strength=_("Clinician"),
        title=_("Agreed with %(clinician)s") % {"clinician": sign_off.clinician},
        text=_("%(profession)s, %(date)s. What they told you comes before anything in this packet.")
        % {"profession": sign_off.profession, "date": date_words(sign_off.agreed_on)},
    )


def _care(emergency_number: str) -> tuple[CareSigns, ...]:
    """The signs that go to a clinician, the most urgent first."""
    return tuple(
        CareSigns(
            do=str(WHAT_TO_DO[urgency]) % {"number": emergency_number},
            signs=tuple(str(RED_FLAG[flag.key]) for flag in RED_FLAGS if flag.urgency == urgency),
            emergency=urgency is Urgency.EMERGENCY,
        )
        for urgency in sorted(Urgency, reverse=True)
    )


def _diary(standing: Standing, first: date) -> Diary:
    return diary(
        standing=standing,
        first=first,
        rows=tuple(DiaryRow(str(row.question), str(row.hint), row.tall) for row in DIARY_ROWS),
        stool_key=tuple(f"{number} {words}" for number, words in STOOL_FORM.items()),
    )
