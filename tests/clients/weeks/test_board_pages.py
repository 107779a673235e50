"""The board on screen: what it shows, every request by form and by the board's own script, and who may."""

import json
from datetime import date, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.urls import reverse

from clients.domain.revising import Change, Kind, change_record, dish_at
from clients.models import Packet, Week
from clients.selectors.revising import standing_of
from clients.services.revising import week_change, week_lock, week_revise
from clients.services.weeks import week_plan, week_values
from coaching.outbox.services import pump
from plans.domain.brief import NoWeek, Reason
from plans.domain.brief_json import no_week_record
from plans.domain.vocabulary import Slot
from tests.factories import NOON, EaterFactory, EnrolmentFactory

MONDAY = date(2026, 6, 15)
MON, TUE, SAT = ((day, Slot.EVENING) for day in (0, 1, 5))
HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def week(standing_week_row) -> Week:
    return standing_week_row


@pytest.fixture
def browser(sign_in, week):
    return sign_in("coach")


def url(name: str, week: Week, *more: str) -> str:
    return reverse(name, args=[week.pk, *more])


def page(browser, name: str, week: Week, *more: str) -> str:
    response = browser.get(url(name, week, *more))
    assert response.status_code == 200
    return response.content.decode()


def waiting(week: Week) -> list[dict]:
    return Week.objects.get(pk=week.pk).waiting


def offered_from(week: Week, cast, **fields) -> Week:
    """A revision that was worked out; ``fields`` say otherwise."""
    week_change(week=week, change=Change(Kind.AWAY, meal=TUE), by=cast.coach, at=NOON)
    row = week_revise(week=week, by=cast.coach, at=NOON)
    found = {"state": Week.State.OFFERED, "brief": week.brief, "plan": week.plan} | fields
    Week.objects.filter(pk=row.pk).update(**found)
    return Week.objects.get(pk=row.pk)


def test_the_board_ties_plates_to_pots_and_says_minutes_and_reasons(browser, week):
    said = page(browser, "week", week)
    plan, brief = week_values(week)
    assert said.count('role="row"') == 1 + 7
    assert said.count("Pot </span>A</span>") >= 2
    assert "Feeds everyone" in said
    on_monday = [cook for cook in plan.cooks if cook.on == MONDAY]
    used = 10 * len(on_monday)
    assert f"{used} of {brief.kitchen.hands_on_min[0]} min" in said
    assert "Lock Monday evening" in said
    assert "Monday evening: change" in said
    assert "How good this plan is" in said
    assert "is waiting" not in said


def test_eaten_days_have_no_buttons_and_a_week_that_is_over_none_at_all(sign_in, week):
    with time_machine.travel(NOON + timedelta(days=7), tick=False):
        said = page(sign_in("coach"), "week", week)
    assert "Lock Monday evening" not in said
    assert "Lock Wednesday evening" in said
    assert said.count(", eaten") == 2
    with time_machine.travel(NOON + timedelta(days=20), tick=False):
        said = page(sign_in("coach"), "week", week)
    assert "This week is over" in said
    assert "Lock Sunday evening" not in said


def test_a_meal_is_locked_and_unlocked_by_form_and_by_script(browser, week):
    response = browser.post(url("week_lock", week), {"lock": "1-evening"})
    assert response["Location"] == url("week", week) + "#meal-1-evening"
    assert Week.objects.get(pk=week.pk).locks == [[1, "evening"]]
    assert 'aria-pressed="true"' in page(browser, "week", week)
    board = browser.post(url("week_lock", week), {"unlock": "1-evening"}, **HTMX).content.decode()
    assert "<html" not in board
    assert board.lstrip().startswith('<div id="week-board"')
    assert Week.objects.get(pk=week.pk).locks == []


@pytest.mark.parametrize("typed", [{}, {"lock": "9-evening"}, {"lock": "soon"}, {"unlock": ""}])
def test_a_lock_on_no_meal_is_told(browser, week, typed):
    response = browser.post(url("week_lock", week), typed, follow=True)
    assert "This week has no such meal." in response.content.decode()
    assert (
        "This week has no such meal." in browser.post(url("week_lock", week), typed, **HTMX).content.decode()
    )
    assert Week.objects.get(pk=week.pk).locks == []


def test_a_meals_page_offers_other_dishes_with_what_they_mean(browser, week):
    said = page(browser, "week_meal", week, "1-evening")
    assert "Something else here" in said
    assert "We are out" in said
    assert "on Tuesday" in said
    panel = browser.get(url("week_meal", week, "1-evening"), **HTMX).content.decode()
    assert "<html" not in panel
    assert "Leave it as it is" in panel


def test_each_request_of_a_meal_waits_on_the_board(browser, week):
    plan, _ = week_values(week)
    here = dish_at(plan, TUE)
    meal = url("week_meal", week, "1-evening")
    offered = next(key for key in ("carrot-soup", "parsnip-soup", "carrot-stew") if key != here)
    eater = str(week.household.eaters.get().pk)
    for typed, record in (
        ({"do": "other", "other-recipe": offered}, {"kind": "wanted", "recipe": offered}),
        ({"do": "not", "not-recipe": here}, {"kind": "unwanted", "recipe": here}),
        ({"do": "out", "out-eaters": [eater]}, {"kind": "away"}),
    ):
        response = browser.post(meal, typed)
        assert response["Location"] == url("week", week) + "#meal-1-evening", typed
        assert {"meal": [1, "evening"], **record} == waiting(week)[-1]
    assert "1 change is waiting" in page(browser, "week", week)
    assert "Tuesday evening: everyone is out" in page(browser, "week", week)


def test_two_meals_change_places_by_form_and_by_drag(browser, week):
    plan, _ = week_values(week)
    other = next(day for day in range(6, 1, -1) if dish_at(plan, (day, Slot.EVENING)) != dish_at(plan, TUE))
    typed = {"do": "exchange", "exchange-other": f"{other}-evening"}
    assert browser.post(url("week_meal", week, "1-evening"), typed).status_code == 302
    (record,) = waiting(week)
    assert (record["kind"], record["other"]) == ("exchange", [other, "evening"])
    board = browser.post(
        url("week_exchange", week), {"meal": f"{other}-evening", "other": "1-evening"}, **HTMX
    ).content.decode()
    assert board.count("Changes places with") == 2
    assert len(waiting(week)) == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"do": "other"}, "Choose a dish."),
        ({"do": "other", "other-recipe": "a-foreign-dish"}, "That dish does not suit this meal any more."),
        ({"do": "out"}, "Tick at least one person."),
        ({"do": "out", "out-eaters": ["somebody"]}, "does not eat in this week"),
        ({"do": "exchange", "exchange-other": "1-evening"}, "not eaten and not locked"),
        ({"do": "not", "not-recipe": "a-foreign-dish"}, "Choose one of these dishes."),
    ],
)
def test_what_was_chosen_wrongly_is_told_and_changes_nothing(browser, week, typed, said):
    response = browser.post(url("week_meal", week, "1-evening"), typed)
    assert response.status_code == 200
    assert said in response.content.decode()
    assert waiting(week) == []


def test_a_form_that_has_grown_stale_keeps_what_was_chosen(browser, week, cast):
    """The week was planned anew in another window between looking and sending."""
    newer = Week.objects.create(
        household=week.household,
        start=MONDAY,
        state=Week.State.PLANNED,
        brief=week.brief,
        plan=week.plan,
        asked_at=NOON + timedelta(hours=1),
    )
    plan, _ = week_values(week)
    dish = next(key for key in ("carrot-soup", "parsnip-soup") if key != dish_at(plan, TUE))
    response = browser.post(url("week_meal", week, "1-evening"), {"do": "other", "other-recipe": dish})
    said = response.content.decode()
    assert "Another week stands in its place" in said
    assert f'value="{dish}"' in said
    assert "checked" in said
    assert waiting(week) == waiting(newer) == []
    board = page(browser, "week", week)
    assert "This is how the week was planned once." in board
    assert url("week", newer) in board
    assert "Lock Monday evening" not in board


def test_a_locked_or_eaten_meal_says_so_and_an_unknown_one_is_no_page(browser, week, cast):
    week_lock(week=week, meal=TUE, locked=True, by=cast.coach, at=NOON)
    assert "This meal is locked" in page(browser, "week_meal", week, "1-evening")
    refused = browser.post(url("week_meal", week, "1-evening"), {"do": "out"})
    assert "This meal is locked" in refused.content.decode()
    with time_machine.travel(NOON + timedelta(days=7), tick=False):
        assert "eaten already" in page(browser, "week_meal", week, "0-evening")
    for meal in ("7-evening", "soon", "0-supper"):
        assert browser.get(url("week_meal", week, meal)).status_code == 404


def test_a_food_or_a_pot_has_gone_off(browser, week):
    said = page(browser, "week_gone", week)
    assert "Foods of this week" in said
    assert "Chicken thigh" in said
    plan, _ = week_values(week)
    pot = plan.cooks[0].key
    for what, record in (
        ("food:carrot", {"kind": "gone-food", "food": "carrot", "day": 2}),
        (f"pot:{pot}", {"kind": "gone-cook", "cook": pot, "day": 2}),
    ):
        response = browser.post(url("week_gone", week), {"what": what, "day": "2"})
        assert response["Location"] == url("week", week) + "#changes"
        assert waiting(week)[-1] == record


@pytest.mark.parametrize(
    "typed",
    [
        {},
        {"what": "food:caviar", "day": "2"},
        {"what": "food:carrot", "day": "9"},
        {"what": "food:carrot", "day": "x"},
    ],
)
def test_what_cannot_have_gone_off_is_told_and_the_rest_kept(browser, week, typed):
    response = browser.post(url("week_gone", week), typed)
    said = response.content.decode()
    assert response.status_code == 200
    assert "Please look at this again" in said
    if typed.get("what") == "food:carrot":
        assert '<option value="food:carrot" selected' in said
    assert waiting(week) == []


def test_changes_are_taken_back_from_the_list(browser, week, cast):
    changes = [Change(Kind.AWAY, meal=TUE), Change(Kind.AWAY, meal=SAT)]
    for change in changes:
        week_change(week=week, change=change, by=cast.coach, at=NOON)
    token = json.dumps(change_record(changes[0]))
    browser.post(url("week_changes", week), {"take_back": token})
    assert waiting(week) == [change_record(changes[1])]
    browser.post(url("week_changes", week), {"all": "1"})
    assert waiting(week) == []


@pytest.mark.parametrize(
    "token", ["", "{", "[]", "null", '{"kind": "party"}', '{"kind": "away", "meal": 3}', "[" * 5000]
)
@pytest.mark.parametrize("do", ["take_back", "end"])
def test_a_change_nobody_asked_for_is_told(browser, week, do, token):
    response = browser.post(url("week_changes", week), {do: token}, follow=True)
    assert response.status_code == 200
    assert "That change is not asked for any more." in response.content.decode()


def test_from_the_wish_to_the_accepted_week_with_the_worker(browser, week):
    """The whole way with the real planner: the page stays, says it waits, then offers, and accepting makes it stand."""
    eater = str(week.household.eaters.get().pk)
    browser.post(url("week_meal", week, "1-evening"), {"do": "out", "out-eaters": [eater]})
    browser.post(url("week_revise", week))
    board = page(browser, "week", week)
    assert "Working the week out again…" in board
    assert f'hx-get="{url("week_status", week)}"' in board
    assert "Lock Monday evening" in board
    revision = Week.objects.get(basis=week)
    assert browser.get(url("week", revision))["Location"] == url("week", week)
    assert browser.get(url("week_status", week), **HTMX).status_code == 204
    assert pump(limit=1, now=NOON + timedelta(minutes=1)).done == 1
    status = browser.get(url("week_status", week), **HTMX).content.decode()
    assert status.lstrip().startswith('<section class="week-changes')
    assert "A changed week is ready." in status
    assert "Work the week out again" not in status
    assert "hx-get" not in status
    assert browser.get(url("week_status", revision), **HTMX)["HX-Refresh"] == "true"
    assert browser.get(url("week_status", week))["Location"] == url("week", week)
    offer = page(browser, "week", revision)
    assert "What changes" in offer
    assert "Tuesday evening" in offer
    assert "nothing, out" in offer
    assert "Asked for: Tuesday evening: everyone is out" in offer
    browser.post(url("week_decide", revision), {"do": "accept"})
    assert standing_of(week.household, MONDAY) == revision.pk
    board = page(browser, "week", revision)
    assert "What holds for this week" in board
    assert "Undo the last change" in board
    browser.post(url("week_go_back", revision))
    assert standing_of(week.household, MONDAY) == week.pk


def test_accepting_says_that_a_packet_shows_the_week_as_it_was(browser, week, cast):
    Packet.objects.create(
        household=week.household, start=MONDAY, paper="a4", state=Packet.State.READY, asked_at=NOON
    )
    response = browser.post(url("week_decide", offered_from(week, cast)), {"do": "accept"}, follow=True)
    assert "A packet made before shows the week as it was." in response.content.decode()


@pytest.mark.parametrize(("do", "kept"), [("keep", 0), ("ask-again", 1)])
def test_an_offer_is_declined(browser, week, cast, do, kept):
    offered = offered_from(week, cast)
    assert "Nothing: the week as it stands does all that already." in page(browser, "week", offered)
    response = browser.post(url("week_decide", offered), {"do": do})
    assert response["Location"] == url("week", week)
    assert len(waiting(week)) == kept
    assert "put aside" in page(browser, "week", offered)


def test_an_offer_that_was_overtaken_says_so(browser, week, cast):
    offered = offered_from(week, cast)
    Week.objects.create(
        household=week.household,
        start=MONDAY,
        state=Week.State.PLANNED,
        asked_at=NOON + timedelta(hours=1),
    )
    said = page(browser, "week", offered)
    assert "can no longer be accepted" in said
    assert "Accept the changed week" not in said
    response = browser.post(url("week_decide", offered), {"do": "accept"}, follow=True)
    assert "Another week stands in its place" in response.content.decode()


def test_no_week_says_what_would_help_and_does_it_at_a_press(browser, week, cast):
    facts = {"slot": "evening", "on": "2026-06-16", "dish": "Carrot soup"}
    answer = NoWeek(
        (Reason("none-found", {}),),
        (
            Reason("unlock-meal", facts),
            Reason("drop-wish", facts),
            Reason("more-minutes", {"on": "2026-06-16", "minutes": 5}),
        ),
    )
    none = offered_from(week, cast, state=Week.State.NONE, plan=no_week_record(answer))
    assert "No week came of it." in page(browser, "week", week)
    assert "Work the week out again" in page(browser, "week", week)
    said = page(browser, "week", none)
    assert "what you asked for is kept" in said
    assert "Tuesday evening: everyone is out" in said
    assert 'name="unlock" value="1-evening"' in said
    assert 'name="take_back"' in said
    assert reverse("kitchen_edit", args=[week.household_id]) in said
    assert url("week", week) in said


@pytest.mark.parametrize("role", ["assistant", "other_coach", "foreign_coach", "client"])
def test_nobody_else_changes_a_week(week, sign_in, role):
    browser = sign_in(role)
    for name in (
        "week_lock",
        "week_exchange",
        "week_gone",
        "week_changes",
        "week_revise",
        "week_decide",
        "week_go_back",
    ):
        assert browser.post(url(name, week), {"lock": "1-evening", "do": "accept"}).status_code == 404
    assert browser.post(url("week_meal", week, "1-evening"), {"do": "out"}).status_code == 404
    assert browser.get(url("week_status", week)).status_code == 404
    assert Week.objects.get(pk=week.pk).locks == []


def test_a_week_that_is_not_there_is_no_page(browser):
    assert browser.post(reverse("week_lock", args=[uuid4()]), {"lock": "1-evening"}).status_code == 404


@pytest.mark.parametrize("more", [0, 4])
def test_the_boards_queries_do_not_grow(kitchen, cast, sign_in, noon, more, django_assert_num_queries):
    for number in range(more):
        eater = EaterFactory(household=kitchen, name=f"Eater {number}", position=number + 1)
        EnrolmentFactory(eater=eater, version=cast.version)
    row = Week.objects.create(household=kitchen, start=MONDAY, asked_at=NOON)
    week_plan(week_id=row.pk, at=NOON)
    for day in range(1 + more):
        week_lock(week=row, meal=(day, Slot.MIDDAY), locked=True, by=cast.coach, at=NOON)
        week_change(week=row, change=Change(Kind.AWAY, meal=(day, Slot.EVENING)), by=cast.coach, at=NOON)
    browser = sign_in("coach")
    browser.get(url("week", row))
    # Session, user, member with the practice; the week; the zone, the standing week, the revision under way.
    with django_assert_num_queries(7):
        browser.get(url("week", row))
