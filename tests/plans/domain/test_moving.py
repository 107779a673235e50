"""A move to another version, seen by one eater: what the engine answers under both, and nothing it does not."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.allowance import EaterRules, Introduction, day_allowances
from plans.domain.book import Challenge, LeadInTask, Modifier, Protocol, Rule
from plans.domain.differences import Way
from plans.domain.moving import Comparison, Edition, Effect, Moving, places
from plans.domain.vocabulary import Allowance
from tests.plans.domain.hand_made import MONDAY, WORDS, food, form, on_stage, protocol, rule

FOODS = (
    food("carrot", "roots"),
    food("parsnip", "roots"),
    food("butter", "dairy", families=frozenset({"milk"}), aisle="eggs-dairy"),
    food("yoghurt", "dairy", families=frozenset({"milk"}), aisle="eggs-dairy"),
    food("creamed-carrot", "dishes", contains=("carrot", "butter")),
    food("honey", "sweet", limits=frozenset({"honey"}), aisle="pantry"),
)
STAGES = ("one", "two", "three")
GRAMS = {
    "start": (Decimal(5), "g"),
    "step": (Decimal(5), "g"),
    "every_days": 2,
    "most": (Decimal(30), "g"),
}


def compare(old: Protocol, new: Protocol) -> Comparison:
    return Comparison.of(Edition.of(old, FOODS), Edition.of(new, FOODS))


def moved(old: Protocol, new: Protocol, rules: EaterRules | None = None, stage: str = "one") -> Moving:
    rules = rules or on_stage(stage)
    return compare(old, new).for_eater(rules, stage, max(MONDAY, rules.stages[-1][0]))


def said(moving: Moving) -> list[tuple[str, str]]:
    """(effect, food) of today."""
    return [(change.effect, change.food) for change in moving.today]


def later(moving: Moving) -> dict[str, list[tuple[str, str]]]:
    return {step.stage: [(change.effect, change.food) for change in step.foods] for step in moving.steps}


def test_foods_open_close_and_change_their_form():
    old = protocol(
        rule("one", "as prepared", "carrot", "boiled + peeled"),
        rule("one", "freely", "parsnip"),
        rule("one", "freely", "honey"),
    )
    new = protocol(
        rule("one", "as prepared", "carrot", "boiled"),
        rule("one", "as prepared", "honey", "raw"),
        rule("one", "freely", "butter"),
    )
    moving = moved(old, new)
    assert said(moving) == [
        (Effect.OPENS, "butter"),
        (Effect.CLOSES, "parsnip"),
        (Effect.ALLOWANCE, "honey"),
        (Effect.FORMS, "carrot"),
    ]
    assert [change.way for change in moving.today] == [Way.WIDER, Way.STRICTER, Way.STRICTER, Way.WIDER]
    assert moving.steps == ()


def test_amounts_and_notes_of_what_stays_open_are_said():
    """The amounts further on count: on the first day both versions say 5 g."""
    old = protocol(rule("one", "first tastes", "butter", **GRAMS), rule("one", "freely", "carrot"))
    new = protocol(
        rule("one", "first tastes", "butter", **{**GRAMS, "most": (Decimal(20), "g")}),
        rule("one", "freely", "carrot", note="Peel it."),
    )
    assert said(moved(old, new)) == [(Effect.AMOUNTS, "butter"), (Effect.NOTE, "carrot")]


def test_a_newly_opened_milk_food_is_no_news_for_who_is_allergic_to_milk():
    old = protocol(rule("one", "freely", "carrot"))
    new = protocol(
        rule("one", "freely", "carrot"),
        rule("one", "freely", "creamed-carrot"),
        rule("one", "freely", "parsnip"),
        rule("two", "freely", "dairy", group=True),
        modifiers=(Modifier(when="flare", group="dairy", allowance=Allowance.NOT_YET),),
        challenges=(
            Challenge("milk", "Yoghurt", "yoghurt", form("raw"), "two", ((Decimal(5), "g"),), 1, 2),
            Challenge("root", "Parsnip", "parsnip", form("raw"), "two", ((Decimal(5), "g"),), 1, 2),
        ),
    )
    everybody, allergic = (
        moved(old, new, on_stage("one", allergies=allergies))
        for allergies in (frozenset(), frozenset({"milk"}))
    )
    assert said(everybody) == [(Effect.OPENS, "parsnip"), (Effect.OPENS, "creamed-carrot")]
    assert said(allergic) == [(Effect.OPENS, "parsnip")]
    assert later(everybody)["two"] == [(Effect.OPENS, "butter"), (Effect.OPENS, "yoghurt")]
    assert later(allergic)["two"] == []
    assert [one.target for one in everybody.steps[0].other] == ["milk", "root"]
    assert [one.target for one in allergic.steps[0].other] == ["root"]
    assert [one.code for one in everybody.always] == ["modifier-added"]
    assert allergic.always == ()


def test_honey_is_no_news_for_a_baby():
    old, new = protocol(rule("one", "freely", "carrot")), protocol(rule("one", "freely", "honey"))
    baby = on_stage("one", born=MONDAY - timedelta(days=250))
    assert said(moved(old, new, baby)) == [(Effect.CLOSES, "carrot")]


def test_later_stages_say_only_what_is_not_said_before_them():
    old = protocol(rule("one", "freely", "carrot"), rule("three", "freely", "parsnip"))
    new = protocol(rule("one", "freely", "carrot"), rule("two", "freely", "parsnip"))
    assert later(moved(old, new)) == {"two": [(Effect.OPENS, "parsnip")]}
    assert later(moved(new, old)) == {"two": [(Effect.CLOSES, "parsnip")]}
    old = protocol(rule("one", "freely", "carrot"))
    moving = moved(old, protocol(rule("one", "freely", "carrot"), rule("one", "freely", "parsnip")))
    assert said(moving) == [(Effect.OPENS, "parsnip")]
    assert later(moving) == {}


def test_what_a_condition_hides_today_is_said_for_later_at_the_same_stage():
    flare = (Modifier(when="flare", food="parsnip", allowance=Allowance.NOT_YET),)
    old = protocol(rule("one", "freely", "carrot"), modifiers=flare)
    new = protocol(rule("one", "freely", "carrot"), rule("one", "freely", "parsnip"), modifiers=flare)
    moving = moved(old, new, on_stage("one", conditions=frozenset({"flare"})))
    assert said(moving) == []
    assert later(moving) == {"one": [(Effect.OPENS, "parsnip")]}


def test_before_day_one_the_versions_are_compared_on_that_day_and_the_lead_in_counts():
    old = protocol(rule("one", "freely", "carrot"))
    new = protocol(
        rule("one", "freely", "parsnip"),
        caution="Ask first.",
        lead_in=(LeadInTask("shop", "Shop", "shop", 2),),
    )
    for begins_in, codes in ((9, ["caution-changed", "lead-in-added"]), (0, ["caution-changed"])):
        rules = on_stage("one", MONDAY + timedelta(days=begins_in))
        moving = compare(old, new).for_eater(rules, "one", MONDAY)
        assert said(moving) == [(Effect.OPENS, "parsnip"), (Effect.CLOSES, "carrot")]
        assert [one.code for one in moving.always] == codes


def test_stages_behind_the_eater_are_no_news():
    old = protocol(rule("one", "freely", "carrot"))
    stages = tuple(replace(one, usual_days=9) for one in old.stages)
    moving = moved(old, replace(old, stages=stages), stage="two")
    assert [(step.stage, [one.code for one in step.other]) for step in moving.steps] == [
        ("two", ["days-changed"]),
        ("three", ["days-changed"]),
    ]


@pytest.mark.parametrize(
    ("old", "new", "stage", "offered"),
    [
        (STAGES, STAGES, "two", ["two"]),
        (STAGES, ("three", "two"), "two", ["two"]),
        # Renamed: the new name at their number, then what comes before it.
        (STAGES, ("one", "gently", "three"), "two", ["gently", "one"]),
        # The second stage is gone, and the third now has its number: it would open what is not theirs yet.
        (STAGES, ("one", "three"), "two", ["one"]),
        # What follows a later stage is beyond, too, whatever its number.
        (STAGES, ("three", "gently"), "two", []),
        (STAGES, ("soon", "later", "last"), "one", ["soon"]),
        (STAGES, ("two", "three"), "one", []),
    ],
)
def test_places_are_the_nearest_that_are_not_beyond_the_eaters(old, new, stage, offered):
    versions = [protocol(rule(stages[0], "freely", "carrot"), stages=stages) for stages in (old, new)]
    assert [place.key for place in places(*versions, stage)] == offered


# Properties: random versions, random eaters.

targets = st.sampled_from([{"food": one.key} for one in FOODS] + [{"group": "roots"}, {"group": "dairy"}])
forms = st.sampled_from([(), (form("boiled"),), (form("boiled + peeled"),), (form("raw"), form("baked"))])


@st.composite
def versions(draw: st.DrawFn, stages: tuple[str, ...] = STAGES) -> Protocol:
    """Rows whose allowances never close again, as files have to have them."""
    rows = []
    for target in draw(st.lists(targets, max_size=6, unique_by=str)):
        at = draw(st.lists(st.sampled_from(stages), min_size=1, max_size=3, unique=True))
        allowances = sorted(draw(st.lists(st.sampled_from(Allowance), min_size=len(at), max_size=len(at))))
        for where, allowance in zip(sorted(at, key=stages.index), allowances, strict=True):
            tastes = GRAMS if allowance is Allowance.FIRST_TASTES else {}
            rows.append(Rule(where, allowance, forms=draw(forms), **target, **tastes))
    asked = st.builds(
        Modifier,
        when=st.sampled_from(("flare", "reflux")),
        food=st.sampled_from(("carrot", "butter")),
        allowance=st.sampled_from((WORDS["not yet"], WORDS["flavour only"])),
    )
    return protocol(*rows, stages=stages, modifiers=tuple(draw(st.lists(asked, max_size=2))))


introductions = st.builds(
    Introduction,
    food=st.sampled_from([one.key for one in FOODS]),
    form=st.just(form("boiled")),
    first_day=st.just(MONDAY - timedelta(days=2)),
    watch_until=st.just(MONDAY + timedelta(days=2)),
    outcome=st.sampled_from(("open", "tolerated", "reacted")),
)
eaters = st.builds(
    EaterRules,
    born=st.sampled_from((date(1980, 1, 1), MONDAY - timedelta(days=250), MONDAY - timedelta(days=60))),
    flags=st.frozensets(st.sampled_from(("pregnant", "warfarin"))),
    allergies=st.frozensets(st.sampled_from(("milk", "egg"))),
    excluded=st.frozensets(st.sampled_from(("carrot", "honey"))),
    forbidden=st.frozensets(st.sampled_from(("parsnip",))),
    conditions=st.frozensets(st.sampled_from(("flare", "reflux"))),
    introductions=st.lists(introductions, max_size=2).map(tuple),
    stages=st.sampled_from(STAGES).map(lambda stage: ((MONDAY - timedelta(days=5), stage),)),
)


def open_foods(edition: Edition, rules: EaterRules) -> set[str]:
    answers = day_allowances(edition.book, rules, MONDAY)
    return {key for key, answer in answers.items() if answer.allowance is not Allowance.NOT_YET}


@given(versions(), eaters)
def test_moving_to_the_same_version_changes_nothing(version: Protocol, rules: EaterRules):
    stage = rules.stage_on(MONDAY)
    assert compare(version, version).for_eater(rules, stage, MONDAY).is_nothing


@given(versions(), versions(), eaters)
def test_what_is_said_to_open_and_close_is_what_the_engine_opens_and_closes(old, new, rules):
    compared = compare(old, new)
    moving = compared.for_eater(rules, rules.stage_on(MONDAY), MONDAY)
    was, now = (open_foods(edition, rules) for edition in (compared.old, compared.new))
    assert {change.food for change in moving.today if change.effect is Effect.OPENS} == now - was
    assert {change.food for change in moving.today if change.effect is Effect.CLOSES} == was - now
    same = {key for key in was & now if key not in {change.food for change in moving.today}}
    answers = [day_allowances(edition.book, rules, MONDAY) for edition in (compared.old, compared.new)]
    for key in same:
        one, other = (answer[key] for answer in answers)
        assert (one.allowance, set(one.forms), one.most_g) == (
            other.allowance,
            set(other.forms),
            other.most_g,
        )


@given(versions(), versions(("one", "extra", "three", "last")), eaters)
def test_openings_at_later_stages_are_the_engines_too(old, new, rules):
    compared = compare(old, new)
    here = rules.stage_on(MONDAY)
    offered = places(old, new, here)
    moving = compared.for_eater(rules, offered[0].key, MONDAY)
    for step in moving.steps:
        if step.stage not in {stage.key for stage in new.stages}:
            assert step.foods == ()
            continue
        there = replace(
            rules,
            stages=((MONDAY, step.stage),),
            conditions=frozenset(),
            introductions=tuple(tried for tried in rules.introductions if tried.outcome != "open"),
        )
        allowed = open_foods(compared.new, there)
        assert {change.food for change in step.foods if change.effect is Effect.OPENS} <= allowed
        assert not {change.food for change in step.foods if change.effect is Effect.CLOSES} & allowed


@given(versions(), versions(), eaters)
def test_nothing_an_eater_leaves_out_is_said_to_open(old, new, rules):
    moving = compare(old, new).for_eater(rules, rules.stage_on(MONDAY), MONDAY)
    opened = [*moving.today, *(change for step in moving.steps for change in step.foods)]
    for change in opened:
        if change.effect is not Effect.OPENS:
            continue
        made_of = {change.food, *next(one.contains for one in FOODS if one.key == change.food)}
        assert not made_of & (rules.excluded | rules.forbidden)
        families = {family for one in FOODS if one.key in made_of for family in one.families}
        assert not families & rules.allergies


@given(versions(), versions(("one", "extra", "three", "last")), st.sampled_from(STAGES))
def test_no_place_offered_is_a_stage_that_was_later(old, new, stage):
    order = [one.key for one in old.stages]
    for place in places(old, new, stage):
        assert place.key not in order or order.index(place.key) <= order.index(stage)
        assert place.number <= old.stage(stage).number
