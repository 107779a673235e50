"""The demo practice: what it promises is there, and the week of its mixed-stage household passes the checker."""

from datetime import timedelta
from io import StringIO

import pytest
from allauth.account.models import EmailAddress
from django.core.management import call_command

from clients.domain.targets import EATING
from clients.models import (
    Caution,
    CheckIn,
    Eater,
    Enrolment,
    Household,
    Instruction,
    Introduction,
    Measures,
    Packet,
    Store,
    Week,
)
from clients.selectors.cautions import barring_cautions
from clients.services.nutrition import eater_nutrition
from clients.services.packets import packet_make
from clients.services.weeks import week_ask, week_plan
from coaching import clock
from coaching.desk.demo.load import demo_load
from coaching.desk.demo.scenario import HOMES, PRACTICE
from coaching.practice.models import Membership, Practice
from plans.domain.brief import WANTS
from tests import checker
from tests.factories import NOON, TODAY

SLOTS = ["breakfast", "mug", "midday", "evening"]
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NEXT_MONDAY = TODAY + timedelta(days=7 - TODAY.weekday())


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


def test_somebody_is_at_school_at_midday_and_somebody_out_one_evening(demo):
    away = {eater.name: eater.away for eater in household("Marsh").eaters.all()}
    assert away["Ivo"] == [[day, "midday"] for day in WEEKDAYS[:5]]
    assert away["Tom"] == [["thu", "evening"]]
    assert away["Nell"] == []


def test_one_household_has_an_order_of_wants_of_its_own(demo):
    (chosen,) = Household.objects.exclude(wants=[])
    assert chosen.wants[:3] == ["nourishment", "stores", "time"]
    assert sorted(chosen.wants) == sorted(WANTS)


def test_the_planned_household_and_the_one_nearest_to_its_day_one_have_things_in_the_house(demo):
    ahead = Enrolment.objects.filter(start_on__gt=TODAY).order_by("start_on")
    nearest = next(each for each in ahead if not barring_cautions(each.eater).exists()).eater.household
    planned = Packet.objects.get().household
    assert set(Household.objects.filter(stores__isnull=False)) == {nearest, planned}
    for home in (nearest, planned):
        rows = Store.objects.filter(household=home)
        assert set(rows.values_list("place", flat=True)) == {"cupboard", "refrigerator", "freezer"}
        # Salt and sugar keep; all else has a date.
        assert set(rows.filter(best_by=None).values_list("food", flat=True)) <= {"salt", "sugar"}
    assert [row.food for row in Store.objects.filter(best_by__lt=TODAY)] == ["yoghurt"]


def test_adults_of_one_household_have_measures_and_nobody_with_a_caution_of_eating(demo):
    measured = Eater.objects.filter(measures__isnull=False)
    assert {eater.name for eater in measured} == {"Nell", "Tom"}
    assert all(eater.born <= TODAY - timedelta(days=19 * 366) for eater in measured)
    assert not Caution.objects.filter(rule__in=EATING, eater__in=measured).exists()
    for row in Measures.objects.all():
        assert None not in (row.weight_kg, row.height_cm)
        assert row.activity


def test_the_planned_household_is_out_one_day_and_has_hours_at_home_on_work_days(demo):
    kitchen = household("Marsh").kitchen
    assert kitchen["out"] == ["wed"]
    assert set(kitchen["at_home_min"]) == set(WEEKDAYS[:5])


def test_one_introduction_is_under_way(demo):
    tried = Introduction.objects.get()
    assert (tried.eater.name, tried.food, tried.outcome) == ("Nell", "sauerkraut-brine", "open")
    assert tried.first_day < TODAY < tried.watch_until


def test_one_clinicians_instruction_is_in_force(demo):
    told = Instruction.objects.get()
    assert told.eater.name == "Per"
    assert told.said_on <= TODAY < told.until
    assert told.ended_on is None


def everything() -> dict[str, list]:
    """Every row that the demo's people have, as it is."""
    kinds = (
        Household,
        Eater,
        Enrolment,
        CheckIn,
        Caution,
        Instruction,
        Introduction,
        Measures,
        Store,
        Packet,
    )
    return {kind.__name__: list(kind.objects.order_by("pk").values()) for kind in kinds}


def test_loading_it_again_changes_nothing(demo):
    before = everything()
    said = StringIO()
    call_command("load_demo", stdout=said)
    assert "already there" in said.getvalue()
    call_command("load_demo", "--if-empty", stdout=said)
    assert everything() == before
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
    names = [WEEKDAYS[day.weekday()] for day in days]
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
            "away": {(names.index(day), slot) for day, slot in eater.away},
            "dislikes": set(eater.dislikes),
            "protocol": "hearth-five" if enrolment else None,
            "stages": [(spell.began_on, spell.stage) for spell in enrolment.spells.all()]
            if enrolment
            else [],
            "conditions": conditions(eater) if enrolment else set(),
            "introductions": list(eater.introductions.values()),
        }
    return {
        "start": start,
        "days": 7,
        "slots": SLOTS,
        "most_repeats": 3,
        "kitchen": {
            "minutes": [row.kitchen["hands_on_min"][name] for name in names],
            "pot_ml": int(max(row.kitchen["pots_l"]) * 1000),
            "freezer": row.kitchen["freezer"],
            "at_home_min": [row.kitchen["at_home_min"].get(name, 7 * 24 * 60) for name in names],
            "out": {place for place, name in enumerate(names) if name in row.kitchen["out"]},
        },
        "eaters": eaters,
    }


@pytest.fixture
def planned(demo) -> Week:
    """The next week of the mixed-stage household."""
    asked = week_ask(household=household("Marsh"), start=NEXT_MONDAY, by=None, at=NOON)
    assert week_plan(week_id=asked.pk, at=NOON) == Week.State.PLANNED
    asked.refresh_from_db()
    return asked


def test_the_mixed_stage_week_is_right_meal_by_meal(planned):
    marsh = planned.household
    assert len(planned.plan["plates"]) == 7 * len(SLOTS) * marsh.eaters.count() - 6
    assert checker.complaints(planned.plan, plain_facts(marsh, NEXT_MONDAY)) == []
    served = {(plate["eater"], plate["on"], plate["slot"]) for plate in planned.plan["plates"]}
    for eater in marsh.eaters.all():
        for day, slot in eater.away:
            on = NEXT_MONDAY + timedelta(days=WEEKDAYS.index(day))
            assert (str(eater.pk), on.isoformat(), slot) not in served
        # Whoever has measures sees what their energy should be, and nobody else does.
        energy = eater_nutrition(week=planned, eater=eater).intakes.energy
        assert (energy.percent is not None) == (eater.name in {"Nell", "Tom"})


def test_the_checker_sees_a_wrong_plate(planned):
    """The same week with one eater's plates from a dish that is not open at the stage: the checker objects."""
    spoilt = planned.plan | {"cooks": [{**cook, "recipe": raw_dish()} for cook in planned.plan["cooks"]]}
    assert checker.complaints(spoilt, plain_facts(planned.household, NEXT_MONDAY)) != []


def raw_dish() -> str:
    """A shipped dish with something raw in it: open to nobody at the first stages."""
    rows = checker.recipes().items()
    return next(key for key, row in rows if any("raw" in line["form"] for line in row["ingredients"]))


def test_its_first_packet_is_owed_and_can_be_made(demo):
    packet = Packet.objects.get(household__name="Marsh")
    assert packet_make(packet_id=packet.pk, at=clock.now()) == Packet.State.READY
    packet.refresh_from_db()
    assert packet.pages > 10
