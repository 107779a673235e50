"""What a protocol leaves open, each gap with the row it is in."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given

from plans.domain.book import Challenge, Food, Ingredient, Modifier, Protocol, Recipe, Rule, Stage
from plans.domain.gaps import gaps
from plans.domain.vocabulary import Allowance, Slot
from tests import shipped
from tests.plans.book_strategies import FOOD_KEYS, GROUPS, protocols

BOILED = frozenset({"boiled"})
FOODS = {"carrot": Food("carrot", "Carrot", "soft roots", "vegetables")}
STAGES = (Stage("one", 1, "One", "Aim.", 5, 10), Stage("two", 2, "Two", "Aim.", 5, 10))
OPEN = Rule("one", Allowance.AS_PREPARED, food="carrot", forms=(BOILED,))
DISH = Recipe(
    key="carrots",
    title="Carrots",
    kind="main",
    slots=tuple(Slot),
    main="carrots",
    servings=Decimal(2),
    portion=(Decimal(300), "g"),
    ingredients=(Ingredient(Decimal(600), "g", "carrot", BOILED),),
    steps=("Boil them.",),
    hands_on_min=10,
    elapsed_min=30,
    fridge_days=3,
    freezer_days=0,
    batch=True,
)
WHOLE = Protocol("small", "Small", "A small one.", "own invention", STAGES, (OPEN,))


def found(protocol: Protocol, recipes=(DISH,)) -> list[tuple[str, int, str, str]]:
    return [(gap.code, gap.index, gap.stage, gap.target) for gap in gaps(protocol, FOODS, recipes)]


def with_rules(*rules: Rule) -> Protocol:
    return replace(WHOLE, rules=(OPEN, *rules))


def test_a_whole_protocol_has_none() -> None:
    assert found(WHOLE) == []


def test_a_dish_that_takes_more_than_a_first_taste_ever_grows_to_is_no_dish() -> None:
    tastes = Rule("one", Allowance.FIRST_TASTES, food="carrot", start=(Decimal(5), "g"))
    grown = replace(tastes, step=(Decimal(50), "g"), every_days=1, most=(Decimal(300), "g"))
    assert {code for code, *_ in found(replace(WHOLE, rules=(tastes,)))} == {"no-dish"}
    assert found(replace(WHOLE, rules=(grown,))) == []


@pytest.mark.parametrize(
    ("protocol", "gap"),
    [
        (with_rules(Rule("two", Allowance.FREELY, food="yam")), ("no-food", 1, "two", "yam")),
        (with_rules(Rule("two", Allowance.FREELY, group="yams")), ("no-food", 1, "two", "yams")),
        (with_rules(replace(OPEN, note="Again.")), ("twice", 1, "one", "carrot")),
        (
            with_rules(Rule("two", Allowance.FLAVOUR_ONLY, food="carrot")),
            ("closes-again", 1, "two", "carrot"),
        ),
        (
            replace(WHOLE, stages=(replace(STAGES[0], least_days=11), STAGES[1])),
            ("days-out-of-order", 0, "one", ""),
        ),
        (
            replace(WHOLE, stages=(STAGES[0], replace(STAGES[1], most_days=9))),
            ("days-out-of-order", 1, "two", ""),
        ),
        (
            replace(WHOLE, challenges=(Challenge("c", "C", "milk", BOILED, "two", (), 3, 3),)),
            ("challenge-without-food", 0, "two", "milk"),
        ),
        (
            replace(WHOLE, modifiers=(Modifier("reflux", food="yam", require=BOILED),)),
            ("modifier-never-open", 0, "", "yam"),
        ),
        (
            with_rules(Rule("two", Allowance.AS_PREPARED, food="carrot", forms=(BOILED, frozenset({"raw"})))),
            ("form-without-recipe", 1, "two", "carrot"),
        ),
    ],
)
def test_a_gap_points_at_its_row(protocol, gap) -> None:
    assert gap in found(protocol)


def test_a_food_that_is_never_open() -> None:
    shut = replace(WHOLE, rules=(Rule("one", Allowance.NOT_YET, food="carrot"),))
    assert ("never-open", 0, "one", "carrot") in found(shut)


def test_a_meal_without_a_dish() -> None:
    only_midday = replace(DISH, slots=(Slot.MIDDAY,))
    missing = [(gap.stage, gap.facts["slot"]) for gap in gaps(WHOLE, FOODS, [only_midday])]
    others = [slot for slot in Slot if slot is not Slot.MIDDAY]
    assert missing == [(stage.key, slot) for stage in STAGES for slot in others]


def test_a_form_nobody_cooks_is_said_once() -> None:
    raw = frozenset({"raw"})
    rules = tuple(
        Rule(stage.key, Allowance.AS_PREPARED, food="carrot", forms=(BOILED, raw)) for stage in STAGES
    )
    assert found(replace(WHOLE, rules=rules)) == [("form-without-recipe", 0, "one", "carrot")]


@given(protocols())
def test_what_the_file_reader_takes_has_no_mistakes(protocol) -> None:
    book = {key: Food(key, key, GROUPS[place % 3], "vegetables") for place, key in enumerate(FOOD_KEYS)}
    assert [gap for gap in gaps(protocol, book, ()) if gap.is_mistake] == []


@pytest.mark.parametrize("key", ["hearth-five", "three-phase"])
def test_no_shipped_protocol_has_mistakes_or_a_meal_without_a_dish(key) -> None:
    left = gaps(shipped.protocol(key), shipped.rulebook(None).foods, shipped.recipes())
    assert [gap for gap in left if gap.is_mistake or gap.code in ("no-dish", "modifier-never-open")] == []
