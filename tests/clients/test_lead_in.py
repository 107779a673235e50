"""The lead-in of a household: who it is for, ticking it off, its page, and its calendar file."""

from datetime import date, datetime, timedelta

import icalendar
import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import LeadInTick, Store
from clients.services.lead_in import lead_in_asks, lead_in_of, lead_in_tick, lead_in_untick
from clients.services.lead_in_page import lead_in_page
from coaching.domain.errors import Refused
from plans.models import ProtocolVersion
from plans.printables.lead_in_calendar import uid_of
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import (
    NOON,
    TODAY,
    CautionFactory,
    EaterFactory,
    EnrolmentFactory,
    FoodFactory,
    make_household,
)

DAY = timedelta(days=1)
DAY_ONE = TODAY + 12 * DAY
LEAD_IN = [
    {
        "key": "kefir",
        "title": "Start the kefir",
        "kind": "culture",
        "days_before": 4,
        "wait_least_h": 24,
        "wait_most_h": 48,
        "makes": ["kefir"],
        "hands_on_min": 40,
        "note": "Warm the milk; stir, wait, and don't hurry — it's ready when it smells fresh, sour and clean.",
        "source": "a guide",
        "buy_instead": "Bought kefir.",
    },
    {
        "key": "strain",
        "title": "Strain the kefir",
        "kind": "culture",
        "days_before": 3,
        "after": ["kefir"],
        "makes": ["kefir"],
        "keeps_days": 10,
        "hands_on_min": 10,
    },
    {
        "key": "cabbage",
        "title": "Start the cabbage, and salt it; \\ weigh both",
        "kind": "culture",
        "days_before": 10,
        "at_least_days": 5,
        "hands_on_min": 30,
    },
]


@pytest.fixture
def home(cast, noon):
    """The coach's household with a book, and a day one ahead."""
    file_book(cast.practice)
    kefir = {"key": "kefir", "name": "Kefir", "group": "dairy", "aisle": "eggs-dairy", "families": ["milk"]}
    FoodFactory(practice=cast.practice, key="kefir", document=kefir)
    open_foods(cast.version)
    cast.version.refresh_from_db()
    document = cast.version.document | {"lead_in": LEAD_IN}
    ProtocolVersion.objects.filter(pk=cast.version.pk).update(document=document, digest="e" * 64)
    starts(cast.household)
    return cast.household


def starts(home, day_one: date = DAY_ONE) -> None:
    for eater in home.eaters.all():
        for enrolment in eater.enrolments.all():
            enrolment.start_on = day_one
            enrolment.save(update_fields=["start_on"])
            enrolment.spells.update(began_on=day_one)


def titles(home, today: date = TODAY) -> list[str]:
    plan = lead_in_of(home, today=today)
    return [task.title for task in plan.tasks if task.title] if plan else []


def tick(home, by, task="kefir: Start the kefir", state="done", today=TODAY) -> LeadInTick:
    return lead_in_tick(household=home, task=task, state=state, today=today, by=by, at=NOON)


def test_the_plan_is_of_those_whose_day_one_lies_ahead(home):
    assert set(titles(home)) == {one["title"] for one in LEAD_IN}
    assert lead_in_of(home, today=DAY_ONE + DAY) is None
    assert lead_in_of(home, today=TODAY, since=DAY_ONE + DAY) is None


def test_an_eater_on_hold_or_barred_by_a_caution_prepares_nothing(home):
    eater = home.eaters.get()
    caution = CautionFactory(eater=eater, strength="clinician-first", rule="warfarin")
    assert lead_in_of(home, today=TODAY) is None
    caution.delete()
    eater.enrolments.update(state="held")
    assert lead_in_of(home, today=TODAY) is None


@pytest.mark.parametrize("way", ["allergies", "excluded"])
def test_tasks_for_what_an_eater_does_not_eat_are_left_out_with_why(home, way):
    eater = home.eaters.get()
    setattr(eater, way, ["milk"] if way == "allergies" else ["kefir"])
    eater.save()
    plan = lead_in_of(home, today=TODAY)
    assert [lost.title for lost in plan.left_out] == ["Start the kefir", "Strain the kefir"]
    page = lead_in_page(home, today=TODAY)
    assert eater.name in page.left_out[0]


def test_a_clinicians_word_leaves_it_out_too(home):
    home.eaters.get().instructions.model.objects.create(
        eater=home.eaters.get(), foods=["kefir"], said_by="Doctor", said_on=TODAY, recorded_at=NOON
    )
    assert titles(home) == [LEAD_IN[2]["title"]]


def test_a_second_eater_shares_the_tasks_and_is_named_where_they_are_not(home, cast):
    other = EaterFactory(household=home, name="Zoe", allergies=["milk"], position=5)
    EnrolmentFactory(eater=other, version=cast.version, start_on=DAY_ONE)
    page = lead_in_page(home, today=TODAY)
    said = {task.title: (task.eaters, task.more) for day in page.days for task in day.tasks}
    first = home.eaters.order_by("position").first().name
    assert said["Strain the kefir"] == (f"for {first}", ("Not for Zoe: never: allergy to milk.",))
    assert said[LEAD_IN[2]["title"]][0] == ""


def test_what_is_in_the_house_and_closed_to_all_is_to_be_used_up(home):
    Store.objects.create(household=home, food="kefir", amount_g=250, place="refrigerator", noted_on=TODAY)
    Store.objects.create(household=home, food="carrot", amount_g=500, place="refrigerator", noted_on=TODAY)
    used = [task.using_up for task in lead_in_of(home, today=TODAY).tasks if task.using_up]
    assert [(one.food, one.amount_g, one.by) for one in used] == [("kefir", 250, DAY_ONE - DAY)]


def test_a_tick_is_kept_once_and_taken_back(home, cast):
    tick(home, cast.coach)
    tick(home, cast.client, state="not-needed")
    row = LeadInTick.objects.get()
    assert (row.state, row.on, row.ticked_by) == ("not-needed", TODAY, cast.client.user)
    assert "Start the kefir" not in titles(home)
    lead_in_untick(household=home, task=row.task)
    assert "Start the kefir" in titles(home)


@pytest.mark.parametrize(
    ("task", "state"), [("nothing: Nothing", "done"), ("kefir: Start the kefir", "maybe"), ("", "")]
)
def test_a_tick_that_makes_no_sense_is_refused(home, cast, task, state):
    with pytest.raises(Refused):
        tick(home, cast.coach, task=task, state=state)
    assert not LeadInTick.objects.exists()


def test_the_coach_ticks_on_the_page_and_undoes_it(home, cast, sign_in):
    coach = sign_in("coach")
    page = reverse("lead_in", args=[home.pk])
    assert "Start the kefir" in coach.get(page).content.decode()
    send = reverse("lead_in_tick", args=[home.pk])
    answer = coach.post(send, {"task": "kefir: Start the kefir", "state": "done"}, follow=True)
    assert "done on Wednesday 10 June" in answer.content.decode()
    coach.post(send, {"task": "kefir: Start the kefir", "state": "undo"})
    assert not LeadInTick.objects.exists()
    assert (
        "That task is not in the plan any more."
        in coach.post(send, {"task": "\x00" * 500, "state": "done"}, follow=True).content.decode()
    )


def test_the_client_sees_the_next_tasks_and_ticks_them(home, sign_in):
    client = sign_in("client")
    assert "The whole list: " in client.get(reverse("portal")).content.decode()
    assert "Strain the kefir" in client.get(reverse("portal_lead_in")).content.decode()
    client.post(reverse("portal_lead_in_tick"), {"task": "strain: Strain the kefir", "state": "done"})
    assert LeadInTick.objects.get().household == home


def test_late_tasks_stand_first_with_what_to_do_and_the_honest_day_one(home, sign_in):
    starts(home, TODAY + 3 * DAY)
    content = sign_in("coach").get(reverse("lead_in", args=[home.pk])).content.decode()
    assert content.index("Too late for this day one") < content.index("Strain the kefir")
    assert "Everything can be ready for day one on Monday 15 June." in content


def test_the_page_without_a_day_one_ahead_says_so(cast, noon, sign_in):
    content = sign_in("coach").get(reverse("lead_in", args=[cast.household.pk])).content.decode()
    assert "No day one ahead" in content


def test_the_pages_cost_the_same_for_one_eater_and_for_many(home, cast, sign_in):
    coach, url = sign_in("coach"), reverse("lead_in", args=[home.pk])

    def cost() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert coach.get(url).status_code == 200
        return len(queries)

    few = cost()
    for at in range(4):
        other = EaterFactory(household=home, name=f"Eater {at}", position=at + 3)
        EnrolmentFactory(eater=other, version=cast.version, start_on=DAY_ONE + at * DAY)
    assert cost() <= few


def test_asking_for_many_households_costs_the_same_as_for_one(home, cast, django_assert_max_num_queries):
    with CaptureQueriesContext(connection) as one:
        lead_in_asks([home], since=TODAY, today=TODAY)
    homes = [home]
    for _ in range(5):
        more = make_household(practice=cast.practice, coach=cast.coach, version=cast.version)
        starts(more)
        homes.append(more)
    with django_assert_max_num_queries(len(one)):
        assert len(lead_in_asks(homes, since=TODAY, today=TODAY)) == 6


# The calendar file, by RFC 5545


def calendar_of(browser, url: str) -> tuple[bytes, icalendar.Calendar]:
    answer = browser.get(url)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="before-day-one.ics"'
    assert answer["Cache-Control"] == "no-store"
    return answer.content, icalendar.Calendar.from_ical(answer.content)


@pytest.fixture
def coach_file(home, sign_in):
    return lambda: calendar_of(sign_in("coach"), reverse("lead_in_calendar", args=[home.pk]))


def test_every_open_task_is_one_event_of_its_day(coach_file, home):
    _content, calendar = coach_file()
    plan = lead_in_of(home, today=TODAY)
    events = {str(event["SUMMARY"]): event for event in calendar.walk("VEVENT")}
    assert {title: event["DTSTART"].dt for title, event in events.items()} == {
        task.title: task.on for task in plan.tasks
    }
    event = events["Strain the kefir"]
    assert event["DTEND"].dt - event["DTSTART"].dt == DAY
    assert event["DTSTART"].params["VALUE"] == "DATE"
    assert "can wait until" in str(event["DESCRIPTION"]).lower()


def test_its_lines_are_no_longer_than_75_octets_and_end_in_crlf(coach_file):
    """RFC 5545, 3.1: lines end in CRLF and should not be longer than 75 octets without the line break."""
    content, _calendar = coach_file()
    assert content.endswith(b"\r\n")
    lines = content.split(b"\r\n")
    assert b"\n" not in b"".join(lines)
    assert max(map(len, lines)) <= 75
    assert any(line.startswith(b" ") for line in lines)


def test_what_has_a_meaning_in_the_format_is_escaped(coach_file):
    r"""RFC 5545, 3.3.11: in texts backslash, semicolon and comma are written \\ \; \, and a line break \n."""
    content, calendar = coach_file()
    unfolded = content.replace(b"\r\n ", b"")
    assert rb"SUMMARY:Start the cabbage\, and salt it\; \\ weigh both" in unfolded
    assert rb"work.\nCan wait" in unfolded
    assert LEAD_IN[2]["title"] in {str(event["SUMMARY"]) for event in calendar.walk("VEVENT")}


def test_it_has_what_a_calendar_and_an_event_must_have(coach_file):
    """RFC 5545, 3.6: PRODID and VERSION once; 3.6.1: UID, DTSTAMP in UTC and, without METHOD, DTSTART in each event."""
    _content, calendar = coach_file()
    assert str(calendar["VERSION"]) == "2.0"
    assert calendar["PRODID"]
    events = calendar.walk("VEVENT")
    assert len({str(event["UID"]) for event in events}) == len(events) == 3
    assert all(event["DTSTAMP"].dt.utcoffset() == timedelta(0) for event in events)
    assert not calendar.errors
    assert not any(event.errors for event in events)


def test_an_event_keeps_its_identifier_when_its_day_moves_and_its_sequence_grows(coach_file, home, noon):
    def events(calendar) -> dict[str, icalendar.Event]:
        return {str(event["UID"]): event for event in calendar.walk("VEVENT")}

    first = events(coach_file()[1])
    starts(home, DAY_ONE + 3 * DAY)
    with time_machine.travel(NOON + timedelta(hours=1), tick=False):
        second = events(coach_file()[1])
    assert first.keys() == second.keys()
    uid = uid_of(home.pk, "strain: Strain the kefir")
    assert second[uid]["DTSTART"].dt - first[uid]["DTSTART"].dt == 3 * DAY
    assert second[uid]["SEQUENCE"] > first[uid]["SEQUENCE"]
    assert second[uid]["LAST-MODIFIED"].dt > first[uid]["LAST-MODIFIED"].dt


def test_it_says_nothing_of_health_and_names_nobody(home, cast, coach_file):
    eater = home.eaters.get()
    other = EaterFactory(household=home, name="Zoe", allergies=["milk"], position=5)
    EnrolmentFactory(eater=other, version=cast.version, start_on=DAY_ONE)
    text = coach_file()[0].replace(b"\r\n ", b"").decode().lower()
    stages = [stage["title"].lower() for stage in cast.version.document["stages"]]
    for word in ("allergy", "zoe", eater.name.lower(), home.name.lower(), *stages):
        assert word not in text


def test_the_client_gets_the_same_file_and_none_where_there_is_nothing_to_do(home, sign_in, coach_file):
    client = sign_in("client")
    assert calendar_of(client, reverse("portal_lead_in_calendar"))[0] == coach_file()[0]
    LeadInTick.objects.bulk_create(
        LeadInTick(
            household=home, task=f"{one['key']}: {one['title']}", state="not-needed", on=TODAY, ticked_at=NOON
        )
        for one in LEAD_IN
    )
    assert client.get(reverse("portal_lead_in_calendar"))["Location"] == reverse("portal_lead_in")


def test_a_tick_of_an_earlier_lead_in_does_not_count(home, cast):
    old: datetime = NOON - timedelta(days=400)
    LeadInTick.objects.create(
        household=home, task="kefir: Start the kefir", on=TODAY - 400 * DAY, ticked_at=old
    )
    assert "Start the kefir" in titles(home)
    tick(home, cast.coach)
    assert "Start the kefir" not in titles(home)
