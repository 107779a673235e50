"""The client's own pages: today, the check-in and the link that opens only that."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import CheckIn, CheckInLink, Client
from clients.services.links import check_in_link
from coaching.outbox.models import OwedWork
from tests.factories import NOON, TODAY, CheckInFactory, EaterFactory, EnrolmentFactory

pytestmark = pytest.mark.usefixtures("noon")


@pytest.fixture
def eater(cast):
    return cast.household.eaters.get()


def send(browser: Browser, eater, **values) -> object:
    return browser.post(reverse("check_in", args=[eater.pk]), values)


def test_today_shows_the_stage_and_asks_for_the_check_in(cast, sign_in, eater):
    page = sign_in("client").get("/me/").content.decode()
    assert "First, day 9" in page
    assert f"Check in for {eater.name}" in page
    CheckInFactory(eater=eater, on=TODAY)
    assert "Change today" in sign_in("client").get("/me/").content.decode()


def test_a_client_without_a_household_is_told_so(cast, sign_in):
    Client.objects.filter(user=cast.client.user).delete()
    assert sign_in("client").get("/me/").status_code == 404


def test_today_takes_as_many_queries_for_five_eaters_as_for_one(cast, sign_in, eater):
    browser, counts = sign_in("client"), []
    for more in (0, 4):
        for n in range(more):
            EnrolmentFactory(eater=EaterFactory(household=cast.household, name=f"E{n}"), version=cast.version)
        with CaptureQueriesContext(connection) as queries:
            assert browser.get("/me/").status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_check_in_is_kept_as_answered(sign_in, eater):
    response = send(
        sign_in("client"),
        eater,
        **{
            "symptom-bloating": "3",
            "symptom-reflux": "0",
            "stool_form": "6",
            "stool_count": "2",
            "sleep_hours": "7.5",
        },
        foods_tried="pear",
    )
    kept = CheckIn.objects.get()
    assert response["Location"] == reverse("check_in_done", args=[kept.pk])
    assert kept.symptoms == {"bloating": 3, "reflux": 0}
    assert (kept.stool_form, kept.stool_count, kept.by, kept.on) == (6, 2, "client", TODAY)
    assert (str(kept.burden), str(kept.sleep_hours), kept.energy) == ("1.50", "7.5", None)


def test_a_second_one_replaces_the_first_and_shows_it_again(sign_in, eater):
    browser = sign_in("client")
    send(browser, eater, mood="4")
    page = browser.get(reverse("check_in", args=[eater.pk])).content.decode()
    assert "Sending again replaces it" in page
    send(browser, eater, mood="7")
    assert CheckIn.objects.get().mood == 7


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"stool_count": "99", "notes": "Slept badly"},
        {"symptom-bloating": "11", "notes": "Slept badly"},
        {"stool_form": "8", "notes": "Slept badly"},
        {"sleep_hours": "25", "notes": "Slept badly"},
        {"sleep_hours": "seven", "notes": "Slept badly"},
        {"red_flags": "invented", "notes": "Slept badly"},
    ],
)
def test_what_does_not_fit_is_said_and_nothing_typed_is_lost(sign_in, eater, values: dict):
    """Stool form runs from 1 to 7 (Lewis & Heaton 1997), ratings from 0 to 10, a day has 24 hours."""
    response = send(sign_in("client"), eater, **values)
    page = response.content.decode()
    assert response.status_code == 200
    assert "Please look at this again" in page
    assert values.get("notes", "") in page
    assert not CheckIn.objects.exists()


def test_red_flags_answer_at_once_and_call_the_coach(sign_in, eater):
    browser = sign_in("client")
    response = send(browser, eater, red_flags=["blood-in-stool", "swelling-or-breathing"])
    page = browser.get(response["Location"]).content.decode()
    assert "Call 112 now" in page
    assert "Blood in or on the stool" in page
    owed = OwedWork.objects.get()
    assert (owed.kind, owed.payload) == ("tell-coach", {"household": str(eater.household_id)})


def test_a_sign_that_can_wait_a_day_does_not_cry_wolf(sign_in, eater):
    browser = sign_in("client")
    page = browser.get(send(browser, eater, red_flags=["weight-loss"])["Location"]).content.decode()
    assert "appointment with your doctor this week" in page
    assert "tel:112" not in page


def by_link(eater, on=TODAY) -> str:
    return check_in_link(eater=eater, on=on)


def test_the_link_opens_the_form_and_nothing_else(eater):
    page = Browser().get(by_link(eater)).content.decode()
    assert f"Check-in for {eater.name}" in page
    assert "/me/" not in page
    assert "/board/" not in page


def test_the_link_works_once(eater):
    path = by_link(eater)
    assert "Thank you" in Browser().post(path, {"mood": "5"}).content.decode()
    assert CheckIn.objects.get().by == "link"
    assert CheckInLink.objects.get().used_at == NOON
    assert "used up" in Browser().get(path).content.decode()
    assert Browser().post(path, {"mood": "9"}).status_code == 410
    assert CheckIn.objects.get().mood == 5


def test_a_mistake_does_not_use_the_link_up(eater):
    path = by_link(eater)
    assert "Please look" in Browser().post(path, {}).content.decode()
    assert CheckInLink.objects.get().used_at is None


def test_the_link_fills_in_its_own_day(eater):
    Browser().post(by_link(eater, on=TODAY - timedelta(days=1)), {"mood": "5"})
    assert CheckIn.objects.get().on == TODAY - timedelta(days=1)


def test_a_forged_link_opens_nothing(eater):
    path = by_link(eater)
    assert "used up" in Browser().get(path[:-3] + "abc/").content.decode()


def test_another_client_cannot_reach_it(cast, sign_in, eater):
    assert sign_in("other_client").get(reverse("check_in", args=[eater.pk])).status_code == 404
    assert send(sign_in("other_client"), eater, mood="5").status_code == 404
    done = CheckInFactory(eater=eater, on=TODAY)
    assert sign_in("other_client").get(reverse("check_in_done", args=[done.pk])).status_code == 404
