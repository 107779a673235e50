"""The board as a coach, an owner and an assistant see it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Household
from tests.bench.bench_board import fill_board
from tests.factories import TODAY, CautionFactory, CheckInFactory, make_household

pytestmark = pytest.mark.usefixtures("noon")


def words(browser, query: str = "") -> str:
    response = browser.get(f"/board/{query}")
    assert response.status_code == 200
    return response.content.decode()


def test_a_coach_sees_her_own_clients_and_why(cast, sign_in):
    eater = cast.household.eaters.get()
    CheckInFactory(eater=eater, on=TODAY - timedelta(days=4))
    page = words(sign_in("coach"))
    assert eater.name in page
    assert "no check-in for 4 days" in page
    assert "First, day 9" in page
    assert cast.other_household.clients.get().name not in page


def test_the_owner_sees_everyone_of_the_practice_and_nobody_else(cast, sign_in):
    page = words(sign_in("owner"))
    assert cast.household.clients.get().name in page
    assert cast.other_household.clients.get().name in page
    assert cast.foreign_household.clients.get().name not in page


def test_an_assistant_sees_schedule_and_contacts_but_no_health(cast, sign_in):
    eater = cast.household.eaters.get()
    CheckInFactory(eater=eater, on=TODAY, red_flags=["fever"])
    CautionFactory(eater=eater, strength="clinician-first")
    coach_page, page = words(sign_in("coach")), words(sign_in("assistant"))
    assert "Red flag" in coach_page
    assert "clinician has to agree" in coach_page
    assert "Red flag" not in page
    assert "clinician has to agree" not in page
    assert cast.household.clients.get().email in page


def test_the_most_pressing_stands_first(cast, sign_in):
    calm = make_household(practice=cast.practice, coach=cast.coach, version=cast.version, name="Aspen")
    CheckInFactory(eater=calm.eaters.get(), on=TODAY)
    CheckInFactory(eater=cast.household.eaters.get(), on=TODAY, red_flags=["blood-in-stool"])
    page = words(sign_in("coach"))
    assert page.index(cast.household.clients.get().name) < page.index(calm.clients.get().name)
    assert page.index("Red flag from") < page.index("Nothing presses")


def test_an_answered_red_flag_leaves_the_board(cast, sign_in, noon):
    CheckInFactory(
        eater=cast.household.eaters.get(),
        on=TODAY,
        red_flags=["fever"],
        flags_answer="Seen",
        flags_answered_at=noon,
    )
    assert "Red flag" not in words(sign_in("coach"))


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("?q=alder", True),
        ("?q=nobody-of-that-name", False),
        ("?why=silent", True),
        ("?why=red-flag", False),
        ("?stage=First", True),
        ("?stage=Second", False),
        ("?sort=name", True),
        ("?sort=silence", True),
        ("?page=99", True),
        ("?page=x&sort=y&why=%00", False),
    ],
)
def test_search_filter_sort_and_page(cast, sign_in, query: str, found: bool):
    """What a person may type into the address never breaks the page."""
    page = words(sign_in("coach"), query)
    assert (cast.household.clients.get().name in page) is found
    assert found or "No client fits" in page


def test_a_coach_without_clients_is_shown_the_first_step(cast, sign_in):
    Household.objects.filter(coach=cast.coach).delete()
    page = words(sign_in("coach"))
    assert "No clients yet" in page
    assert "/clients/new/" in page


def test_five_hundred_clients_take_as_many_queries_as_five(cast, sign_in):
    browser = sign_in("coach")
    counts = []
    for clients in (5, 495):
        fill_board(cast, cast.coach, clients=clients, days=2)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            page = words(browser)
        counts.append(len(queries))
        assert "of " in page
    assert counts[0] == counts[1]
    assert counts[0] <= 14
