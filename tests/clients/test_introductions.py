"""An introduction under way is said on the household's page, to those who may know."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from clients.models import Household, Introduction
from tests.factories import TODAY, FoodFactory

DAY = timedelta(days=1)
WATCHED = "since 8 June 2026, watched until 14 June 2026"


def introduce(cast, **facts) -> Introduction:
    """Beef liver for the household's eater, begun two days ago and watched for four more."""
    FoodFactory(practice=cast.practice, key="beef-liver")
    asked = {"first_day": TODAY - 2 * DAY, "watch_until": TODAY + 4 * DAY, "form": "boiled + minced"} | facts
    return Introduction.objects.create(eater=cast.household.eaters.get(), food="beef-liver", **asked)


def page_of(browser, household: Household) -> str:
    response = browser.get(reverse("household", args=[household.pk]))
    assert response.status_code == 200
    return response.content.decode()


def test_a_coach_reads_the_food_its_form_and_its_days(cast, noon, sign_in):
    introduce(cast)
    page = page_of(sign_in("coach"), cast.household)
    assert re.search(rf"Being introduced</dt><dd>Beef liver, boiled and minced <span[^>]*>{WATCHED}<", page)


def test_an_assistant_does_not(cast, noon, sign_in):
    introduce(cast)
    page = page_of(sign_in("assistant"), cast.household)
    assert "Beef liver" not in page
    assert WATCHED not in page


def test_one_without_an_outcome_stays_when_its_watch_days_are_over(cast, noon, sign_in):
    introduce(cast, first_day=TODAY - 9 * DAY, watch_until=TODAY - 3 * DAY)
    assert "watched until 7 June 2026" in page_of(sign_in("coach"), cast.household)


@pytest.mark.parametrize(
    "facts", [{"outcome": "tolerated"}, {"outcome": "reacted"}, {"first_day": TODAY + DAY}]
)
def test_one_that_has_an_outcome_or_has_not_begun_is_not_said(cast, noon, sign_in, facts):
    introduce(cast, **facts)
    assert "Being introduced" not in page_of(sign_in("coach"), cast.household)
