"""Small rows with defaults that agree with each other. Name only what the test is about."""

from datetime import UTC, date, datetime, timedelta

import factory
from factory.django import DjangoModelFactory

from clients import models as people
from coaching.practice.models import Membership, Practice, User
from plans import models as book

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)
"""The moment the suite's stories happen: a Wednesday."""
TODAY = NOON.date()
PASSWORD = "plain-oats-and-barley"

SMALL_PROTOCOL = {
    "schema": "ladlework/protocol/1",
    "key": "small",
    "title": "Small protocol",
    "summary": "Two stages for tests.",
    "source": "own invention",
    "dietitian": False,
    "caution": "Ask your clinician.",
    "stages": [
        {
            "key": "first",
            "title": "First",
            "aim": "Settle in.",
            "least_days": 5,
            "usual_days": 10,
            "most_days": 21,
        },
        {"key": "second", "title": "Second", "aim": "Widen.", "least_days": 7, "usual_days": 14},
    ],
    "rules": [
        {"food": "carrot", "stage": "first", "allowance": "as prepared", "forms": ["boiled + peeled"]},
        {"food": "carrot", "stage": "second", "allowance": "freely"},
    ],
}


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person{n}@example.org")
    name = factory.Sequence(lambda n: f"Person {n}")

    @factory.post_generation
    def password(self, create: bool, extracted: str | None, **kwargs) -> None:
        if extracted:
            self.set_password(extracted)
            self.save(update_fields=["password"])


class PracticeFactory(DjangoModelFactory):
    class Meta:
        model = Practice

    slug = factory.Sequence(lambda n: f"practice-{n}")
    name = factory.Sequence(lambda n: f"Practice {n}")
    postal_address = "1 Quay Lane, Port Ellery"
    email = factory.LazyAttribute(lambda o: f"post@{o.slug}.example.org")
    country = "IE"
    units = "metric"
    paper = "a4"
    languages = ["en"]
    time_zone = "Europe/Dublin"
    emergency_number = "112"
    client_agreement = "This is food coaching and not medical care."
    rules_checked_at = NOON - timedelta(days=100)


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership

    user = factory.SubFactory(UserFactory)
    practice = factory.SubFactory(PracticeFactory)
    role = Membership.Role.COACH


class FoodFactory(DjangoModelFactory):
    class Meta:
        model = book.Food

    practice = factory.SubFactory(PracticeFactory)
    key = factory.Sequence(lambda n: f"food-{n}")
    name = factory.LazyAttribute(lambda o: o.key.replace("-", " ").capitalize())
    group = "soft roots"
    aisle = "vegetables"
    search_text = factory.LazyAttribute(lambda o: o.name.lower())
    document = factory.LazyAttribute(
        lambda o: {"key": o.key, "name": o.name, "group": o.group, "aisle": o.aisle}
    )


class ProtocolVersionFactory(DjangoModelFactory):
    class Meta:
        model = book.ProtocolVersion

    protocol = factory.SubFactory("tests.factories.ProtocolFactory")
    number = 1
    document = factory.LazyAttribute(
        lambda o: {**SMALL_PROTOCOL, "key": o.protocol.key, "title": o.protocol.title}
    )
    digest = factory.Sequence(lambda n: f"{n:064x}")
    published_at = NOON - timedelta(days=90)


class ProtocolFactory(DjangoModelFactory):
    class Meta:
        model = book.Protocol

    practice = factory.SubFactory(PracticeFactory)
    key = factory.Sequence(lambda n: f"small-{n}")
    title = "Small protocol"


class HouseholdFactory(DjangoModelFactory):
    class Meta:
        model = people.Household

    practice = factory.SubFactory(PracticeFactory)
    coach = None
    name = factory.Sequence(lambda n: f"Household {n}")
    kitchen = factory.LazyFunction(
        lambda: {
            "pots_l": [7.5],
            "jars": 8,
            "hands_on_min": {"mon": 60, "tue": 60, "wed": 60, "thu": 60, "fri": 60, "sat": 120, "sun": 120},
            "busy": [],
            "freezer": True,
        }
    )
    created_at = NOON - timedelta(days=60)


class ClientFactory(DjangoModelFactory):
    class Meta:
        model = people.Client

    household = factory.SubFactory(HouseholdFactory)
    name = factory.Sequence(lambda n: f"Client {n}")
    email = factory.Sequence(lambda n: f"client{n}@example.org")
    time_zone = "Europe/Dublin"


class EaterFactory(DjangoModelFactory):
    class Meta:
        model = people.Eater

    household = factory.SubFactory(HouseholdFactory)
    name = factory.Sequence(lambda n: f"Eater {n}")
    born = date(1988, 3, 2)


class EnrolmentFactory(DjangoModelFactory):
    """An eater in the first stage since day one, unless ``stage`` says otherwise."""

    class Meta:
        model = people.Enrolment
        skip_postgeneration_save = True

    eater = factory.SubFactory(EaterFactory)
    version = factory.SubFactory(ProtocolVersionFactory)
    start_on = TODAY - timedelta(days=8)

    @factory.post_generation
    def stage(self, create: bool, extracted: str | None, **kwargs) -> None:
        people.Spell.objects.create(enrolment=self, stage=extracted or "first", began_on=self.start_on)


class CheckInFactory(DjangoModelFactory):
    class Meta:
        model = people.CheckIn

    eater = factory.SubFactory(EaterFactory)
    on = TODAY
    by = people.CheckIn.By.CLIENT
    symptoms = factory.LazyFunction(lambda: {"bloating": 2})
    stool_form = 4
    stool_count = 1
    energy = 6
    recorded_at = NOON


class CautionFactory(DjangoModelFactory):
    class Meta:
        model = people.Caution

    eater = factory.SubFactory(EaterFactory)
    rule = "warfarin"
    strength = people.Caution.Strength.TELL
    raised_at = NOON


def make_household(
    *,
    practice: Practice,
    coach: Membership | None,
    version: book.ProtocolVersion,
    user: User | None = None,
    **fields,
) -> people.Household:
    """A household with its client, one eater and an open enrolment in the first stage."""
    household = HouseholdFactory(practice=practice, coach=coach, **fields)
    client = ClientFactory(household=household, user=user)
    eater = EaterFactory(household=household, client=client, name=client.name)
    EnrolmentFactory(eater=eater, version=version)
    return household
