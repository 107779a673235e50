"""The demo practice: what it promises is there, and the week of its mixed-stage household passes the checker."""

from datetime import timedelta
from io import StringIO

import pytest
from allauth.account.models import EmailAddress
from django.core.management import call_command

from clients.models import CheckIn, Eater, Enrolment, Household, Packet, Week
from clients.services.packets import packet_make
from clients.services.weeks import week_ask, week_plan
from coaching import clock
from coaching.desk.demo.load import demo_load
from coaching.desk.demo.scenario import HOMES, PRACTICE
from coaching.practice.models import Membership, Practice
from tests import checker
from tests.factories import NOON, TODAY

SLOTS = ["breakfast", "mug", "midday", "evening"]


@pytest.fixture
def demo(db, noon) -> Practice:
    return demo_load(at=NOON, today=TODAY)


def household(name: str) -> Household:
    return Household.objects.get(name=name)


def test_it_tells_every_part_of_its_story(demo):
    assert Household.objects.filter(practice=demo).count() == len(HOMES) >= 12
    assert CheckIn.objects.exclude(red_flags=[]).count() == 1
    assert Enrolment.objects.filter(state="held").count() == 1
    assert Enrolment.objects.filter(start_on__gt=TODAY).exists()
    stages = {eater.enrolments.get().spells.get(ended_on=None).stage for eater in pair()}
    assert len(stages) == 2
    first = CheckIn.objects.order_by("on").first()
    assert timedelta(days=42) <= TODAY - first.on < timedelta(days=56)


def pair() -> list[Eater]:
    """The two eaters of one household who are at different stages."""
    return list(Eater.objects.filter(household__name="Marsh", enrolments__isnull=False))


def test_loading_it_again_changes_nothing(demo):
    before = list(Household.objects.order_by("pk").values_list("pk", flat=True))
    said = StringIO()
    call_command("load_demo", stdout=said)
    assert "already there" in said.getvalue()
    call_command("load_demo", "--if-empty", stdout=said)
    assert list(Household.objects.order_by("pk").values_list("pk", flat=True)) == before
    assert Practice.objects.filter(slug=PRACTICE["slug"]).count() == 1


def test_everyone_named_can_sign_in_with_a_confirmed_address(demo):
    members = Membership.objects.filter(practice=demo).select_related("user")
    assert {member.role for member in members} == {"owner", "coach", "assistant", "client"}
    assert EmailAddress.objects.filter(verified=True, primary=True).count() == members.count()


def conditions(eater: Eater) -> set[str]:
    """What yesterday's or today's report puts in force, read off the row by the rules of the check-in page."""
    newest = CheckIn.objects.filter(eater=eater).order_by("-on").first()
    if newest is None or (TODAY - newest.on).days > 1:
        return set()
    found = set()
    if newest.stool_form is not None and newest.stool_form >= 6:
        found.add("loose-stools")
    if newest.stool_form in (1, 2):
        found.add("constipation")
    found |= {word for word in ("reflux", "nausea") if newest.symptoms.get(word, 0) >= 4}
    return found | ({"flare"} if max(newest.symptoms.values(), default=0) >= 7 else set())


def plain_facts(row: Household, start) -> dict:
    """The household as the independent checker takes it: rows, dates and words, none of the engine's values."""
    days = [start + timedelta(days=day) for day in range(7)]
    names = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    eaters = {}
    for eater in row.eaters.all():
        enrolment = eater.enrolments.first()
        eaters[str(eater.pk)] = {
            "born": eater.born,
            "appetite": str(eater.appetite),
            "flags": set(),
            "allergies": set(eater.allergies),
            "excluded": set(eater.excluded),
            "forbidden": set(),
            "dislikes": set(eater.dislikes),
            "protocol": "hearth-five" if enrolment else None,
            "stages": [(spell.began_on, spell.stage) for spell in enrolment.spells.all()]
            if enrolment
            else [],
            "conditions": conditions(eater) if enrolment else set(),
            "introductions": [],
        }
    return {
        "start": start,
        "days": 7,
        "slots": SLOTS,
        "most_repeats": 3,
        "kitchen": {
            "minutes": [row.kitchen["hands_on_min"][names[day.weekday()]] for day in days],
            "pot_ml": int(max(row.kitchen["pots_l"]) * 1000),
            "freezer": row.kitchen["freezer"],
        },
        "eaters": eaters,
    }


def test_the_mixed_stage_week_is_right_meal_by_meal(demo):
    marsh = household("Marsh")
    start = TODAY + timedelta(days=7 - TODAY.weekday())
    asked = week_ask(household=marsh, start=start, by=None, at=NOON)
    assert week_plan(week_id=asked.pk, at=NOON) == Week.State.PLANNED
    asked.refresh_from_db()
    assert len(asked.plan["plates"]) == 7 * len(SLOTS) * marsh.eaters.count()
    assert checker.complaints(asked.plan, plain_facts(marsh, start)) == []


def test_the_checker_sees_a_wrong_plate(demo):
    """The same week with one eater's plates from a dish that is not open at the stage: the checker objects."""
    marsh = household("Marsh")
    start = TODAY + timedelta(days=7 - TODAY.weekday())
    asked = week_ask(household=marsh, start=start, by=None, at=NOON)
    week_plan(week_id=asked.pk, at=NOON)
    asked.refresh_from_db()
    spoilt = asked.plan | {"cooks": [{**cook, "recipe": raw_dish()} for cook in asked.plan["cooks"]]}
    assert checker.complaints(spoilt, plain_facts(marsh, start)) != []


def raw_dish() -> str:
    """A shipped dish with something raw in it: open to nobody at the first stages."""
    rows = checker.recipes().items()
    return next(key for key, row in rows if any("raw" in line["form"] for line in row["ingredients"]))


def test_its_first_packet_is_owed_and_can_be_made(demo):
    packet = Packet.objects.get(household__name="Marsh")
    assert packet_make(packet_id=packet.pk, at=clock.now()) == Packet.State.READY
    packet.refresh_from_db()
    assert packet.pages > 10
