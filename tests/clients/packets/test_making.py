"""Asking for a packet and making it: once, from the rules that hold, with the week it needs."""

import re
from datetime import date, timedelta

import pytest

from clients.models import Packet, SignOff, Week
from clients.services import packets
from clients.services.packets import packet_ask, packet_given_up, packet_make
from clients.services.weeks import week_ask, week_plan
from coaching.domain.errors import Refused
from coaching.outbox.models import OwedWork
from coaching.outbox.services import pump
from tests.factories import NOON, TODAY, CautionFactory

MONDAY = date(2026, 6, 15)


def ask(household, cast, **changes) -> Packet:
    wanted = {"start": MONDAY, "paper": "a4", "language": "en"} | changes
    return packet_ask(household=household, by=cast.coach, at=NOON, **wanted)


def make(household, cast, **changes) -> Packet:
    packet = ask(household, cast, **changes)
    packet_make(packet_id=packet.pk, at=NOON)
    return Packet.objects.get(pk=packet.pk)


def test_asking_owes_the_work_once(home, cast):
    packet = ask(home, cast)
    assert ask(home, cast).pk == packet.pk
    assert ask(home, cast, paper="letter").pk != packet.pk
    assert OwedWork.objects.filter(kind="make-packet").count() == 2


@pytest.mark.parametrize(("field", "value"), [("paper", "papyrus"), ("language", "xx")])
def test_a_paper_or_language_we_do_not_have_is_refused(home, cast, field, value):
    with pytest.raises(Refused) as refused:
        ask(home, cast, **{field: value})
    assert [problem.field for problem in refused.value.problems] == [field]
    assert not Packet.objects.exists()


def test_a_household_with_something_in_the_way_gets_no_packet(home, cast):
    CautionFactory(eater=home.eaters.get(), rule="anaemia", strength="clinician-first")
    with pytest.raises(Refused, match="waits for a clinician"):
        ask(home, cast)


def test_a_packet_is_made_with_its_week_and_lies_under_a_random_name(home, cast, quick, files):
    packet = make(home, cast)
    assert (packet.state, packet.pages, packet.made_at) == (Packet.State.READY, 3, NOON)
    assert packet.week == Week.objects.get(state=Week.State.PLANNED)
    assert re.fullmatch(r"packets/[0-9a-f]{32}\.pdf", packet.file.name)
    assert (files / packet.file.name).read_bytes().startswith(b"%PDF")
    assert packet.facts == quick[0]


def test_the_facts_name_practice_people_protocol_version_stage_and_day(home, cast, quick):
    facts = make(home, cast).facts
    assert facts["sender"]["name"] == "Here"
    assert facts["sender"]["emergency_number"] == "112"
    eater = home.eaters.get()
    assert facts["standings"] == [f"Small protocol, version 1: {eater.name} (First), as of 15 June 2026"]
    (sheet,) = facts["stage_sheets"]
    assert sheet["standing"] == {
        "eater": eater.name,
        "protocol": "Small protocol",
        "version": 1,
        "stage": "First",
        "stage_number": 1,
        "stage_count": 2,
        "as_of": "15 June 2026",
        "day_one": "2 June 2026",
        "dietitian": False,
    }
    assert facts["protocol_cautions"] == ["Ask your clinician."]
    assert facts["cover"]["period"] == "15 to 21 June 2026"
    assert [diary["standing"]["eater"] for diary in facts["diaries"]] == [eater.name]
    assert len(facts["week"]["days"]) == 7
    assert facts["cards"]
    assert facts["shopping"]["aisles"]
    assert facts["lead_in"] is None


def test_a_lead_in_comes_along_until_day_one(home, cast, quick):
    cast.version.document = cast.version.document | {
        "lead_in": [
            {
                "key": "cabbage",
                "title": "Start the cabbage",
                "kind": "culture",
                "days_before": 28,
                "at_least_days": 21,
            },
            {"key": "stock", "title": "Cook stock", "kind": "cook", "days_before": 3, "hands_on_min": 30},
        ]
    }
    cast.version.digest = "d" * 64
    cast.version.save(update_fields=["document", "digest"])
    enrolment = home.eaters.get().enrolments.get()
    day_one = TODAY + timedelta(days=9)
    type(enrolment).objects.update(start_on=day_one)
    enrolment.spells.update(began_on=day_one)
    lead_in = make(home, cast, start=day_one).facts["lead_in"]
    assert lead_in["day_one"] == "Friday 19 June"
    assert [(day["date"], [task["title"] for task in day["tasks"]]) for day in lead_in["days"]] == [
        ("Wednesday 10 June", ["Start the cabbage"]),
        ("Tuesday 16 June", ["Cook stock"]),
    ]
    assert "Late: this should be begun by Friday 29 May." in lead_in["days"][0]["tasks"][0]["late"]
    assert lead_in["honest"] == "Wednesday 1 July"
    assert make(home, cast, start=day_one + timedelta(days=1)).facts["lead_in"] is None


def test_a_planned_week_that_still_suits_is_used(home, cast, quick):
    week = week_ask(household=home, start=MONDAY, by=cast.coach, at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    assert make(home, cast).week_id == week.pk
    assert Week.objects.count() == 1


def test_a_week_that_no_longer_suits_is_planned_anew(home, cast, quick):
    week = week_ask(household=home, start=MONDAY, by=cast.coach, at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    eater = home.eaters.get()
    eater.excluded = ["parsnip"]
    eater.save(update_fields=["excluded"])
    packet = make(home, cast)
    assert packet.state == Packet.State.FAILED or packet.week_id != week.pk
    assert Week.objects.count() == 2


def test_a_week_that_cannot_be_planned_fails_the_packet_and_leads_to_why(home, cast, quick):
    home.kitchen = home.kitchen | {"hands_on_min": {}}
    home.save(update_fields=["kitchen"])
    packet = make(home, cast)
    assert packet.state == Packet.State.FAILED
    assert packet.problem == "No week fits what the household asks for."
    assert packet.week.state == Week.State.NONE
    assert not quick


def test_what_came_in_the_way_after_asking_fails_the_packet(home, cast, quick):
    packet = ask(home, cast)
    CautionFactory(eater=home.eaters.get(), rule="anaemia", strength="clinician-first")
    packet_make(packet_id=packet.pk, at=NOON)
    packet.refresh_from_db()
    assert packet.state == Packet.State.FAILED
    assert "waits for a clinician" in packet.problem
    assert not quick


def test_making_twice_draws_once(home, cast, quick, files):
    packet = make(home, cast)
    assert packet_make(packet_id=packet.pk, at=NOON) == Packet.State.READY
    assert len(quick) == 1
    assert len(list((files / "packets").iterdir())) == 1


def test_a_slower_worker_leaves_the_quicker_ones_file_alone(home, cast, monkeypatch, quick, files):
    packet = ask(home, cast)
    draw = packets.packet_pdf

    def overtaken(facts):
        monkeypatch.setattr(packets, "packet_pdf", draw)
        packet_make(packet_id=packet.pk, at=NOON)
        return draw(facts)

    monkeypatch.setattr(packets, "packet_pdf", overtaken)
    assert packet_make(packet_id=packet.pk, at=NOON) == Packet.State.READY
    assert [path.name for path in (files / "packets").iterdir()] == [
        Packet.objects.get(pk=packet.pk).file.name.removeprefix("packets/")
    ]


def test_giving_up_says_so(home, cast):
    packet = ask(home, cast)
    packet_given_up(packet_id=packet.pk, at=NOON)
    packet.refresh_from_db()
    assert packet.state == Packet.State.FAILED
    assert "Something went wrong on our side" in packet.problem


def test_paper_says_that_a_clinician_agreed_but_not_to_what(home, cast, quick):
    eater = home.eaters.get()
    caution = CautionFactory(eater=eater, rule="eating-disorder-past", strength="clinician-first")
    SignOff.objects.create(
        caution=caution,
        clinician="Dr. N. Ferreday",
        profession="Psychiatrist",
        agreed_on=TODAY,
        recorded_at=NOON,
    )
    CautionFactory(eater=eater, rule="warfarin", strength="tell")
    notes = make(home, cast).facts["cautions"]["notes"]
    assert notes[0]["title"] == "Agreed with Dr. N. Ferreday"
    assert "eating disorder" not in str(notes).lower()
    assert notes[1]["strength"] == "Good to know"
    assert notes[1]["source"]


def test_what_an_eater_leaves_out_is_on_their_sheet(home, cast, quick):
    eater = home.eaters.get()
    eater.allergies, eater.excluded = ["milk"], ["onion"]
    eater.save(update_fields=["allergies", "excluded"])
    (sheet,) = make(home, cast).facts["stage_sheets"]
    assert sheet["left_out"] == ["Milk and everything that holds it: allergy", "Onion"]


def test_a_worker_makes_what_was_asked_for(home, cast, quick):
    packet = ask(home, cast)
    assert pump(limit=None, now=NOON).parked == 0
    packet.refresh_from_db()
    assert packet.state == Packet.State.READY


def test_what_age_forbids_is_on_the_sheet_with_its_reason(home, cast, quick):
    """No honey before twelve months, cooked or raw: CDC, Foods and Drinks to Avoid or Limit; INSPQ, Honey."""
    home.eaters.update(born=date(2025, 9, 1))
    (sheet,) = make(home, cast).facts["stage_sheets"]
    assert any(line.startswith("Honey: never before twelve months of age") for line in sheet["left_out"])
