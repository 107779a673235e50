"""The pages on weeks: asking, waiting, reading, and who may."""

from datetime import date

import pytest
from django.urls import reverse

from clients.models import Week
from clients.services.weeks import week_plan
from tests.factories import NOON

MONDAY = date(2026, 6, 15)
HTMX = {"HTTP_HX_REQUEST": "true"}


def list_url(household) -> str:
    return reverse("weeks", args=[household.pk])


def make_weeks(household, count: int) -> None:
    for _ in range(count):
        Week.objects.create(household=household, start=MONDAY, state=Week.State.NONE, asked_at=NOON)


@pytest.fixture
def planned(kitchen) -> Week:
    """A planned week of the coach's household."""
    week = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    return Week.objects.get(pk=week.pk)


def test_the_form_proposes_next_monday(kitchen, sign_in):
    page = sign_in("coach").get(list_url(kitchen)).content.decode()
    assert 'value="2026-06-15"' in page


def test_before_day_one_the_form_proposes_it(kitchen, sign_in):
    day_one = date(2026, 6, 18)
    kitchen.eaters.get().enrolments.update(start_on=day_one)
    assert 'value="2026-06-18"' in sign_in("coach").get(list_url(kitchen)).content.decode()


def test_asking_leads_to_the_week_which_waits(kitchen, sign_in):
    browser = sign_in("coach")
    response = browser.post(list_url(kitchen), {"start": "2026-06-15"})
    week = Week.objects.get()
    assert response["Location"] == reverse("week", args=[week.pk])
    page = browser.get(response["Location"]).content.decode()
    assert "Planning the week…" in page
    assert f'hx-get="{response["Location"]}"' in page


@pytest.mark.parametrize("typed", ["", "soon", "2020-01-01", "2031-01-01"])
def test_a_day_out_of_reach_is_told_kept_and_not_asked_for(kitchen, sign_in, typed):
    response = sign_in("coach").post(list_url(kitchen), {"start": typed})
    page = response.content.decode()
    assert response.status_code == 200
    assert "Please look at this again" in page
    assert f'value="{typed}"' in page or not typed
    assert not Week.objects.exists()


def test_what_stands_in_the_way_is_told_and_there_is_no_form(kitchen, sign_in):
    kitchen.clients.get().consents.all().delete()
    browser = sign_in("coach")
    page = browser.get(list_url(kitchen)).content.decode()
    assert "The client has not agreed yet" in page
    assert "Plan the week</button>" not in page
    refused = browser.post(list_url(kitchen), {"start": "2026-06-15"})
    assert refused.status_code == 200
    assert not Week.objects.exists()


def test_a_planned_week_shows_days_dishes_plates_pots_and_reasons(planned, sign_in):
    page = sign_in("coach").get(reverse("week", args=[planned.pk])).content.decode()
    for words in (
        "Monday",
        "15 Jun",
        "At the stove",
        "Minutes",
        "Feeds everyone",
        "How good this plan is",
        "Wanted of it, most wanted first: Use up what is in the house; save time at the stove;",
    ):
        assert words in page
    assert "Chicken stock" in page


def test_no_week_shows_why_and_what_would_help(kitchen, sign_in):
    kitchen.kitchen = kitchen.kitchen | {"hands_on_min": {}}
    kitchen.save(update_fields=["kitchen"])
    week = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
    week_plan(week_id=week.pk, at=NOON)
    page = sign_in("coach").get(reverse("week", args=[week.pk])).content.decode()
    assert "What stands in the way" in page
    assert "has 0 minutes, and the shortest dish for the" in page
    assert "more minutes on Monday 15 June" in page


def test_a_poll_waits_on_and_then_fetches_the_page_anew(kitchen, planned, sign_in):
    browser = sign_in("coach")
    waiting = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
    fragment = browser.get(reverse("week", args=[waiting.pk]), **HTMX)
    assert "<html" not in fragment.content.decode()
    assert "Planning the week…" in fragment.content.decode()
    done = browser.get(reverse("week", args=[planned.pk]), **HTMX)
    assert done["HX-Refresh"] == "true"


@pytest.mark.parametrize("role", ["assistant", "other_coach", "foreign_coach", "client"])
def test_weeks_do_not_exist_for_those_who_may_not_see_them(kitchen, planned, sign_in, role):
    browser = sign_in(role)
    assert browser.get(list_url(kitchen)).status_code == 404
    assert browser.post(list_url(kitchen), {"start": "2026-06-22"}).status_code == 404
    assert browser.get(reverse("week", args=[planned.pk])).status_code == 404
    assert Week.objects.count() == 1


def test_the_list_is_paged_and_its_queries_do_not_grow(kitchen, sign_in, django_assert_num_queries):
    browser = sign_in("coach")
    make_weeks(kitchen, 3)
    browser.get(list_url(kitchen))
    counts = []
    for more in (0, 40):
        make_weeks(kitchen, more)
        with django_assert_num_queries(10) as counted:
            page = browser.get(list_url(kitchen)).content.decode()
        counts.append(len(counted))
    assert "1–25 of 43" in page
    assert counts[0] == counts[1]


def test_the_households_page_has_the_newest_weeks_and_asks_for_the_next(kitchen, planned, sign_in):
    make_weeks(kitchen, 6)
    page = sign_in("coach").get(reverse("household", args=[kitchen.pk])).content.decode()
    assert "All 7 weeks" in page
    assert "Plan the week of 15 June" in page
    assert "Weeks" not in sign_in("assistant").get(reverse("household", args=[kitchen.pk])).content.decode()
