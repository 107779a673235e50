"""Meals eaten elsewhere and the order of wants: saved with a trace, refused with words, kept as ticked."""

import re

import pytest
from django.urls import reverse

from clients.domain.presence import EVERY_MEAL
from clients.models import Eater, Household
from clients.services.presence import presence_change
from clients.services.wants import want_move, wants_as_usual
from coaching.domain.errors import Refused
from coaching.practice.models import AuditEntry
from plans.domain.brief import WANTS
from plans.domain.vocabulary import Slot
from tests.factories import NOON, EaterFactory

ALL = [f"{day}-{slot.value}" for day, slot in EVERY_MEAL]


@pytest.fixture
def eater(cast, noon) -> Eater:
    return cast.household.eaters.get()


def meals_page(eater) -> str:
    return reverse("eater_meals", args=[eater.pk])


def wants_page(household) -> str:
    return reverse("household_wants", args=[household.pk])


def traces(action: str) -> list[dict]:
    return list(AuditEntry.objects.filter(action=action).values_list("facts", flat=True))


def ticked(page: str) -> list[str]:
    boxes = re.findall(r"<input[^>]*type=\"checkbox\"[^>]*>", page)
    return [re.search(r'value="([^"]+)"', box)[1] for box in boxes if " checked" in box]


def test_meals_are_saved_with_a_trace_and_the_same_again_leaves_none(cast, eater):
    away = {("tue", Slot.MIDDAY), ("mon", Slot.EVENING)}
    for _ in range(2):
        presence_change(eater=eater, away=away, by=cast.coach, at=NOON)
    eater.refresh_from_db()
    assert eater.away == [["mon", "evening"], ["tue", "midday"]]
    assert traces("eater changed") == [{"fields": ["away"]}]


def test_everybody_away_from_everything_is_refused(cast, eater):
    with pytest.raises(Refused) as refused:
        presence_change(eater=eater, away=set(EVERY_MEAL), by=cast.coach, at=NOON)
    assert "Nobody of the household" in str(refused.value)
    other = EaterFactory(household=cast.household)
    presence_change(eater=eater, away=set(EVERY_MEAL), by=cast.coach, at=NOON)
    with pytest.raises(Refused):
        presence_change(eater=other, away=set(EVERY_MEAL), by=cast.coach, at=NOON)
    other.refresh_from_db()
    assert other.away == []


def test_a_coach_ticks_meals_and_reads_them_on_the_household(cast, eater, sign_in):
    browser = sign_in("coach")
    days = ("mon", "tue", "wed", "thu", "fri")
    saved = browser.post(meals_page(eater), {"away": [f"{day}-midday" for day in days]}, follow=True)
    page = saved.content.decode()
    assert "The change is saved." in page
    assert "Midday: Monday to Friday" in page
    assert ticked(browser.get(meals_page(eater)).content.decode()) == [f"{day}-midday" for day in days]
    assert "Eats elsewhere" not in browser.post(meals_page(eater), {}, follow=True).content.decode()
    eater.refresh_from_db()
    assert eater.away == []


def test_every_box_says_its_day_and_meal(eater, sign_in):
    page = sign_in("coach").get(meals_page(eater)).content.decode()
    assert page.count('type="checkbox"') == 28
    assert "Wednesday, Evening" in page
    assert page.count('scope="row"') == 7


def test_a_refused_page_keeps_the_ticks_and_changes_nothing(eater, sign_in):
    page = sign_in("coach").post(meals_page(eater), {"away": ALL}).content.decode()
    assert "Nobody of the household would eat anything at home." in page
    assert ticked(page) == ALL
    eater.refresh_from_db()
    assert eater.away == []


def test_a_meal_there_is_not_is_told_and_the_others_stay_ticked(eater, sign_in):
    response = sign_in("coach").post(meals_page(eater), {"away": ["mon-midday", "mon-<lunch>"]})
    page = response.content.decode()
    assert response.status_code == 200
    assert "“mon-&lt;lunch&gt;” is no meal of the week." in page
    assert ticked(page) == ["mon-midday"]
    eater.refresh_from_db()
    assert eater.away == []


def test_a_want_moves_with_a_trace_and_the_usual_order_is_stored_as_nothing(cast, eater):
    household = cast.household
    assert want_move(household=household, want="time", way="up", by=cast.coach, at=NOON)[0] == "time"
    household.refresh_from_db()
    assert household.wants == ["time", "stores", *WANTS[2:]]
    # At the end of the list nothing moves and nothing is traced.
    want_move(household=household, want="time", way="up", by=cast.coach, at=NOON)
    assert traces("household changed") == [{"fields": ["wants"]}]
    want_move(household=household, want="time", way="down", by=cast.coach, at=NOON)
    household.refresh_from_db()
    assert household.wants == []
    assert wants_as_usual(household=household, by=cast.coach, at=NOON) == WANTS
    assert len(traces("household changed")) == 2


def listed(page: str) -> list[str]:
    return re.findall(r'<li id="(\w+)">', page)


def test_a_coach_puts_the_wants_in_order_by_buttons(cast, eater, sign_in):
    browser, page = sign_in("coach"), wants_page(cast.household)
    assert listed(browser.get(page).content.decode()) == list(WANTS)
    moved = browser.post(page, {"step": "leaning-up"}, follow=True).content.decode()
    assert listed(moved)[-2:] == ["leaning", "nourishment"]
    assert "“Follow each leaning” is number 5 now." in moved
    assert re.search(r'value="leaning-up"\s+autofocus', moved)
    # A browser leaves autofocus alone on a page whose address names a place on it: HTML standard, autofocus processing.
    assert "#" not in browser.post(page, {"step": "time-up"})["Location"]
    usual = browser.post(page, {"step": "as-usual"}, follow=True).content.decode()
    assert listed(usual) == list(WANTS)
    assert "This is the usual order." in usual


def test_at_the_top_the_keyboard_goes_to_the_way_down(cast, eater, sign_in):
    page = sign_in("coach").post(wants_page(cast.household), {"step": "time-up"}, follow=True)
    assert re.search(r'value="time-down"\s+autofocus', page.content.decode())
    assert 'value="time-up"' not in page.content.decode()


@pytest.mark.parametrize("step", ["", "thrift-up", "time-sideways"])
def test_a_step_there_is_not_is_told_and_moves_nothing(cast, eater, sign_in, step):
    response = sign_in("coach").post(wants_page(cast.household), {"step": step})
    assert response.status_code == 200
    assert "Nothing was moved." in response.content.decode()
    assert Household.objects.get(pk=cast.household.pk).wants == []


def test_saving_the_kitchen_as_it_is_leaves_no_trace(cast, eater, sign_in):
    """What nobody gives is not written down, so that a household of before stays as it was."""
    browser, household = sign_in("coach"), cast.household
    minutes = {f"min_{day}": "45" for day in ("mon", "tue", "wed", "thu", "fri", "sat", "sun")}
    page = reverse("kitchen_edit", args=[household.pk])
    typed = {"pot_1": "5", "jars": "3", **minutes}
    browser.post(page, typed)
    kept = Household.objects.get(pk=household.pk).kitchen
    assert "at_home_min" not in kept and "out" not in kept
    browser.post(page, typed)
    assert len(traces("household changed")) == 1
    browser.post(page, typed | {"home_mon": "2", "out": ["mon"]})
    kept = Household.objects.get(pk=household.pk).kitchen
    assert (kept["at_home_min"], kept["out"]) == ({"mon": 120}, ["mon"])
    shown = browser.get(reverse("household", args=[household.pk])).content.decode()
    assert "2 h at home" in shown and "out at midday" in shown
