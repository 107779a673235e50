"""Weeks for made-up households out of the shipped book, checked meal by meal by a checker that shares no code."""

from copy import deepcopy
from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from plans.domain.brief import NoWeek
from plans.domain.brief_json import week_record
from plans.domain.planner.solve import plan_week
from tests import checker, shipped
from tests.efforts import QUICK

START = date(2026, 12, 7)
STAGES = ("settle", "soften", "taste", "widen", "table")
FAMILIES = (
    "milk",
    "egg",
    "fish",
    "tree-nut",
    "peanut",
    "celery",
    "sesame",
    "soy",
    "wheat",
    "mollusc",
    "crustacean",
)
EXCLUDED = (
    "beef-mince",
    "onion",
    "carrot",
    "cod",
    "pumpkin",
    "garlic",
    "salmon",
    "lamb-shoulder",
    "sauerkraut-brine",
)
YEARS = (1948, 1975, 1990, 2012, 2019, 2023, 2025)
FLAGS = ("pregnant", "breastfeeding", "weak-immunity", "warfarin")
CONDITIONS = ("loose-stools", "constipation", "reflux", "nausea", "flare")


def made_up(seed: int) -> dict[str, Any]:
    """One to four eaters of any age at any stage, some changing stage within the week, in an ordinary kitchen."""
    random = Random(seed)
    eaters = {name: _eater(random) for name in ("ana", "bo", "cy", "di")[: random.choice((1, 2, 2, 3, 4))]}
    return shipped.household(
        eaters,
        start=START + timedelta(days=7 * seed),
        minutes=[random.choice((45, 60, 60, 90, 120)) for _ in range(6)] + [150],
        pot_ml=random.choice((5000, 7500, 10000)),
        freezer=random.random() < 0.7,
    )


def _eater(random: Random) -> dict[str, Any]:
    facts = shipped.eater(
        born=date(random.choice(YEARS), random.randint(1, 12), random.randint(1, 28)),
        appetite=random.choice(("0.4", "0.7", "1", "1", "1.3")),
        allergies=set(random.sample(FAMILIES, random.choice((0, 0, 1, 2)))),
        excluded=set(random.sample(EXCLUDED, random.choice((0, 0, 1, 2)))),
        forbidden=set(random.sample(EXCLUDED, random.choice((0, 0, 0, 1)))),
        flags=set(random.sample(FLAGS, random.choice((0, 0, 0, 1)))),
        dislikes=set(random.sample(EXCLUDED, random.choice((0, 1)))),
        leaning=random.choice(("none", "meat", "vegetables")),
    )
    if random.random() < 0.75:
        first = random.randrange(len(STAGES))
        begun = date(2026, 11, 20) - timedelta(days=random.randrange(15))
        facts |= {
            "protocol": "hearth-five",
            "stages": [(begun, STAGES[first])],
            "conditions": set(random.sample(CONDITIONS, random.choice((0, 0, 1)))),
        }
    return facts


def moved_into_the_week(asked: dict[str, Any]) -> dict[str, Any]:
    """Let those who follow a protocol move on in the middle of the week, and try a food."""
    for facts in asked["eaters"].values():
        if facts["protocol"]:
            stage = STAGES.index(facts["stages"][0][1])
            if stage + 1 < len(STAGES):
                facts["stages"].append((asked["start"] + timedelta(days=3), STAGES[stage + 1]))
            facts["introductions"].append(
                {
                    "food": "egg-yolk",
                    "form": "boiled",
                    "first_day": asked["start"] + timedelta(days=1),
                    "watch_until": asked["start"] + timedelta(days=4),
                    "outcome": "open",
                    "left_out_until": None,
                }
            )
    return asked


def who_are_not_always_there(seed: int) -> dict[str, Any]:
    """A household whose eaters are away now and then, with two days out and little time at home on working days."""
    asked, random = made_up(seed), Random(f"away {seed}")
    for facts in asked["eaters"].values():
        facts["away"] = {(day, slot) for day in range(7) for slot in asked["slots"] if random.random() < 0.2}
    asked["kitchen"]["out"] = set(random.sample(range(1, 5), 2))
    asked["kitchen"]["at_home_min"] = [random.choice((120, 180)) for _ in range(5)]
    return asked


def check(asked: dict[str, Any]) -> None:
    answer = plan_week(shipped.brief(asked), effort=QUICK)
    if isinstance(answer, NoWeek):
        assert answer.conflicts
    else:
        assert checker.complaints(week_record(answer), asked) == []


@pytest.mark.parametrize("seed", range(6))
def test_a_week_keeps_every_rule(seed: int):
    check(made_up(seed))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6, 44))
def test_forty_weeks_keep_every_rule(seed: int):
    check(made_up(seed))


@pytest.mark.parametrize("seed", range(4))
def test_a_week_of_those_who_are_not_always_there_keeps_every_rule(seed: int):
    check(who_are_not_always_there(seed))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4, 20))
def test_more_weeks_of_those_who_are_not_always_there_keep_every_rule(seed: int):
    check(who_are_not_always_there(seed))


@pytest.mark.parametrize("seed", (3, 9))
def test_a_week_with_moves_and_a_new_food_keeps_every_rule(seed: int):
    check(moved_into_the_week(made_up(seed)))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 110))
def test_more_weeks_with_moves_keep_every_rule(seed: int):
    check(moved_into_the_week(made_up(seed)))


# -- the checker itself ----------------------------------------------------------------------------------------------

MIXED = shipped.household(
    {
        "ana": shipped.eater(
            protocol="hearth-five",
            stages=[(START, "settle"), (START + timedelta(days=3), "soften")],
            conditions={"loose-stools"},
        ),
        "bo": shipped.eater(appetite="1.2", protocol="hearth-five", stages=[(START, "widen")]),
        "cy": shipped.eater(born=date(2024, 5, 1), appetite="0.5", allergies={"milk", "celery"}),
    }
)


@pytest.fixture(scope="module")
def good_week() -> dict[str, Any]:
    answer = plan_week(shipped.brief(MIXED), effort=QUICK)
    assert not isinstance(answer, NoWeek)
    return week_record(answer)


def test_three_stages_at_one_table_get_a_week_without_a_fault(good_week: dict[str, Any]):
    assert checker.complaints(good_week, MIXED) == []


def complaints_after(change: Any, good_week: dict[str, Any], **eaters: dict[str, Any]) -> str:
    """What the checker says when a good week, or what it is held against, is spoilt."""
    week, asked = deepcopy(good_week), deepcopy(MIXED)
    for key, facts in eaters.items():
        asked["eaters"][key] |= facts
    change(week, asked)
    return "; ".join(checker.complaints(week, asked))


def test_the_checker_sees_a_missing_plate(good_week: dict[str, Any]):
    assert "meals missing" in complaints_after(lambda week, _: week["plates"].pop(), good_week)


def test_the_checker_sees_a_plate_for_somebody_who_is_away(good_week: dict[str, Any]):
    away = {"away": {(2, "midday")}}
    assert "too many" in complaints_after(lambda week, asked: None, good_week, bo=away)


def test_the_checker_sees_a_pot_that_takes_longer_than_somebody_is_at_home(good_week: dict[str, Any]):
    def leave(_, asked):
        asked["kitchen"]["at_home_min"] = [20] * 7

    assert "nobody is at home that long" in complaints_after(leave, good_week)


def test_the_checker_lets_the_day_before_the_week_take_its_time(good_week: dict[str, Any]):
    def only_the_eve(week, asked):
        asked["kitchen"]["at_home_min"] = [20] * 7
        week["cooks"] = [cook for cook in week["cooks"] if cook["on"] < asked["start"].isoformat()]
        week["plates"] = []

    assert any(cook["on"] < START.isoformat() for cook in good_week["cooks"])
    assert "nobody is at home" not in complaints_after(only_the_eve, good_week)


def test_the_checker_sees_a_midday_cooked_on_a_day_out(good_week: dict[str, Any]):
    def go_out(_, asked):
        asked["kitchen"]["out"] = set(range(7))

    assert "when everybody is out" in complaints_after(go_out, good_week)


def test_the_checker_sees_too_much_eaten(good_week: dict[str, Any]):
    def shrink(week, _):
        week["cooks"][-1]["portions"] = "0.5"

    assert "more is eaten than was cooked" in complaints_after(shrink, good_week)


def test_the_checker_sees_too_little_time(good_week: dict[str, Any]):
    def hurry(_, asked):
        asked["kitchen"]["minutes"] = [5] * 7

    assert "too little time" in complaints_after(hurry, good_week)


def test_the_checker_sees_leftovers_kept_too_long(good_week: dict[str, Any]):
    def lie(week, _):
        for plate in week["plates"]:
            plate["source"] = "fresh"

    assert "cannot be fresh" in complaints_after(lie, good_week)


def test_the_checker_sees_stock_that_is_short(good_week: dict[str, Any]):
    def spill(week, _):
        for cook in week["cooks"]:
            if cook["recipe"].endswith("stock-pot"):
                cook["portions"] = "0.5"

    assert " short" in complaints_after(spill, good_week)


def test_the_checker_sees_a_food_before_its_stage(good_week: dict[str, Any]):
    def cook_pasta(week, _):
        first = next(plate["cook"] for plate in week["plates"] if plate["slot"] == "midday")
        next(cook for cook in week["cooks"] if cook["key"] == first)["recipe"] = "pasta-beef-ragu"

    assert "not open at settle" in complaints_after(cook_pasta, good_week)


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"allergies": {"milk"}, "excluded": {"water"}}, "an exclusion"),
        ({"forbidden": {"salt"}}, "an exclusion"),
        ({"born": date(2026, 11, 1)}, "solid food before four months"),
    ],
)
def test_the_checker_sees_what_an_eater_must_not_have(
    good_week: dict[str, Any], facts: dict[str, Any], said: str
):
    assert said in complaints_after(lambda week, asked: None, good_week, cy=facts)


def test_the_checker_sees_repeats(good_week: dict[str, Any]):
    def strict(_, asked):
        asked["most_repeats"] = 1

    assert "times" in complaints_after(strict, good_week)
