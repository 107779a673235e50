"""What the book says of a food, and why."""

from plans.domain.food_facts import families_from, limits_from, stages_of
from plans.domain.vocabulary import Allowance
from tests.plans.domain.hand_made import food, protocol, rule

YOLK = food("egg-yolk", families=frozenset({"egg"}), limits=frozenset({"raw-egg"}))
GREENS = food("greens", limits=frozenset({"high-vitamin-k"}))
MAYONNAISE = food("mayonnaise", contains=("egg-yolk", "greens"), families=frozenset({"mustard"}))
SANDWICH = food("sandwich", contains=("mayonnaise",), families=frozenset({"wheat", "gluten", "egg"}))
FOODS = {one.key: one for one in (YOLK, GREENS, MAYONNAISE, SANDWICH)}


def test_families_are_told_with_all_that_bring_them() -> None:
    found = {one.family: one.foods for one in families_from("sandwich", FOODS)}
    assert found == {
        "egg": ("sandwich", "egg-yolk"),
        "wheat": ("sandwich",),
        "gluten": ("sandwich",),
        "mustard": ("mayonnaise",),
    }


def test_foods_that_contain_each_other_end() -> None:
    ring = {"a": food("a", contains=("b",)), "b": food("b", contains=("a",), families=frozenset({"milk"}))}
    assert [one.foods for one in families_from("a", ring)] == [("b",)]


def test_limits_are_inherited_where_they_hold_for_what_contains_the_food() -> None:
    assert {(one.limit.name, one.food) for one in limits_from("sandwich", FOODS)} == {("raw-egg", "egg-yolk")}
    assert {(one.limit.name, one.food) for one in limits_from("greens", FOODS)} == {
        ("high-vitamin-k", "greens")
    }


def test_stages_are_told_where_they_say_something_new() -> None:
    held = protocol(
        rule("two", "as prepared", "things", "boiled", group=True), rule("three", "freely", "greens")
    )
    told = [(stage.key, row.given.allowance) for stage, row in stages_of(GREENS, held)]
    assert told == [("one", Allowance.NOT_YET), ("two", Allowance.NOT_YET), ("three", Allowance.FREELY)][::2]
    told = [(stage.key, row.given.allowance) for stage, row in stages_of(YOLK, held)]
    assert told == [("one", Allowance.NOT_YET), ("two", Allowance.AS_PREPARED)]
