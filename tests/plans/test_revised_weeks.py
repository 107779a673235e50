"""Weeks out of the shipped book that are changed by request, held against what was asked by the independent checker."""

from copy import deepcopy
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest

from plans.domain.brief import Brief, Choice, NoWeek, Revision, Week
from plans.domain.brief_json import brief_from_record, brief_record, week_record
from plans.domain.planner.alternatives import alternatives
from plans.domain.planner.revising import A_CHANGE
from plans.domain.planner.solve import plan_week
from plans.domain.planner.solving import Effort
from plans.domain.vocabulary import Slot
from plans.domain.week_changes import PotChangeKind, differences
from tests import checker, checker_revised, shipped

QUICK = Effort(first=0.8, a_round=0.1, rounds=2, splits=2, most=1.0)
TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY = range(1, 6)
MIDDAY, EVENING = "midday", "evening"
AHEAD = -1
"""From the eve on: a week that lies wholly ahead."""


def asked() -> dict[str, Any]:
    """Ana, who follows a protocol, Ivo, who does not, and their child."""
    return shipped.household(
        {
            "ana": shipped.eater(protocol="hearth-five", stages=[(date(2026, 11, 2), "widen")]),
            "ivo": shipped.eater(appetite="1.2"),
            "mia": shipped.eater(born=date(2018, 5, 1), appetite="0.6"),
        }
    )


@cache
def shown() -> Week:
    """The week as it is planned at first."""
    week = plan_week(shipped.brief(asked()), effort=QUICK)
    assert isinstance(week, Week)
    return week


def brief_of(household: dict[str, Any], request: dict[str, Any]) -> Brief:
    """The brief of a request that is written as ``tests.checker_revised`` takes it."""
    plain = shipped.brief(household)
    away = {
        key: frozenset((day, Slot(slot)) for day, slot in facts.get("away", ()))
        for key, facts in household["eaters"].items()
    }
    revision = Revision(
        shown(),
        from_day=request.get("from_day", 0),
        eaten=frozenset(Slot(slot) for slot in request.get("eaten", ())),
        locked=frozenset((day, Slot(slot)) for day, slot in request.get("locked", ())),
        wanted=tuple(Choice((day, Slot(slot)), key) for day, slot, key in request.get("wanted", ())),
        unwanted=tuple(Choice((day, Slot(slot)), key) for day, slot, key in request.get("unwanted", ())),
        gone_foods=request.get("gone_foods", {}),
        gone_cooks=request.get("gone_cooks", {}),
    )
    eaters = tuple(replace(eater, away=away[eater.key]) for eater in plain.eaters)
    return replace(plain, eaters=eaters, revision=revision)


def revised(request: dict[str, Any], household: dict[str, Any] | None = None) -> Week:
    """The week after a request, which the checker finds to be all that was asked."""
    household = household or asked()
    week = plan_week(brief_of(household, request), effort=QUICK)
    assert isinstance(week, Week), week
    found = checker_revised.complaints(week_record(week), week_record(shown()), request, household)
    assert found == []
    return week


def at(week: Week, day: int, slot: str, who: str = "ivo") -> str:
    """The recipe that somebody has at a meal."""
    cooks = {cook.key: cook.recipe for cook in week.cooks}
    on = week.start + timedelta(days=day)
    return next(
        cooks[plate.cook]
        for plate in week.plates
        if (plate.on, plate.slot.value, plate.eater) == (on, slot, who)
    )


def meals_changed(week: Week) -> set[tuple[int, str]]:
    found = differences(shown(), week, shipped.brief(asked())).meals
    return {((meal.on - week.start).days, meal.slot.value) for meal in found}


def out(day: int, slot: str) -> dict[str, Any]:
    """The household with nobody at home for a meal."""
    household = asked()
    for facts in household["eaters"].values():
        facts["away"] = {(day, slot)}
    return household


def meat_of_wednesday() -> str:
    """What most of the first dish is that is cooked on Wednesday or later."""
    since = shown().start + timedelta(days=WEDNESDAY)
    dish = next(
        cook.recipe
        for cook in shown().cooks
        if cook.on >= since and not checker.recipes()[cook.recipe].get("makes")
    )
    base = [row for row in checker.recipes()[dish]["ingredients"] if row.get("use", "base") == "base"]
    return max(base, key=lambda row: checker.grams(row["quantity"], row["unit"], row["food"]) or 0)["food"]


@pytest.mark.parametrize("from_day", [AHEAD, 0, THURSDAY])
def test_a_request_for_nothing_gives_the_shown_week_back(from_day):
    week = revised({"from_day": from_day})
    assert (week.cooks, week.plates) == (shown().cooks, shown().plates)
    assert week.objective == shown().objective | {"changes": 0}
    assert (week.gap, differences(shown(), week, shipped.brief(asked())).none) == (0, True)


def test_we_are_out_on_thursday_evening():
    week = revised({"from_day": WEDNESDAY}, out(THURSDAY, EVENING))
    assert meals_changed(week) == {(THURSDAY, EVENING)}
    assert week.objective["changes"] <= A_CHANGE


def test_one_is_out_and_the_others_eat_what_was_planned():
    household = asked()
    household["eaters"]["mia"]["away"] = {(THURSDAY, EVENING), (FRIDAY, EVENING)}
    week = revised({"from_day": WEDNESDAY, "locked": [(THURSDAY, EVENING)]}, household)
    assert meals_changed(week) == {(THURSDAY, EVENING), (FRIDAY, EVENING)}
    assert week.objective["changes"] == 0


def test_something_has_gone_off_on_wednesday():
    food = meat_of_wednesday()
    week = revised({"from_day": WEDNESDAY, "gone_foods": {food: WEDNESDAY}})
    first = week.start + timedelta(days=WEDNESDAY)
    assert [cook for cook in week.cooks if cook.on < first] == [
        cook for cook in shown().cooks if cook.on < first
    ]
    assert meals_changed(week)
    new = [cook for cook in week.cooks if cook.key not in {cook.key for cook in shown().cooks}]
    assert all(cook.why[0].code in ("in-place-of", "moved-from", "stock-for") for cook in new)


def test_wednesday_afternoon_leaves_what_was_eaten_on_wednesday_alone():
    household = asked()
    household["eaters"]["ana"]["excluded"] = {meat_of_wednesday(), "bay-leaf"}
    asked_for = {
        "from_day": WEDNESDAY,
        "eaten": ["breakfast", "mug", MIDDAY],
        "gone_foods": {meat_of_wednesday(): WEDNESDAY},
        "unwanted": [(WEDNESDAY, EVENING, at(shown(), WEDNESDAY, EVENING))],
    }
    changed = meals_changed(revised(asked_for, household))
    assert (WEDNESDAY, EVENING) in changed
    assert not {(WEDNESDAY, slot) for slot in asked_for["eaten"]} & changed


def test_a_pot_that_went_wrong_is_on_no_table():
    first = shown().start + timedelta(days=THURSDAY)
    pot = next(plate.cook for plate in shown().plates if plate.on == first and plate.slot is Slot.EVENING)
    week = revised({"from_day": THURSDAY, "gone_cooks": {pot: THURSDAY}})
    assert all(plate.cook != pot for plate in week.plates if plate.on >= first)


def test_lock_friday_swap_saturday():
    request = {
        "from_day": WEDNESDAY,
        "locked": [(FRIDAY, MIDDAY), (FRIDAY, EVENING)],
        "unwanted": [(SATURDAY, EVENING, at(shown(), SATURDAY, EVENING))],
    }
    week = revised(request)
    assert (SATURDAY, EVENING) in meals_changed(week)
    assert not meals_changed(week) & {(FRIDAY, MIDDAY), (FRIDAY, EVENING)}


def test_exchange_tuesday_midday_and_thursday_evening():
    one, other = at(shown(), TUESDAY, MIDDAY), at(shown(), THURSDAY, EVENING)
    request = {"from_day": AHEAD, "wanted": [(TUESDAY, MIDDAY, other), (THURSDAY, EVENING, one)]}
    week = revised(request)
    assert (at(week, TUESDAY, MIDDAY), at(week, THURSDAY, EVENING)) == (other, one)


def test_an_allowance_lost_in_the_middle_of_the_week():
    household = asked()
    food = meat_of_wednesday()
    household["eaters"]["ana"]["excluded"] = {food, "bay-leaf"}
    week = revised({"from_day": WEDNESDAY}, household)
    first = (week.start + timedelta(days=WEDNESDAY)).isoformat()
    ana = [plate for plate in week_record(week)["plates"] if plate["eater"] == "ana" and plate["on"] >= first]
    assert len(ana) == 4 * (7 - WEDNESDAY)


def test_what_stands_out_of_reach_is_said():
    lock = {"from_day": WEDNESDAY, "locked": [(d, s) for d in range(2, 7) for s in (MIDDAY, EVENING)]}
    request = lock | {"gone_foods": {meat_of_wednesday(): WEDNESDAY}}
    answer = plan_week(brief_of(asked(), request), effort=QUICK)
    assert isinstance(answer, NoWeek)
    assert {reason.code for reason in answer.conflicts} == {"lock-food-gone"}
    assert {reason.code for reason in answer.relaxations} == {"unlock-meal"}


def test_the_same_request_gets_the_same_week_also_from_a_file():
    request = {"from_day": WEDNESDAY, "gone_foods": {meat_of_wednesday(): WEDNESDAY}}
    asked_for = brief_of(asked(), request)
    turned = replace(asked_for, eaters=asked_for.eaters[::-1], recipes=asked_for.recipes[::-1])
    week = plan_week(brief_from_record(brief_record(asked_for)), effort=QUICK)
    assert plan_week(turned, effort=QUICK) == week == revised(request)


def test_every_alternative_can_be_had():
    meal = (SATURDAY, Slot.EVENING)
    found = alternatives(brief_of(asked(), {"from_day": WEDNESDAY}), meal)
    assert found and at(shown(), SATURDAY, EVENING) not in {one.recipe for one in found}
    best = found[0]
    assert best.room and not best.something_else
    week = revised({"from_day": WEDNESDAY, "wanted": [(SATURDAY, EVENING, best.recipe)]})
    assert at(week, SATURDAY, EVENING) == best.recipe


class TestTheChecker:
    """It sees every kind of fault: each is planted in a week that has none."""

    request = {"from_day": WEDNESDAY, "locked": [(FRIDAY, EVENING)]}

    def faults(self, week: dict[str, Any], **more: Any) -> str:
        request = self.request | more
        return "; ".join(checker_revised.complaints(week, week_record(shown()), request, asked()))

    def week(self) -> dict[str, Any]:
        return deepcopy(week_record(shown()))

    def test_a_week_as_it_was_has_none(self):
        assert self.faults(self.week()) == ""

    def test_a_past_plate_or_pot_that_is_another(self):
        week = self.week()
        past = next(plate for plate in week["plates"] if plate["on"] == "2026-12-08")
        past["portions"] = "9"
        assert "the plates before 2026-12-09 are not as they were" in self.faults(week)
        week = self.week()
        week["cooks"][0]["portions"] = "20"
        assert "the cooks before 2026-12-09 are not as they were" in self.faults(week)

    def test_a_plate_or_pot_of_today_that_was_eaten_and_is_another(self):
        eaten = {"eaten": ["breakfast"]}
        week = self.week()
        plate = next(p for p in week["plates"] if (p["on"], p["slot"]) == ("2026-12-09", "breakfast"))
        pot = next(cook for cook in week["cooks"] if cook["key"] == plate["cook"])
        assert "today" not in self.faults(week, **eaten)
        pot["why"] = []
        assert f"{pot['key']}: eaten from today, and not as it was" in self.faults(week, **eaten)
        plate["without"] = ["carrot"]
        assert "the plates eaten today are not as they were" in self.faults(week, **eaten)

    def test_a_locked_meal_from_another_pot(self):
        week = self.week()
        plate = next(p for p in week["plates"] if p["on"] == "2026-12-11" and p["slot"] == EVENING)
        plate["cook"] = next(cook["key"] for cook in week["cooks"] if cook["key"] != plate["cook"])
        assert "locked, and not as it was" in self.faults(week)

    def test_what_was_not_wanted_and_what_was(self):
        dish = at(shown(), SATURDAY, EVENING)
        assert "which was not wanted" in self.faults(self.week(), unwanted=[(SATURDAY, EVENING, dish)])
        other = at(shown(), TUESDAY, MIDDAY)
        assert "which was wanted" in self.faults(self.week(), wanted=[(SATURDAY, EVENING, other)])

    def test_what_had_gone(self):
        assert "had gone" in self.faults(self.week(), gone_foods={meat_of_wednesday(): WEDNESDAY})
        pot = next(plate.cook for plate in shown().plates if plate.on == date(2026, 12, 11))
        assert f"{pot} had gone" in self.faults(self.week(), gone_cooks={pot: FRIDAY})

    def test_stock_from_a_pot_that_had_gone(self):
        stock = next(cook for cook in shown().cooks if checker.recipes()[cook.recipe].get("makes"))
        food = checker.recipes()[stock.recipe]["makes"]
        dish = next(
            recipe
            for recipe in checker.recipes().values()
            if not recipe.get("makes") and any(row["food"] == food for row in recipe["ingredients"])
        )
        week = self.week()
        late = {"key": "late", "recipe": dish["key"], "on": "2026-12-10", "portions": "2", "without": []}
        week["cooks"].append(late)
        assert f"of {food} short" in self.faults(week, gone_cooks={stock.key: WEDNESDAY})

    def test_somebody_who_is_away_and_eats(self):
        week = week_record(shown())
        assert "meals missing or too many" in "; ".join(
            checker_revised.complaints(week, week, self.request, out(SATURDAY, EVENING))
        )


def test_before_and_after_side_by_side():
    week = revised({"from_day": WEDNESDAY, "gone_foods": {meat_of_wednesday(): WEDNESDAY}})
    found = differences(shown(), week, shipped.brief(asked()))
    keys = {cook.key for cook in shown().cooks}, {cook.key for cook in week.cooks}
    apart = {PotChangeKind.ADDED, PotChangeKind.DROPPED, PotChangeKind.MOVED}
    assert {pot.after.key for pot in found.pots if pot.after and pot.kind in apart} == keys[1] - keys[0]
    assert {pot.before.key for pot in found.pots if pot.before and pot.kind in apart} == keys[0] - keys[1]
    assert {cost.part: cost.after for cost in found.costs} == dict(week.objective)
