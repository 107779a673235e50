"""What changed between two versions: nothing unsaid, nothing said that is not so."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plans.domain.book import Challenge, Food, LeadInTask, Modifier, Protocol, Rule, Stage
from plans.domain.differences import Kind, Way, covers, differences
from plans.domain.vocabulary import Allowance
from tests import shipped
from tests.plans.book_strategies import FOOD_KEYS, GROUPS, protocols

BOILED, PUREED = frozenset({"boiled"}), frozenset({"pureed", "boiled"})
CARROT = Food("carrot", "Carrot", "soft roots", "vegetables")
FOODS = {"carrot": CARROT}
BOOK = {key: Food(key, key.title(), GROUPS[0], "vegetables") for key in FOOD_KEYS}
STAGES = tuple(
    Stage(key, number, key.title(), "Aim.", 5, 10) for number, key in enumerate(("one", "two", "three"), 1)
)
ONE = Rule("one", Allowance.AS_PREPARED, food="carrot", forms=(BOILED,))


def small(*rules: Rule, **more) -> Protocol:
    return Protocol(
        "small", "Small", "A small one.", "own invention", **{"stages": STAGES, "rules": rules} | more
    )


def said(old: Protocol, new: Protocol) -> list[tuple[str, str, str, Way]]:
    return [(one.code, one.stage, one.target, one.way) for one in differences(old, new, FOODS)]


@given(protocols())
def test_nothing_differs_from_itself(protocol) -> None:
    assert differences(protocol, protocol, BOOK) == ()


@pytest.mark.parametrize("key", ["hearth-five", "three-phase"])
def test_no_shipped_protocol_differs_from_itself(key) -> None:
    protocol = shipped.protocol(key)
    assert differences(protocol, protocol, shipped.rulebook(None).foods) == ()


@st.composite
def edits(draw: st.DrawFn) -> tuple[Protocol, Protocol, Kind, str]:
    """A protocol, the same with one edit, and what was edited."""
    old = draw(protocols())
    which = draw(st.sampled_from(("title", "stage", "note", "row", "modifier", "challenge", "lead-in")))
    if which == "title":
        return old, replace(old, title=old.title + "x"), Kind.PROTOCOL, old.key
    if which == "modifier":
        assume(old.modifiers)
        return old, replace(old, modifiers=old.modifiers[1:]), Kind.MODIFIER, _target(old.modifiers[0])
    if which == "challenge":
        assume(old.challenges)
        first, *others = old.challenges
        edited = (replace(first, dose_days=first.dose_days + 1), *others)
        return old, replace(old, challenges=edited), Kind.CHALLENGE, first.key
    if which == "lead-in":
        assume(old.lead_in)
        return old, replace(old, lead_in=old.lead_in[1:]), Kind.LEAD_IN, old.lead_in[0].key
    if which == "stage":
        place = draw(st.integers(0, len(old.stages) - 1))
        stages = list(old.stages)
        name, change = draw(
            st.sampled_from((("title", "x"), ("aim", "x"), ("usual_days", 1), ("moving_on", ("x",))))
        )
        stages[place] = replace(stages[place], **{name: getattr(stages[place], name) + change})
        return old, replace(old, stages=tuple(stages)), Kind.STAGE, stages[place].key
    place = draw(st.integers(0, len(old.rules) - 1))
    rule = old.rules[place]
    rules = list(old.rules)
    if which == "row":
        del rules[place]
    else:
        rules[place] = replace(rule, note=rule.note + "x")
    kind = Kind.FOOD if rule.food else Kind.GROUP
    return old, replace(old, rules=tuple(rules)), kind, _target(rule)


def _target(row: Rule | Modifier) -> str:
    return row.food or row.group


@given(edits())
def test_one_edit_is_named(edit) -> None:
    old, new, kind, target = edit
    found = differences(old, new, BOOK)
    assert (kind, target) in {(one.kind, one.target) for one in found}
    assert {one.kind for one in found} == {kind}


@given(protocols(), st.data())
def test_a_tightened_row_is_reported_as_stricter_and_its_undoing_as_wider(old, data) -> None:
    rule = data.draw(st.sampled_from([rule for rule in old.rules if rule.allowance] or [None]))
    assume(rule is not None)
    tighter = replace(rule, allowance=Allowance(rule.allowance - 1))
    new = replace(old, rules=tuple(tighter if one is rule else one for one in old.rules))
    kind = Kind.FOOD if rule.food else Kind.GROUP

    def ways(was: Protocol, now: Protocol) -> set[Way]:
        found = [one for one in differences(was, now, BOOK) if one.way]
        assert {(one.kind, one.target) for one in found} == {(kind, _target(rule))}
        codes = {"allowance-changed", "opens-later", "opens-earlier", "opens-newly", "never-opens"}
        return {one.way for one in found if one.code in codes}

    assert ways(old, new) == {Way.STRICTER}
    assert ways(new, old) == {Way.WIDER}


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ([ONE], [replace(ONE, stage="two")], [("opens-later", "two", "carrot", Way.STRICTER)]),
        ([replace(ONE, stage="two")], [ONE], [("opens-earlier", "one", "carrot", Way.WIDER)]),
        (
            [ONE],
            [replace(ONE, allowance=Allowance.FREELY, forms=())],
            [("allowance-changed", "one", "carrot", Way.WIDER)],
        ),
        ([ONE], [replace(ONE, forms=(PUREED,))], [("forms-changed", "one", "carrot", Way.STRICTER)]),
        ([ONE], [replace(ONE, note="Soft.")], [("note-changed", "one", "carrot", Way.NEITHER)]),
        ([ONE], [ONE, replace(ONE, stage="two")], [("row-added", "two", "carrot", Way.NEITHER)]),
        (
            [replace(ONE, food="", group="soft roots")],
            [
                replace(ONE, food="", group="soft roots"),
                replace(ONE, allowance=Allowance.FLAVOUR_ONLY, forms=()),
            ],
            [
                ("own-rows-added", "one", "carrot", Way.NEITHER),
                ("allowance-changed", "one", "carrot", Way.STRICTER),
            ],
        ),
        (
            [ONE],
            [ONE, Rule("three", Allowance.NOT_YET, food="carrot")],
            [("allowance-changed", "three", "carrot", Way.STRICTER)],
        ),
    ],
)
def test_a_row(old, new, expected) -> None:
    assert said(small(*old), small(*new)) == expected


def test_the_amounts_of_a_first_taste() -> None:
    five, ten = (Decimal(5), "g"), (Decimal(10), "g")
    old = Rule("one", Allowance.FIRST_TASTES, food="carrot", start=five)
    assert said(small(old), small(replace(old, start=ten))) == [
        ("amounts-changed", "one", "carrot", Way.NEITHER)
    ]


def test_stages_come_go_and_change() -> None:
    one, two, three = STAGES
    new = (one, replace(two, title="Second", least_days=6), Stage("four", 3, "Four", "Aim.", 5, 10))
    assert said(small(ONE), small(ONE, stages=new)) == [
        ("stage-removed", "three", "three", Way.NEITHER),
        ("stage-renamed", "two", "two", Way.NEITHER),
        ("days-changed", "two", "two", Way.NEITHER),
        ("stage-added", "four", "four", Way.NEITHER),
    ]
    assert {row[:3] for row in said(small(ONE), small(ONE, stages=(two, one, three)))} >= {
        ("stage-moved", "one", "one"),
        ("stage-moved", "two", "two"),
    }


def test_a_stage_put_in_between_says_only_what_it_opens() -> None:
    between = (STAGES[0], Stage("half", 2, "Half", "Aim.", 5, 10), *STAGES[1:])
    assert said(small(ONE), small(ONE, stages=between)) == [("stage-added", "half", "half", Way.NEITHER)]


def test_modifiers_challenges_and_lead_in() -> None:
    modifier = Modifier("reflux", food="carrot", allowance=Allowance.NOT_YET)
    challenge = Challenge("lactose", "Lactose", "milk", BOILED, "two", ((Decimal(60), "ml"),), 3, 3)
    task = LeadInTask("kraut", "Start the cabbage", "culture", 28)
    full = {"modifiers": (modifier,), "challenges": (challenge,), "lead_in": (task,)}
    assert said(small(ONE), small(ONE, **full)) == [
        ("modifier-added", "", "carrot", Way.STRICTER),
        ("challenge-added", "two", "lactose", Way.NEITHER),
        ("lead-in-added", "", "kraut", Way.NEITHER),
    ]
    changed = {
        "modifiers": (replace(modifier, note="Pause it."),),
        "challenges": (replace(challenge, washout_days=4),),
        "lead_in": (replace(task, days_before=30),),
    }
    found = differences(small(ONE, **full), small(ONE, **changed), FOODS)
    assert [one.code for one in found] == ["modifier-changed", "challenge-changed", "lead-in-changed"]
    assert [one.facts.get("fields") for one in found[1:]] == [("washout_days",), ("days_before",)]


def test_what_is_said_of_the_protocol_itself() -> None:
    new = small(ONE, caution="Ask first.", dietitian=True)
    codes = [one.code for one in differences(small(ONE), replace(new, source="Other"), FOODS)]
    assert codes == ["source-changed", "caution-changed", "dietitian-changed"]


def test_forms_cover() -> None:
    assert covers((), (BOILED,))
    assert not covers((BOILED,), ())
    assert covers((BOILED,), (PUREED,))
    assert not covers((PUREED,), (BOILED,))
