"""What opens next: never before the engine allows it on the earliest road, and on no later day."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, Introduction, allowance
from plans.domain.book import Challenge, Modifier, Stage
from plans.domain.opening import FoodOpening, by_food, earliest_moves, next_step, what_opens
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance
from tests import shipped
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, food, form, on_stage, protocol, rule

G = (Decimal(5), "g")
TASTES = {"start": G, "step": G, "every_days": 2, "most": (Decimal(15), "g")}
FOODS = (
    food("carrot", "roots"),
    food("potato", "roots"),
    food("celery", "stalks"),
    food("butter", "fats", families=frozenset({"milk"})),
    food("cream-sauce", "sauces", contains=("butter",), families=frozenset({"milk"})),
    food("cabbage", "ferments"),
    food("nuts", "nuts", limits=frozenset({"whole-nuts"})),
    food("honey", "sweet", limits=frozenset({"honey"})),
    food("milk", "dairy", families=frozenset({"milk"})),
)
PLAN = replace(
    protocol(
        rule("one", "as prepared", "carrot", "boiled"),
        rule("two", "as prepared", "roots", "boiled", group=True),
        rule("one", "flavour only", "celery"),
        rule("two", "first tastes", "butter", **TASTES),
        rule("two", "first tastes", "cabbage", **TASTES),
        rule("three", "freely", "cream-sauce"),
        rule("three", "freely", "nuts"),
        rule("one", "freely", "honey"),
        modifiers=(
            Modifier("loose-stools", food="carrot", allowance=Allowance.NOT_YET),
            Modifier("flare", food="potato", allowance=Allowance.NOT_YET),
        ),
        challenges=(Challenge("milk", "Milk", "milk", form("raw"), "two", (G,), 1, 3),),
    ),
    stages=(
        Stage("one", 1, "One", "To test.", 5, 10),
        Stage("two", 2, "Two", "To test.", 7, 14),
        Stage("three", 3, "Three", "To test.", 9, 14),
    ),
)
BOOK = RuleBook.compile(PLAN, FOODS)
HORIZON = 60


def day(days: int) -> date:
    return MONDAY + timedelta(days=days)


def ahead(rules: EaterRules, today: date = MONDAY) -> dict[str, tuple[str, FoodOpening]]:
    return by_food(what_opens(BOOK, PLAN, rules, today))


def dates(rules: EaterRules, today: date = MONDAY) -> dict[str, tuple[str, date | None]]:
    return {key: (stage, opening.on) for key, (stage, opening) in ahead(rules, today).items()}


def tried(key: str, first: int, watch: int, outcome: str = "open", until: int | None = None) -> Introduction:
    left_out = None if until is None else day(until)
    return Introduction(key, form("raw"), day(first), day(first + watch), outcome, left_out)


def test_foods_wait_for_the_least_days_of_every_stage_before_theirs():
    assert dates(on_stage("one", since=day(-2))) == {
        "potato": ("two", day(3)),
        "butter": ("two", day(3)),
        "cabbage": ("two", day(3)),
        "cream-sauce": ("three", day(10)),
        "nuts": ("three", day(10)),
    }


def test_least_days_that_are_over_leave_today():
    assert earliest_moves(PLAN, on_stage("one", since=day(-30)), MONDAY) == (
        (MONDAY, "two"),
        (day(7), "three"),
    )
    assert dates(on_stage("one", since=day(-30)))["potato"] == ("two", MONDAY)


def test_before_day_one_the_least_days_count_from_it():
    assert dates(on_stage("one", since=day(4)))["potato"] == ("two", day(9))


def test_the_last_stage_and_no_protocol_have_nothing_ahead():
    assert earliest_moves(PLAN, on_stage("three"), MONDAY) == ()
    assert what_opens(BOOK, PLAN, on_stage("three"), MONDAY) == ()
    assert what_opens(RuleBook.compile(None, FOODS), None, EaterRules(GROWN_UP), MONDAY) == ()


def test_a_stage_that_opens_nothing_keeps_its_date():
    rules = on_stage("two", excluded=frozenset({"cream-sauce", "nuts"}))
    assert [(stage.stage, stage.on, stage.foods) for stage in what_opens(BOOK, PLAN, rules, MONDAY)] == [
        ("three", day(7), ())
    ]


@pytest.mark.parametrize(
    "barred", [{"allergies": {"milk"}}, {"excluded": {"butter"}}, {"forbidden": {"butter"}}], ids=str
)
def test_what_is_barred_for_good_is_not_listed(barred):
    (name, keys), *_ = barred.items()
    listed = dates(on_stage("one", **{name: frozenset(keys)}))
    assert not {"butter", "cream-sauce"} & listed.keys()


def test_one_unknown_at_a_time_opens_after_the_watch_days_without_another_stage():
    stage, opening = ahead(on_stage("two", introductions=(tried("cabbage", -1, 3),)))["butter"]
    assert (stage, opening.on, opening.held.code) == ("", day(3), "one-at-a-time")
    assert opening.given.allowance is Allowance.FIRST_TASTES
    assert opening.given.untried


def test_a_reaction_keeps_a_food_out_until_its_day_and_for_good_without_one():
    reacted = tried("nuts", -9, 3, "reacted", until=40)
    stage, opening = ahead(on_stage("two", introductions=(reacted,)))["nuts"]
    assert (stage, opening.on, opening.held.code) == ("three", day(40), "left-out")
    for_good = replace(reacted, left_out_until=None)
    assert "nuts" not in ahead(on_stage("two", introductions=(for_good,)))


def test_an_age_limit_opens_on_the_birthday():
    stage, opening = ahead(on_stage("one", born=date(2025, 6, 21)))["honey"]
    assert (stage, opening.on, opening.held.code) == ("", date(2026, 6, 21), "honey-under-one")


def test_what_only_a_condition_closes_has_no_date():
    stage, opening = ahead(on_stage("one", conditions=frozenset({"loose-stools"})))["carrot"]
    assert (stage, opening.on, opening.held.code) == ("", None, "condition")


def test_a_first_taste_steps_up_from_its_first_day():
    rules = on_stage("two", introductions=(tried("butter", 0, 9),))
    assert next_step(BOOK, rules, "butter", MONDAY) == (day(2), Decimal(10))
    assert next_step(BOOK, rules, "butter", day(3)) == (day(4), Decimal(15))
    assert next_step(BOOK, rules, "butter", day(4)) is None


def test_what_has_not_begun_or_is_no_first_taste_does_not_step_up():
    assert next_step(BOOK, on_stage("two"), "butter", MONDAY) is None
    assert next_step(BOOK, on_stage("two"), "carrot", MONDAY) is None
    assert next_step(BOOK, EaterRules(GROWN_UP), "carrot", MONDAY) is None


keys = st.sampled_from([food.key for food in FOODS])
some_keys = st.frozensets(keys, max_size=2)


@st.composite
def introductions(draw: st.DrawFn) -> Introduction:
    outcome = draw(st.sampled_from(("open", "tolerated", "reacted", "unclear")))
    until = draw(st.none() | st.integers(-5, 50)) if outcome == "reacted" else None
    return tried(draw(keys), draw(st.integers(-20, 20)), draw(st.integers(0, 7)), outcome, until)


eaters = st.builds(
    EaterRules,
    born=st.sampled_from((GROWN_UP, date(2026, 2, 10), date(2025, 6, 21), date(2021, 6, 20))),
    flags=st.frozensets(st.sampled_from(("pregnant", "weak-immunity")), max_size=1),
    allergies=st.frozensets(st.just("milk")),
    excluded=some_keys,
    forbidden=some_keys,
    conditions=st.frozensets(st.sampled_from(("loose-stools", "flare"))),
    stages=st.tuples(st.tuples(st.integers(-25, 10).map(day), st.sampled_from(("one", "two", "three")))),
    introductions=st.lists(introductions(), max_size=3).map(tuple),
)


def stage_by_hand(rules: EaterRules, today: date, on: date) -> str:
    """The stage of an eater who is moved on as soon as the least days are over, walked day by day."""
    ((begun, stage),) = rules.stages
    order = ("one", "two", "three")
    least = {"one": 5, "two": 7, "three": 9}
    walked = today
    while walked <= on:
        while stage != "three" and (walked - begun).days >= least[stage]:
            begun, stage = walked, order[order.index(stage) + 1]
        walked += timedelta(days=1)
    return stage


@given(eaters)
def test_moved_on_at_the_earliest_a_food_opens_on_its_date_and_on_no_earlier_day(rules: EaterRules):
    begun = rules.stages[0][0]
    now = max(MONDAY, begun)
    listed = dates(rules)
    calm = replace(rules, conditions=frozenset())

    def is_open(key: str, on: date, asked: EaterRules) -> bool:
        stage = stage_by_hand(rules, MONDAY, on)
        here = replace(asked, stages=((begun, stage),))
        return allowance(BOOK, here, key, None, on).allowance is not Allowance.NOT_YET

    for key in BOOK.foods:
        closed_now = allowance(BOOK, rules, key, None, now).allowance is Allowance.NOT_YET
        days = [now + timedelta(days=ahead_) for ahead_ in range(HORIZON)]
        first = next((on for on in days if is_open(key, on, calm)), None) if closed_now else None
        stage, on = listed.get(key, ("", None))
        if key not in listed:
            assert first is None
        elif on is None:
            assert stage == "" and first == now and not rules.conditions.isdisjoint({"loose-stools", "flare"})
        elif on < now + timedelta(days=HORIZON):
            assert first == on
        else:
            assert first is None


@given(eaters)
def test_the_stage_named_is_the_first_that_opens_the_food_on_its_date(rules: EaterRules):
    begun, current = rules.stages[0]
    calm = replace(rules, conditions=frozenset())
    order = ("one", "two", "three")
    for key, (stage, on) in dates(rules).items():
        on = on or max(MONDAY, begun)
        opens = [
            asked
            for asked in order[order.index(current) :]
            if allowance(BOOK, replace(calm, stages=((begun, asked),)), key, None, on).allowance
        ]
        assert opens[0] == (stage or current)


@pytest.mark.parametrize("key", ["hearth-five"])
def test_a_shipped_protocol_opens_something_at_every_stage(key: str):
    plan, book = shipped.protocol(key), shipped.rulebook(key)
    rules = on_stage(plan.stages[0].key)
    stages = what_opens(book, plan, rules, MONDAY)
    assert [stage.stage for stage in stages] == [stage.key for stage in plan.stages[1:]]
    assert all(stage.foods for stage in stages[:-1])
    total = sum(stage.least_days for stage in plan.stages[:-1])
    assert stages[-1].on == MONDAY + timedelta(days=total)
    for stage in stages:
        for opening in stage.foods:
            assert opening.on == stage.on
            assert opening.given.allowance is not Allowance.NOT_YET
