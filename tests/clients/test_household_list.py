"""The list of households: searched, narrowed, ordered, a page at a time."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clients.models import Enrolment, Household, Spell
from tests.factories import (
    NOON,
    TODAY,
    EaterFactory,
    EnrolmentFactory,
    HouseholdFactory,
    make_household,
)

LIST = reverse("households")


@pytest.fixture
def many(cast, noon) -> list[Household]:
    """Three households of the coach, in three stages."""
    made = [
        make_household(practice=cast.practice, coach=cast.coach, version=cast.version, name=name)
        for name in ("Hazel", "Maple", "Rowan")
    ]
    Spell.objects.filter(enrolment__eater__household=made[1]).update(stage="second")
    Enrolment.objects.filter(eater__household=made[2]).update(start_on=TODAY + timedelta(days=6))
    Spell.objects.filter(enrolment__eater__household=made[2]).update(began_on=TODAY + timedelta(days=6))
    return made


def names(page) -> list[str]:
    return [line.name for line in page.context["lines"]]


def test_a_coach_sees_her_own_and_an_owner_all(cast, many, sign_in):
    assert names(sign_in("coach").get(LIST)) == ["Alder", "Hazel", "Maple", "Rowan"]
    assert names(sign_in("owner").get(LIST)) == ["Alder", "Birch", "Hazel", "Maple", "Rowan"]
    assert names(sign_in("assistant").get(LIST)) == ["Alder", "Birch", "Hazel", "Maple", "Rowan"]
    assert names(sign_in("other_coach").get(LIST)) == ["Birch"]
    assert names(sign_in("foreign_coach").get(LIST)) == ["Cedar"]


def test_each_line_says_who_is_where(cast, many, sign_in):
    lines = {line.name: line for line in sign_in("coach").get(LIST).context["lines"]}
    first = lines["Hazel"].eaters[0]
    assert (first.stage, first.day, first.held) == ("First", 9, False)
    assert lines["Maple"].eaters[0].stage == "Second"
    ahead = lines["Rowan"].eaters[0]
    assert (ahead.day, ahead.starts_in) == (-5, 6)
    assert lines["Rowan"].day_one == TODAY + timedelta(days=6)


def test_the_page_shows_holds_and_people_without_a_protocol(cast, many, sign_in):
    Enrolment.objects.filter(eater__household=many[0]).update(state="held")
    EaterFactory(household=many[0], name="Nan")
    page = sign_in("coach").get(LIST, {"q": "hazel"}).content.decode()
    assert "on hold" in page
    assert "no protocol" in page
    assert "begins in 6 days" in sign_in("coach").get(LIST).content.decode()


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"q": "haz"}, ["Hazel"]),
        ({"q": "HAZ"}, ["Hazel"]),
        ({"q": "nobody"}, []),
        ({"stage": "second"}, ["Maple"]),
        ({"stage": "second", "q": "hazel"}, []),
        ({"stage": "no-such-stage"}, []),
        ({"coach": "not-an-id"}, []),
        ({"order": "-name"}, ["Rowan", "Maple", "Hazel", "Alder"]),
        ({"order": "-day-one"}, ["Rowan", "Alder", "Hazel", "Maple"]),
        ({"order": "nonsense"}, ["Alder", "Hazel", "Maple", "Rowan"]),
        ({"page": "99"}, ["Alder", "Hazel", "Maple", "Rowan"]),
    ],
)
def test_search_sieve_and_order(cast, many, sign_in, asked: dict, found: list[str]):
    assert names(sign_in("coach").get(LIST, asked)) == found


def test_clients_and_eaters_find_their_household_once(cast, many, sign_in):
    EaterFactory(household=many[0], name="Maple the younger")
    client = many[0].clients.get()
    assert names(sign_in("coach").get(LIST, {"q": client.email})) == ["Hazel"]
    assert names(sign_in("coach").get(LIST, {"q": "maple"})) == ["Hazel", "Maple"]


def test_a_search_does_not_change_the_day_one_shown(cast, many, sign_in):
    later = EaterFactory(household=many[0], name="Zora")
    EnrolmentFactory(eater=later, version=cast.version, start_on=TODAY)
    [line] = sign_in("coach").get(LIST, {"q": "zora"}).context["lines"]
    assert line.day_one == TODAY - timedelta(days=8)


def test_an_owner_narrows_to_a_coach_and_a_coach_is_not_asked(cast, many, sign_in):
    found = sign_in("owner").get(LIST, {"coach": str(cast.other_coach.pk)})
    assert names(found) == ["Birch"]
    assert [sieve["name"] for sieve in found.context["sieves"]] == ["stage", "coach"]
    assert [sieve["name"] for sieve in sign_in("coach").get(LIST).context["sieves"]] == ["stage"]


def test_the_stages_offered_are_those_somebody_is_in(cast, many, sign_in):
    [stage] = sign_in("coach").get(LIST).context["sieves"]
    assert [option["value"] for option in stage["options"]] == ["first", "second"]


def test_households_put_away_stand_in_their_own_list(cast, many, sign_in):
    Household.objects.filter(pk=many[0].pk).update(archived_at=NOON)
    page = sign_in("coach").get(LIST)
    assert "Hazel" not in names(page)
    assert "1 household put away" in page.content.decode()
    assert names(sign_in("coach").get(LIST, {"archived": "1"})) == ["Hazel"]


def test_an_empty_list_says_how_to_begin(cast, sign_in, noon):
    Household.objects.all().delete()
    page = sign_in("coach").get(LIST).content.decode()
    assert "No household yet" in page
    assert reverse("intake") in page
    assert reverse("intake") not in sign_in("assistant").get(LIST).content.decode()


def test_a_list_is_shown_a_page_at_a_time(cast, sign_in, noon):
    for n in range(30):
        HouseholdFactory(practice=cast.practice, coach=cast.coach, name=f"House {n:02}")
    first = sign_in("coach").get(LIST)
    second = sign_in("coach").get(LIST, {"page": "2"})
    assert (len(names(first)), len(names(second))) == (25, 6)
    assert "26–31 of 31" in second.content.decode()


@pytest.mark.parametrize("households", [1, 20])
def test_the_same_questions_for_any_number(
    cast, sign_in, noon, django_assert_max_num_queries, households: int
):
    for _ in range(households):
        made = make_household(practice=cast.practice, coach=cast.coach, version=cast.version)
        for _ in range(3):
            EnrolmentFactory(eater=EaterFactory(household=made), version=cast.version)
    browser = sign_in("owner")
    # session, user, membership; stages in use twice; coaches; count; put away; the page itself with clients, coaches,
    # their people, eaters, enrolments, spells and the titles of protocols
    with django_assert_max_num_queries(17):
        browser.get(LIST)
