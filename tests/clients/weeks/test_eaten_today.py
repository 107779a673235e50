"""In the middle of a day of the week: what is eaten of it by the household's own clock can be changed no more."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.urls import reverse

from clients.domain.revising import Change, Kind, dish_at, dishes_at
from clients.models import Client, Week
from clients.selectors.revising import past_of, standing_of
from clients.services.revising import week_accept, week_change, week_go_back, week_lock, week_revise
from clients.services.weeks import week_plan, week_values
from coaching.domain.errors import Refused
from plans.domain.eaten import Past
from plans.domain.vocabulary import Slot
from tests.factories import NOON

MONDAY = date(2026, 6, 15)
AT_NINE, AT_FOUR = (datetime(2026, 6, 17, hour, 0, tzinfo=UTC) for hour in (8, 15))
"""Wednesday, on the clocks of the household, which are in Dublin an hour ahead of UTC."""
BREAKFAST, MIDDAY, EVENING = ((2, slot) for slot in (Slot.BREAKFAST, Slot.MIDDAY, Slot.EVENING))


@pytest.fixture
def week(standing_week_row) -> Week:
    return standing_week_row


@pytest.fixture
def at_four(week):
    with time_machine.travel(AT_FOUR, tick=False):
        yield AT_FOUR


@pytest.fixture
def browser(sign_in, week, at_four):
    return sign_in("coach")


def fresh(week: Week) -> Week:
    return Week.objects.select_related("household__practice", "basis").get(pk=week.pk)


def lives_in(week: Week, zone: str) -> None:
    Client.objects.filter(household=week.household).update(time_zone=zone)


def refusal(call) -> str:
    with pytest.raises(Refused) as refused:
        call()
    return " ".join(f"{one.message} {one.fix}" for one in refused.value.problems)


def another_dish(week: Week, meal) -> str:
    """A dish of the book that could be at a meal and is not."""
    plan, brief = week_values(week)
    there = dishes_at(plan, meal)
    return next(one.key for one in brief.recipes if meal[1] in one.slots and one.key not in there)


def said_at(browser, week: Week, typed: dict[str, str | list[str]], meal: str = "2-midday") -> str:
    response = browser.post(reverse("week_meal", args=[week.pk, meal]), typed)
    assert response.status_code == 200
    assert fresh(week).waiting == []
    return response.content.decode()


@pytest.mark.parametrize(
    ("zone", "day", "eaten"),
    [
        ("Europe/Dublin", 2, {Slot.BREAKFAST, Slot.MUG, Slot.MIDDAY}),  # 16:00
        ("America/Los_Angeles", 2, set()),  # 08:00
        ("Asia/Kolkata", 2, {Slot.BREAKFAST, Slot.MUG, Slot.MIDDAY}),  # 20:30
        ("Asia/Tokyo", 3, set()),  # midnight
        ("UTC", 2, {Slot.BREAKFAST, Slot.MUG, Slot.MIDDAY}),  # not set, so as the practice has it
    ],
)
def test_the_households_own_clock_counts(week, zone, day, eaten):
    lives_in(week, zone)
    assert past_of(week.household, MONDAY, AT_FOUR) == Past(day, frozenset(eaten))


def test_a_swap_at_four_leaves_breakfast_and_midday_alone(week, cast):
    before, _ = week_values(week)
    here = dish_at(before, EVENING)
    change = Change(Kind.UNWANTED, meal=EVENING, recipe=here)
    week_change(week=week, change=change, by=cast.coach, at=AT_FOUR)
    row = week_revise(week=fresh(week), by=cast.coach, at=AT_FOUR)
    week_plan(week_id=row.pk, at=AT_FOUR)
    after, brief = week_values(fresh(row))
    assert brief.revision.past == past_of(week.household, MONDAY, AT_FOUR)
    plates = [
        [one for one in plan.plates if ((one.on - MONDAY).days, one.slot) in brief.revision.past]
        for plan in (before, after)
    ]
    assert plates[0] == plates[1]
    assert len(plates[0]) > 2
    assert dish_at(after, EVENING) != here


@pytest.mark.parametrize(
    "change",
    [
        Change(Kind.AWAY, meal=MIDDAY),
        Change(Kind.WANTED, meal=MIDDAY, recipe="carrot-soup"),
        Change(Kind.UNWANTED, meal=MIDDAY, recipe="carrot-soup"),
        Change(Kind.EXCHANGE, meal=EVENING, other=MIDDAY),
    ],
)
def test_a_request_for_a_meal_eaten_today_is_refused_and_nothing_waits(week, cast, change):
    said = refusal(lambda: week_change(week=week, change=change, by=cast.coach, at=AT_FOUR))
    assert said.strip() == "Wednesday midday has been eaten already. Choose a meal that is still to come."
    assert fresh(week).waiting == []
    lives_in(week, "America/Los_Angeles")
    if change.kind is Kind.AWAY:
        week_change(week=week, change=change, by=cast.coach, at=AT_FOUR)
        assert len(fresh(week).waiting) == 1


def test_a_meal_eaten_today_is_not_locked(week, cast):
    lock = {"week": week, "locked": True, "by": cast.coach, "at": AT_FOUR}
    assert "has been eaten already" in refusal(lambda: week_lock(meal=BREAKFAST, **lock))
    week_lock(meal=EVENING, **lock)
    assert fresh(week).locks == [[2, "evening"]]


class TestEatenSince:
    """A change was worked out at nine, and decided on when the meal it changes was eaten."""

    @pytest.fixture
    def offered(self, week, cast) -> Week:
        change = Change(Kind.AWAY, meal=BREAKFAST)
        week_change(week=week, change=change, by=cast.coach, at=AT_NINE)
        row = week_revise(week=fresh(week), by=cast.coach, at=AT_NINE)
        on = (MONDAY + timedelta(days=2)).isoformat()
        plates = [one for one in week.plan["plates"] if (one["on"], one["slot"]) != (on, "breakfast")]
        without = week.plan | {"plates": plates}
        Week.objects.filter(pk=row.pk).update(state=Week.State.OFFERED, brief=week.brief, plan=without)
        return fresh(row)

    def test_it_is_not_accepted_any_more(self, week, cast, offered):
        said = refusal(lambda: week_accept(week=offered, by=cast.coach, at=AT_FOUR))
        assert "Wednesday breakfast has been eaten already, and here it changes." in said
        assert standing_of(week.household, MONDAY) == week.pk
        assert fresh(offered).state == Week.State.OFFERED
        week_accept(week=offered, by=cast.coach, at=AT_NINE)
        assert standing_of(week.household, MONDAY) == offered.pk

    def test_an_accepted_one_is_not_undone_any_more(self, week, cast, offered):
        week_accept(week=offered, by=cast.coach, at=AT_NINE)
        said = refusal(lambda: week_go_back(week=fresh(offered), by=cast.coach, at=AT_FOUR))
        assert "Wednesday breakfast has been eaten already" in said
        assert standing_of(week.household, MONDAY) == offered.pk
        week_go_back(week=fresh(offered), by=cast.coach, at=AT_NINE)
        assert standing_of(week.household, MONDAY) == week.pk


class TestPages:
    def test_the_board_marks_what_is_eaten_of_today(self, browser, week):
        said = browser.get(reverse("week", args=[week.pk])).content.decode()
        _plan, brief = week_values(week)
        eaten_today = [slot for slot in brief.slots if slot is not Slot.EVENING]
        assert said.count('<span class="dish-note">eaten</span>') == len(eaten_today)
        assert said.count(", eaten") == 2
        for slot in eaten_today:
            assert f"Lock Wednesday {slot}" not in said
            assert f'data-meal="2-{slot}"' not in said
        assert "Lock Wednesday evening" in said
        assert 'data-meal="2-evening"' in said

    def test_where_it_is_morning_still_nothing_of_today_is_eaten(self, browser, week):
        lives_in(week, "America/Los_Angeles")
        said = browser.get(reverse("week", args=[week.pk])).content.decode()
        assert '<span class="dish-note">eaten</span>' not in said
        assert "Lock Wednesday midday" in said

    def test_a_meal_that_is_eaten_offers_nothing(self, browser, week):
        said = browser.get(reverse("week_meal", args=[week.pk, "2-midday"])).content.decode()
        assert "This meal has been eaten already" in said
        assert "<button" not in said.partition("<main")[2].partition("</main")[0]
        assert (
            "Something else here"
            in browser.get(reverse("week_meal", args=[week.pk, "2-evening"])).content.decode()
        )

    def test_a_form_sent_too_late_is_refused_and_keeps_what_was_chosen(self, browser, week):
        dish = another_dish(week, MIDDAY)
        said = said_at(browser, week, {"do": "other", "other-recipe": dish})
        assert "Wednesday midday has been eaten already." in said
        assert f'value="{dish}"' in said
        assert "checked" in said
        eater = str(week.household.eaters.get().pk)
        said = said_at(browser, week, {"do": "out", "out-eaters": [eater]})
        assert "Wednesday midday has been eaten already." in said
        assert "Something else here" not in said
        assert 'name="do"' not in said

    def test_an_exchange_with_what_has_been_eaten_since_is_told_and_kept(self, browser, week):
        plan, _ = week_values(week)
        other = next(
            (2, slot) for slot in (Slot.MIDDAY, Slot.BREAKFAST) if dish_at(plan, (2, slot)) is not None
        )
        evening = next(
            f"{day}-evening"
            for day in range(2, 7)
            if dish_at(plan, (day, Slot.EVENING)) not in (None, dish_at(plan, other))
        )
        typed = {"do": "exchange", "exchange-other": f"2-{other[1]}"}
        said = said_at(browser, week, typed, evening)
        assert "Wednesday midday has been eaten already." in said
        assert f'<option value="2-{other[1]}" selected' in said

    def test_dragged_onto_what_is_eaten_it_goes_back(self, browser, week):
        url = reverse("week_exchange", args=[week.pk])
        typed = {"meal": "2-evening", "other": "2-midday"}
        said = browser.post(url, typed, HTTP_HX_REQUEST="true").content.decode()
        assert "Wednesday midday has been eaten already." in said
        assert fresh(week).waiting == []

    def test_what_goes_off_today_can_still_be_said(self, browser, week):
        typed = {"what": "food:carrot", "day": "2"}
        assert browser.post(reverse("week_gone", args=[week.pk]), typed).status_code == 302
        assert fresh(week).waiting == [{"kind": "gone-food", "food": "carrot", "day": 2}]


def test_before_the_week_begins_all_of_it_can_be_changed(week, cast):
    assert past_of(week.household, MONDAY, NOON) == Past(-1)
    change = Change(Kind.AWAY, meal=(0, Slot.BREAKFAST))
    week_change(week=week, change=change, by=cast.coach, at=NOON)
    assert len(fresh(week).waiting) == 1
