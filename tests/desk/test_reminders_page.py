"""The staff's list of reminders: whose they see, what they can find, trying again, and what it costs."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coaching.desk.models import Reminder
from tests.factories import NOON, TODAY, make_household

pytestmark = pytest.mark.django_db
State = Reminder.State


def remind(household, number: int = 0, **fields) -> Reminder:
    defaults = {
        "client": household.clients.get(),
        "kind": Reminder.Kind.CHECK_IN,
        "subject_key": str(number),
        "local_date": TODAY,
        "due_at": NOON - timedelta(minutes=number),
    }
    return Reminder.objects.create(**{**defaults, **fields})


@pytest.fixture
def page(sign_in, noon):
    """``page("coach", state="sent")`` is the list as that person sees it, as text."""

    def get(role: str, **query) -> str:
        response = sign_in(role).get(reverse("reminders"), query)
        assert response.status_code == 200
        return response.content.decode()

    return get


@pytest.mark.parametrize(
    ("role", "sees"),
    [
        ("coach", {"Alder"}),
        ("other_coach", {"Birch"}),
        ("owner", {"Alder", "Birch"}),
        ("assistant", {"Alder", "Birch"}),
        ("foreign_coach", {"Cedar"}),
    ],
)
def test_staff_see_the_reminders_of_their_own_clients(cast, page, role: str, sees: set[str]):
    for household in (cast.household, cast.other_household, cast.foreign_household):
        remind(household)
    shown = page(role)
    assert {name for name in ("Alder", "Birch", "Cedar") if name in shown} == sees


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ({}, {"Countdown", "Lead"}),
        ({"state": "sent"}, {"Lead"}),
        ({"kind": "countdown"}, {"Countdown"}),
        ({"q": "lead"}, {"Lead"}),
        ({"q": "nobody of that name"}, set()),
        ({"state": "made-up", "kind": "<script>", "page": "none", "q": ""}, {"Countdown", "Lead"}),
    ],
)
def test_the_list_can_be_narrowed(cast, page, query: dict, shown: set[str]):
    lead = make_household(practice=cast.practice, coach=cast.coach, version=cast.version, name="Lead")
    counted = make_household(practice=cast.practice, coach=cast.coach, version=cast.version, name="Countdown")
    remind(lead, kind=Reminder.Kind.LEAD_IN, state=State.SENT, sent_at=NOON)
    remind(counted, kind=Reminder.Kind.COUNTDOWN)
    text = page("coach", **query).partition("<tbody>")[2]
    assert {name for name in ("Lead", "Countdown") if f'soft">{name}</span>' in text} == shown


def test_a_search_that_finds_nothing_offers_everything(cast, page):
    remind(cast.household)
    assert "Show all reminders" in page("coach", q="zzz")
    assert "No reminders yet" in page("other_coach")


def test_a_failed_one_says_why_and_can_be_tried_again(cast, page, sign_in):
    failed = remind(cast.household, state=State.FAILED, why="refused")
    assert "there is no such address" in page("coach")
    response = sign_in("coach").post(reverse("reminder_retry", args=[failed.pk]), follow=True)
    assert "goes out again" in response.content.decode()
    failed.refresh_from_db()
    assert (failed.state, failed.due_at) == (State.OWED, NOON)
    response = sign_in("coach").post(reverse("reminder_retry", args=[failed.pk]), follow=True)
    assert "had not failed" in response.content.decode()


@pytest.mark.parametrize("role", ["other_coach", "foreign_coach", "client"])
def test_nobody_else_can_try_it_again(cast, sign_in, role: str):
    failed = remind(cast.household, state=State.FAILED, why="refused")
    assert sign_in(role).post(reverse("reminder_retry", args=[failed.pk])).status_code == 404
    failed.refresh_from_db()
    assert failed.state == State.FAILED


def test_a_practice_without_a_postal_address_is_told(cast, page):
    assert "No mail goes out yet" not in page("coach")
    type(cast.practice).objects.filter(pk=cast.practice.pk).update(postal_address=" ")
    assert "No mail goes out yet" in page("coach")


def test_the_list_costs_the_same_for_two_and_for_many(cast, sign_in, noon, django_assert_max_num_queries):
    """Session, user with membership, count, rows with client and household."""
    browser = sign_in("owner")
    remind(cast.household, 0)
    remind(cast.household, 1)
    for number in (2, 60):
        for count in range(2, number):
            home = make_household(practice=cast.practice, coach=cast.coach, version=cast.version)
            remind(home, count, state=State.SENT, sent_at=NOON)
        with django_assert_max_num_queries(5):
            assert browser.get(reverse("reminders")).status_code == 200
