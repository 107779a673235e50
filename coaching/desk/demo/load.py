"""Putting the demo practice into the database. Runs once; a practice that is there already is left alone."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from clients.domain.check_in import burden
from clients.domain.questions import Kind, asked_of
from clients.domain.questions import Person as PersonFacts
from clients.models import Caution, CheckIn, Client, Consent, Eater, Enrolment, Household, Spell
from clients.services.packets import packet_ask
from clients.services.screening import screening_record, sign_offs_record
from coaching.desk.demo.daily_life import home_life, person_life
from coaching.desk.demo.diary import diary
from coaching.desk.demo.scenario import HOMES, PASSWORD, PRACTICE, STAFF, Home, Person
from coaching.practice.domain.countries import country_of
from coaching.practice.models import Membership, Practice, User
from coaching.practice.services import account_open, audit
from coaching.practice.wording import agreement_text
from plans.models import ProtocolVersion
from plans.selectors import protocol_of
from plans.services.shipping import book_seed

OLDEST_DAYS = 100


@transaction.atomic
def demo_load(*, at: datetime, today: date) -> Practice | None:
    """Make the demo practice with its people, book and eight weeks of reports; None when it is there already.

    Its first packet is owed: the worker makes it, as it makes any other.
    """
    if Practice.objects.filter(slug=PRACTICE["slug"]).exists():
        return None
    practice = _practice(at)
    members = {
        name.split()[0].lower(): _account(practice, role, email, name).membership
        for role, email, name in STAFF
    }
    book_seed(practice=practice, by=members["maren"].user, at=at)
    newest = ProtocolVersion.objects.filter(protocol__practice=practice, published_at__isnull=False)
    versions = {
        version.protocol.key: version for version in newest.select_related("protocol").order_by("number")
    }
    for home in HOMES:
        household = _household(home, practice, members, versions, at=at, today=today)
        if home.packet:
            monday = today - timedelta(days=today.weekday())
            packet_ask(
                household=household,
                start=monday,
                paper=practice.paper,
                language="en",
                by=household.coach,
                at=at,
            )
    audit(practice=practice, user=members["maren"].user, action="demo practice loaded", at=at)
    return practice


def _practice(at: datetime) -> Practice:
    where = country_of(PRACTICE["country"])
    emergency_number = where.emergency_numbers[0]
    return Practice.objects.create(
        **PRACTICE,
        units=where.units,
        paper=where.paper,
        languages=["en"],
        emergency_number=emergency_number,
        client_agreement=agreement_text(emergency_number),
        rules_checked_at=at - timedelta(days=OLDEST_DAYS),
    )


def _account(practice: Practice, role: str, email: str, name: str) -> User:
    return account_open(
        practice=practice, role=role, email=email, name=name, time_zone=practice.time_zone, password=PASSWORD
    )


def _household(
    home: Home,
    practice: Practice,
    members: Mapping[str, Membership],
    versions: Mapping[str, ProtocolVersion],
    *,
    at: datetime,
    today: date,
) -> Household:
    coach = members[home.coach]
    first = home.people[0]
    household = Household.objects.create(
        practice=practice,
        coach=coach,
        name=home.name,
        kitchen=_kitchen(home),
        created_at=at - timedelta(days=60),
    )
    user = _account(practice, Membership.Role.CLIENT, home.email, first.name)
    client = Client.objects.create(
        household=household, user=user, name=first.name, email=home.email, time_zone=practice.time_zone
    )
    Consent.objects.create(
        client=client,
        text=practice.client_agreement,
        agreed_on=today - timedelta(days=60),
        recorded_at=at - timedelta(days=60),
    )
    for position, person in enumerate(home.people):
        eater = _eater(person, position, household, client if position == 0 else None, today)
        _screening(person, eater, coach, at=at, today=today)
        _enrolment(person, eater, versions, today)
        _diary(person, eater, at=at, today=today)
        person_life(person, eater, by=coach, at=at, today=today)
    home_life(home, household, by=coach, at=at, today=today)
    return household


def _kitchen(home: Home) -> dict[str, object]:
    days = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    usual = {"sat": 120, "sun": 150}
    return {
        "pots_l": list(home.pots_l),
        "jars": 10,
        "hands_on_min": {day: 35 if day in home.busy else usual.get(day, 75) for day in days},
        "busy": list(home.busy),
        "freezer": True,
        "burners": 2,
        "jar_sizes": {"quart-wide": 4, "pint-wide": 6},
        "shallow_l": 3,
        "iced_water": len(home.pots_l) > 1,
        **({"at_home_min": home.at_home_min} if home.at_home_min else {}),
        **({"out": list(home.out)} if home.out else {}),
    }


def _eater(person: Person, position: int, household: Household, client: Client | None, today: date) -> Eater:
    birthday = today.replace(day=min(today.day, 28), year=today.year - person.age) - timedelta(
        days=40 + 11 * position
    )
    return Eater.objects.create(
        household=household,
        client=client,
        position=position,
        name=person.name.split()[0],
        born=birthday,
        sex=person.sex,
        appetite=Decimal(person.appetite),
        leaning=person.leaning,
        dislikes=list(person.dislikes),
        allergies=list(person.allergies),
        excluded=list(person.excluded),
    )


def _screening(person: Person, eater: Eater, coach: Membership, *, at: datetime, today: date) -> None:
    if not person.follows:
        return
    asked = asked_of(PersonFacts(eater.born, eater.sex), today)
    nothing = {question.key: False for question in asked if question.kind is Kind.YES_NO}
    cautions = screening_record(eater=eater, answers=nothing | person.answers, by=coach, at=at)
    if person.signed_off:
        sign_offs_record(
            cautions=[row for row in cautions if row.strength == Caution.Strength.CLINICIAN_FIRST],
            clinician="Nora Ferreday",
            profession="Registered dietitian",
            agreed_on=today - timedelta(days=62),
            by=coach,
            at=at,
        )


def _enrolment(person: Person, eater: Eater, versions: Mapping[str, ProtocolVersion], today: date) -> None:
    if not person.follows:
        return
    version = versions[person.protocol]
    stays = person.stays or ((1, 0),)
    began = today - timedelta(days=sum(days for _, days in stays) - 1)
    if person.starts_in is not None:
        began = today + timedelta(days=person.starts_in)
    enrolment = Enrolment.objects.create(eater=eater, version=version, start_on=began)
    if person.hold_days:
        enrolment.state = Enrolment.State.HELD
        enrolment.held_since = today - timedelta(days=person.hold_days)
        enrolment.held_why = "A stomach bug in the house; wait until it has passed."
        enrolment.save(update_fields=["state", "held_since", "held_why"])
    stages = {stage.number: stage.key for stage in protocol_of(version).stages}
    for place, (number, days) in enumerate(stays):
        is_last = place == len(stays) - 1
        Spell.objects.create(
            enrolment=enrolment,
            stage=stages[number],
            began_on=began,
            began_why="Day one" if place == 0 else "Three quiet days, the coach agreed",
            ended_on=None if is_last else began + timedelta(days=days),
            ended_why="" if is_last else "Moved on",
        )
        began += timedelta(days=days)


def _diary(person: Person, eater: Eater, *, at: datetime, today: date) -> None:
    CheckIn.objects.bulk_create(
        CheckIn(
            eater=eater,
            on=on,
            by=CheckIn.By.CLIENT,
            symptoms=dict(answers.symptoms),
            stool_form=answers.stool_form,
            stool_count=answers.stool_count,
            energy=answers.energy,
            sleep_hours=answers.sleep_hours,
            mood=answers.mood,
            red_flags=list(answers.red_flags),
            burden=burden(answers.symptoms),
            recorded_at=at - (today - on),
        )
        for on, answers in diary(person, today)
    )
