"""Locks, waiting changes, working them out and deciding, with the real planner on a small book."""

from datetime import date, timedelta

import pytest

from clients.domain.revising import Change, Kind, dish_at, dishes_at
from clients.models import Household, Week
from clients.selectors.revising import changes_of, locks_of, revision_under_way, standing_of
from clients.selectors.shopping import shopping_page, weeks_to_shop
from clients.selectors.weeks import weeks_of
from clients.services.revised_briefs import revised_brief
from clients.services.revising import (
    week_accept,
    week_change,
    week_change_end,
    week_change_take_back,
    week_go_back,
    week_lock,
    week_put_aside,
    week_revise,
)
from clients.services.weeks import no_week_of, planned_week, standing_week, week_ask, week_plan, week_values
from coaching.domain.errors import Refused
from coaching.outbox.models import OwedWork
from coaching.outbox.services import MOST_ATTEMPTS, pump
from coaching.practice.models import AuditEntry
from plans.domain.vocabulary import Slot
from tests.factories import NOON

MONDAY = date(2026, 6, 15)
LATER = NOON + timedelta(hours=1)
THIRD_DAY = NOON + timedelta(days=7)
"""A Wednesday: two days of the week are eaten."""
MON, TUE, WED, SAT = ((day, Slot.EVENING) for day in (0, 1, 2, 5))


@pytest.fixture
def week(standing_week_row) -> Week:
    return standing_week_row


def fresh(week: Week) -> Week:
    return Week.objects.select_related("household__practice", "basis").get(pk=week.pk)


def answered(week: Week, cast, *asked: Change) -> Week:
    """A revision that was worked out without finding anything to change: enough where the plan is not the point."""
    for change in asked:
        ask(week, cast, change)
    row = week_revise(week=fresh(week), by=cast.coach, at=LATER)
    Week.objects.filter(pk=row.pk).update(state=Week.State.OFFERED, brief=week.brief, plan=week.plan)
    return fresh(row)


def ask(week: Week, cast, change: Change, at=LATER) -> None:
    week_change(week=week, change=change, by=cast.coach, at=at)


def lock(week: Week, cast, meal, *, locked: bool = True, at=LATER) -> None:
    week_lock(week=week, meal=meal, locked=locked, by=cast.coach, at=at)


def revised(week: Week, cast, *asked: Change, at=LATER) -> Week:
    """The answer to some changes, planned."""
    for change in asked:
        ask(week, cast, change, at)
    row = week_revise(week=week, by=cast.coach, at=at)
    week_plan(week_id=row.pk, at=at)
    return fresh(row)


def unlike(week: Week, meal) -> tuple:
    """Another evening with another dish, and the two dishes."""
    plan, _ = week_values(week)
    here = dish_at(plan, meal)
    other = next(
        (day, Slot.EVENING)
        for day in range(6, -1, -1)
        if dish_at(plan, (day, Slot.EVENING)) not in (None, here)
    )
    return other, here, dish_at(plan, other)


def refusal(call) -> str:
    with pytest.raises(Refused) as refused:
        call()
    return " ".join(f"{one.message} {one.fix}" for one in refused.value.problems)


def test_an_exchange_is_offered_accepted_and_then_stands(week, cast):
    other, here, there = unlike(week, MON)
    offered = revised(week, cast, Change(Kind.EXCHANGE, meal=MON, other=other))
    assert (offered.state, standing_of(week.household, MONDAY)) == (Week.State.OFFERED, week.pk)
    plan, brief = week_values(offered)
    assert (dish_at(plan, MON), dish_at(plan, other)) == (there, here)
    assert brief.revision.shown == week_values(week)[0]
    week_accept(week=offered, by=cast.coach, at=LATER)
    assert standing_of(week.household, MONDAY) == offered.pk
    assert fresh(offered).waiting == fresh(week).waiting == []
    actions = set(AuditEntry.objects.values_list("action", flat=True))
    assert {"week change asked for", "week revision asked for", "week revision accepted"} <= actions


def test_an_offered_week_counts_nowhere_until_it_is_accepted_and_a_dropped_one_never(week, cast):
    offered = answered(week, cast, Change(Kind.AWAY, meal=TUE))
    home = week.household
    assert [row.pk for row in weeks_to_shop(home, MONDAY)] == [week.pk]
    assert shopping_page(home, MONDAY, today=MONDAY).week == week.pk
    assert standing_week(household=home, start=MONDAY, at=LATER).pk == week.pk
    assert planned_week(household=home, start=MONDAY, at=LATER).pk == week.pk
    week_put_aside(week=offered, keeps_changes=True, by=cast.coach, at=LATER)
    assert shopping_page(home, MONDAY, today=MONDAY).week == week.pk
    assert fresh(offered).state == Week.State.DROPPED
    assert [row.pk for row in weeks_of(home)] == [week.pk]


def test_a_fresh_week_is_not_answered_with_a_revision_that_is_being_worked_out(week, cast):
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    revision = week_revise(week=week, by=cast.coach, at=LATER)
    asked = week_ask(household=week.household, start=MONDAY, by=cast.coach, at=LATER)
    assert asked.pk != revision.pk
    assert asked.basis is None


def test_locked_meals_keep_their_plates_and_locks_go_on(week, cast):
    before, _ = week_values(week)
    other, here, _there = unlike(week, MON)
    lock(week, cast, other)
    offered = revised(week, cast, Change(Kind.UNWANTED, meal=MON, recipe=here))
    after, _ = week_values(offered)
    assert dish_at(after, MON) != here
    assert dishes_at(after, other) == dishes_at(before, other)
    week_accept(week=offered, by=cast.coach, at=LATER)
    assert locks_of(fresh(offered)) == {other}
    lock(fresh(offered), cast, other, locked=False)
    assert fresh(offered).locks == []


def test_what_is_eaten_stays(week, cast):
    before, _ = week_values(week)
    offered = revised(week, cast, Change(Kind.AWAY, meal=SAT), at=THIRD_DAY)
    after, brief = week_values(offered)
    assert brief.revision.from_day == 2
    for day in (0, 1):
        assert all(dishes_at(after, (day, slot)) == dishes_at(before, (day, slot)) for slot in brief.slots)
    assert dishes_at(after, SAT) == frozenset()


def test_being_out_goes_on_holding_until_it_is_said_to_be_over(week, cast):
    out = Change(Kind.AWAY, meal=TUE)
    first = revised(week, cast, out)
    week_accept(week=first, by=cast.coach, at=LATER)
    first = fresh(first)
    assert changes_of(first.changes) == (out,)
    assert standing_week(household=week.household, start=week.start, at=LATER) == first
    _other, here, _there = unlike(first, SAT)
    second = revised(first, cast, Change(Kind.UNWANTED, meal=SAT, recipe=here))
    assert dishes_at(week_values(second)[0], TUE) == frozenset()
    week_put_aside(week=second, keeps_changes=False, by=cast.coach, at=LATER)
    week_change_end(week=fresh(first), change=out, by=cast.coach, at=LATER)
    third = revised(fresh(first), cast)
    assert dishes_at(week_values(third)[0], TUE) != frozenset()
    assert third.changes == []


def test_a_food_that_is_gone_is_not_cooked_with_from_that_day_on(week, cast):
    offered = revised(week, cast, Change(Kind.GONE_FOOD, food="parsnip", day=2))
    plan, brief = week_values(offered)
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    later = [cook for cook in plan.cooks if cook.on >= MONDAY + timedelta(days=2)]
    assert later
    assert not any(line.food == "parsnip" for cook in later for line in recipes[cook.recipe].ingredients)


def test_a_pot_that_is_gone_is_not_eaten_from(week, cast):
    before, _ = week_values(week)
    pot = next(plate.cook for plate in before.plates if plate.source == "kept" and plate.slot != Slot.MUG)
    day = min((one.on - MONDAY).days for one in before.plates if one.cook == pot and one.source == "kept")
    offered = revised(week, cast, Change(Kind.GONE_COOK, cook=pot, day=day))
    after, _ = week_values(offered)
    assert not any(one.cook == pot and one.on >= MONDAY + timedelta(days=day) for one in after.plates)


def test_working_out_twice_is_once_and_a_later_wish_takes_its_place(week, cast):
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    first = week_revise(week=fresh(week), by=cast.coach, at=LATER)
    assert week_revise(week=fresh(week), by=cast.coach, at=LATER).pk == first.pk
    assert OwedWork.objects.filter(kind="plan-week").count() == 1
    ask(fresh(week), cast, Change(Kind.AWAY, meal=WED))
    second = week_revise(week=fresh(week), by=cast.coach, at=LATER)
    assert fresh(first).state == Week.State.DROPPED
    assert week_plan(week_id=first.pk, at=LATER) == Week.State.DROPPED
    assert revision_under_way(week).pk == second.pk


def test_what_was_asked_for_while_it_was_worked_out_waits_on(week, cast):
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    row = answered(week, cast)
    more = Change(Kind.AWAY, meal=WED)
    ask(fresh(week), cast, more)
    week_accept(week=fresh(row), by=cast.coach, at=LATER)
    assert changes_of(fresh(row).waiting) == (more,)


def test_keeping_the_old_week_forgets_what_was_asked_or_keeps_it(week, cast):
    out = Change(Kind.AWAY, meal=TUE)
    offered = answered(week, cast, out)
    week_put_aside(week=offered, keeps_changes=True, by=cast.coach, at=LATER)
    assert changes_of(fresh(week).waiting) == (out,)
    offered = answered(fresh(week), cast)
    week_put_aside(week=offered, keeps_changes=False, by=cast.coach, at=LATER)
    assert fresh(week).waiting == []
    assert week_values(fresh(week)) == week_values(week)


def test_an_accepted_change_can_be_undone(week, cast):
    offered = answered(week, cast, Change(Kind.AWAY, meal=TUE))
    week_accept(week=offered, by=cast.coach, at=LATER)
    assert week_go_back(week=fresh(offered), by=cast.coach, at=LATER).pk == week.pk
    assert standing_of(week.household, MONDAY) == week.pk
    said = refusal(lambda: week_go_back(week=fresh(week), by=cast.coach, at=LATER))
    assert "no earlier week" in said


def test_a_week_that_was_replaced_meanwhile_cannot_be_accepted_changed_or_locked(week, cast):
    offered = answered(week, cast, Change(Kind.AWAY, meal=TUE))
    newer = week_ask(household=week.household, start=MONDAY, by=cast.coach, at=LATER + timedelta(hours=1))
    week_plan(week_id=newer.pk, at=LATER)
    for call in (
        lambda: week_accept(week=offered, by=cast.coach, at=LATER),
        lambda: ask(week, cast, Change(Kind.AWAY, meal=WED)),
        lambda: lock(week, cast, WED),
        lambda: week_revise(week=week, by=cast.coach, at=LATER),
    ):
        assert "Another week stands in its place" in refusal(call)
    assert fresh(offered).state == Week.State.OFFERED
    assert standing_of(week.household, MONDAY) == newer.pk


def test_of_two_coaches_the_first_decides(week, cast):
    offered = answered(week, cast, Change(Kind.AWAY, meal=TUE))
    week_accept(week=offered, by=cast.coach, at=LATER)
    for call in (
        lambda: week_accept(week=offered, by=cast.owner, at=LATER),
        lambda: week_put_aside(week=offered, keeps_changes=False, by=cast.owner, at=LATER),
    ):
        assert "decided already" in refusal(call)
    assert standing_of(week.household, MONDAY) == offered.pk


def test_two_coaches_wishes_both_wait(week, cast):
    """Each has the page as it was before the other asked."""
    seen_by_the_owner = fresh(week)
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    week_change(week=seen_by_the_owner, change=Change(Kind.AWAY, meal=WED), by=cast.owner, at=LATER)
    assert len(fresh(week).waiting) == 2


def test_a_meal_locked_since_that_would_change_holds_acceptance_up(week, cast):
    other, _here, _there = unlike(week, MON)
    offered = revised(week, cast, Change(Kind.EXCHANGE, meal=MON, other=other))
    Week.objects.filter(pk=week.pk).update(locks=[[MON[0], MON[1].value]])
    said = refusal(lambda: week_accept(week=offered, by=cast.coach, at=LATER))
    assert "Monday evening was locked since, and here it changes." in said
    assert fresh(offered).state == Week.State.OFFERED


def test_a_lock_and_a_waiting_change_of_one_meal_exclude_each_other(week, cast):
    lock(week, cast, MON)
    said = refusal(lambda: ask(week, cast, Change(Kind.AWAY, meal=MON)))
    assert said.strip() == "Monday evening is locked. Unlock it first, then ask again."
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    assert "A change of Tuesday evening is waiting." in refusal(lambda: lock(week, cast, TUE))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Change(Kind.AWAY, meal=(9, Slot.EVENING)), "no such meal"),
        (Change(Kind.AWAY, meal=MON), "Monday evening has been eaten already"),
        (Change(Kind.AWAY, meal=SAT, eaters=("somebody",)), "does not eat in this week"),
        (Change(Kind.WANTED, meal=SAT, recipe="a-foreign-dish"), "not in this week’s book"),
        (Change(Kind.WANTED, meal=SAT, recipe="carrot-porridge"), "not made for that time"),
        (Change(Kind.UNWANTED, meal=SAT, recipe="a-foreign-dish"), "not in this week’s book"),
        (Change(Kind.EXCHANGE, meal=SAT, other=SAT), "the same meal twice"),
        (Change(Kind.EXCHANGE, meal=SAT, other=(3, Slot.BREAKFAST)), "not made for that time"),
        (Change(Kind.EXCHANGE, meal=SAT, other=MON), "has been eaten already"),
        (Change(Kind.GONE_FOOD, food="caviar", day=3), "one of the foods of this week"),
        (Change(Kind.GONE_FOOD, food="carrot", day=0), "a day of this week from today on"),
        (Change(Kind.GONE_FOOD, food="carrot", day=7), "a day of this week from today on"),
        (Change(Kind.GONE_COOK, cook="no-pot", day=3), "one of the pots of this week"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(week, cast, change, said):
    assert said in refusal(lambda: ask(week, cast, change, THIRD_DAY))
    assert fresh(week).waiting == []


def test_a_lock_on_an_eaten_or_a_foreign_meal_is_refused(week, cast):
    assert "eaten already" in refusal(lambda: lock(week, cast, MON, at=THIRD_DAY))
    assert "no such meal" in refusal(lambda: lock(week, cast, (11, Slot.EVENING)))
    assert fresh(week).locks == []


def test_asking_without_a_change_for_a_week_that_is_over_or_a_blocked_household_is_refused(week, cast):
    assert "No change is waiting." in refusal(lambda: week_revise(week=week, by=cast.coach, at=LATER))
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    after = NOON + timedelta(days=30)
    assert "This week is over." in refusal(lambda: week_revise(week=week, by=cast.coach, at=after))
    Household.objects.get(pk=week.household_id).clients.get().consents.all().delete()
    assert "agreed" in refusal(lambda: week_revise(week=week, by=cast.coach, at=LATER))
    assert Week.objects.count() == 1


def test_changes_are_taken_back_one_by_one_or_all_at_once(week, cast):
    out, more = Change(Kind.AWAY, meal=TUE), Change(Kind.AWAY, meal=WED)
    ask(week, cast, out)
    ask(week, cast, more)
    for _again in range(2):
        week_change_take_back(week=week, change=out, by=cast.coach, at=LATER)
        assert changes_of(fresh(week).waiting) == (more,)
    week_change_take_back(week=week, change=None, by=cast.coach, at=LATER)
    assert fresh(week).waiting == []


def test_no_week_for_a_revision_keeps_the_week_and_what_was_asked(week, cast):
    lock(week, cast, SAT)
    row = revised(week, cast, Change(Kind.GONE_FOOD, food="chicken-thigh", day=0))
    assert row.state == Week.State.NONE
    assert "unlock-meal" in {reason.code for reason in no_week_of(row).relaxations}
    assert standing_of(week.household, MONDAY) == week.pk
    assert len(fresh(week).waiting) == 1
    week_put_aside(week=row, keeps_changes=False, by=cast.coach, at=LATER)
    assert fresh(week).waiting == []


def test_planning_that_breaks_off_again_and_again_is_said_and_the_week_stands(week, cast, monkeypatch):
    ask(week, cast, Change(Kind.AWAY, meal=TUE))
    row = week_revise(week=week, by=cast.coach, at=LATER)

    def broken(brief):
        raise RuntimeError("out of paper")

    monkeypatch.setattr("clients.services.weeks._planned", broken)
    for attempt in range(MOST_ATTEMPTS):
        pump(limit=None, now=LATER + timedelta(days=1 + attempt))
    assert fresh(row).state == Week.State.NONE
    assert standing_of(week.household, MONDAY) == week.pk


def test_a_revision_asks_for_the_household_as_it_is_now_and_still_knows_what_left_the_book(week, cast):
    plan, _ = week_values(week)
    gone = dish_at(plan, MON)
    cast.practice.recipes.filter(key=gone).delete()
    kitchen = week.household
    kitchen.kitchen = kitchen.kitchen | {"jars": 99}
    kitchen.save(update_fields=["kitchen"])
    brief = revised_brief(fresh(week), changes=(), locks=(MON,), at=LATER)
    assert brief.kitchen.jars == 99
    assert gone in {recipe.key for recipe in brief.recipes}
    assert brief.revision.locked == {MON}
    assert brief.revision.from_day == -1
