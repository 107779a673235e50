"""A clinician's instruction: written down, in force on its days, ended and kept; it can only forbid."""

from datetime import timedelta

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clients.domain.instructions import Instruction as Said
from clients.domain.instructions import forbidden_on, words_of
from clients.models import Instruction
from clients.services.briefs import brief_for
from clients.services.instructions import instruction_add, instruction_end
from clients.services.packet_facts import packet_facts
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from plans.domain.brief import Week
from plans.domain.vocabulary import Allowance
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import NOON, TODAY

DAY = timedelta(days=1)


@pytest.fixture
def eater(cast, noon):
    file_book(cast.practice)
    open_foods(cast.version)
    return cast.household.eaters.get()


def add(cast, eater, **changes) -> Instruction:
    asked = {"foods": ["carrot"], "said_by": "Dr Sand", "said_on": TODAY} | changes
    return instruction_add(eater=eater, **asked, by=cast.coach, at=NOON)


def carrots(cast, days: int = 7) -> list[Allowance]:
    brief = brief_for(cast.household, TODAY, today=TODAY, days=days)
    return [day["carrot"].allowance for day in brief.eaters[0].days]


days = st.integers(0, 20).map(lambda count: TODAY + count * DAY)
said = st.builds(
    Said,
    foods=st.frozensets(st.sampled_from(("carrot", "onion"))),
    said_by=st.sampled_from(("Dr Sand", "Dietitian")),
    said_on=days,
    until=st.none() | days,
)


@given(st.lists(said, max_size=4), days)
def test_a_food_is_forbidden_on_a_day_when_some_instruction_holds_and_says_so(instructions, on):
    expected = {
        food
        for one in instructions
        if one.said_on <= on and (one.until is None or on < one.until)
        for food in one.foods
    }
    assert forbidden_on(instructions, on) == expected
    assert words_of(instructions, on).keys() == expected


def test_it_holds_in_every_brief_from_then_on(cast, eater):
    assert set(carrots(cast)) == {Allowance.AS_PREPARED}
    add(cast, eater)
    assert set(carrots(cast)) == {Allowance.NOT_YET}
    assert AuditEntry.objects.filter(action="instruction recorded").count() == 1


def test_with_an_end_it_holds_until_that_day_within_a_week(cast, eater):
    add(cast, eater, until=TODAY + 3 * DAY)
    assert carrots(cast) == [Allowance.NOT_YET] * 3 + [Allowance.AS_PREPARED] * 4


def test_ended_it_no_longer_holds_and_is_still_there(cast, eater):
    ended = instruction_end(instruction=add(cast, eater), why="Dr Sand, today", by=cast.coach, at=NOON)
    assert set(carrots(cast)) == {Allowance.AS_PREPARED}
    row = Instruction.objects.get(pk=ended.pk)
    assert (row.ended_on, row.ended_why, row.ended_by) == (TODAY, "Dr Sand, today", cast.coach.user)
    assert AuditEntry.objects.filter(action="instruction ended").count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"foods": []}, "foods"),
        ({"foods": ["moon-cheese"]}, "foods"),
        ({"said_by": "  "}, "said_by"),
        ({"said_on": TODAY + DAY}, "said_on"),
        ({"until": TODAY}, "until"),
        ({"said_on": TODAY - 9 * DAY, "until": TODAY - DAY}, "until"),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused_and_nothing_is_written(cast, eater, changes, field):
    with pytest.raises(Refused) as refused:
        add(cast, eater, **changes)
    assert [problem.field for problem in refused.value.problems] == [field]
    assert not Instruction.objects.exists()


def test_an_end_needs_a_reason_and_comes_once(cast, eater):
    row = add(cast, eater)
    with pytest.raises(Refused):
        instruction_end(instruction=row, why=" ", by=cast.coach, at=NOON)
    instruction_end(instruction=row, why="Dr Sand", by=cast.coach, at=NOON)
    with pytest.raises(Refused):
        instruction_end(instruction=row, why="Again", by=cast.coach, at=NOON)
    assert Instruction.objects.get().ended_why == "Dr Sand"


def test_the_page_writes_one_down_and_the_household_shows_it(cast, eater, sign_in):
    browser = sign_in("coach")
    url = reverse("eater_instructions", args=[eater.pk])
    typed = {"foods": "Carrot, onions", "said_by": "Dr Sand, family doctor", "said_on": TODAY.isoformat()}
    assert browser.post(url, typed).status_code == 302
    assert Instruction.objects.get().foods == ["carrot", "onion"]
    page = browser.get(url).content.decode()
    assert "Carrot, Onion" in page
    assert "An instruction can only forbid" in page
    household = browser.get(reverse("household", args=[cast.household.pk])).content.decode()
    assert "Dr Sand, family doctor" in household
    assert reverse("eater_foods", args=[eater.pk]) in household
    assistant = sign_in("assistant").get(reverse("household", args=[cast.household.pk])).content.decode()
    assert "Dr Sand" not in assistant


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"foods": "Carot"}, "Did you mean Carrot"),
        ({"foods": ","}, "No food is named"),
        ({"said_on": (TODAY + DAY).isoformat()}, "still to come"),
        ({"until": TODAY.isoformat()}, "over already"),
    ],
)
def test_a_mistake_keeps_what_was_typed(cast, eater, sign_in, changes, words):
    typed = {"foods": "Carrot", "said_by": "Dr Sand", "said_on": TODAY.isoformat(), "note": "Blood test"}
    url = reverse("eater_instructions", args=[eater.pk])
    page = sign_in("coach").post(url, typed | changes).content.decode()
    assert words in page
    assert "Blood test" in page
    assert not Instruction.objects.exists()


def test_the_page_ends_one(cast, eater, sign_in):
    row = add(cast, eater)
    url = reverse("instruction_end", args=[row.pk])
    browser = sign_in("coach")
    assert "Carrot" in browser.get(url).content.decode()
    assert "required" in browser.post(url, {"why": ""}).content.decode()
    assert browser.post(url, {"why": "Dr Sand by telephone"}).status_code == 302
    again = browser.post(url, {"why": "Once more"}).content.decode()
    assert "over already" in again
    page = browser.get(reverse("eater_instructions", args=[eater.pk])).content.decode()
    assert "Dr Sand by telephone" in page


def test_a_packets_stage_sheet_says_so_without_the_name(cast, eater):
    add(cast, eater)
    brief = brief_for(cast.household, TODAY, today=TODAY)
    facts = packet_facts(
        household=cast.household,
        week=Week(TODAY, 7, (), (), {}, 0, 0),
        brief=brief,
        paper="a4",
        language="en",
        today=TODAY,
    )
    (sheet,) = facts.stage_sheets
    assert "Carrot: your clinician asked for it" in sheet.left_out
