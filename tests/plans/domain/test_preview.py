"""From which stage a dish is possible, checked against ``fit`` and ``permits`` stage by stage."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.domain.fit import fit
from plans.domain.preview import Means, changed, dish_of, preview
from plans.domain.rulebook import RuleBook, stage_allowances
from plans.domain.vocabulary import FORM_WORDS, Use
from tests.plans.domain.hand_made import food, form, line, protocol, recipe, rule

FOODS = {
    key: food(key, group)
    for key, group in (
        ("carrot", "roots"),
        ("beet", "roots"),
        ("onion", "alliums"),
        ("butter", "fats"),
        ("nettle", "greens"),
    )
}
PROTOCOL = protocol(
    rule("one", "as prepared", "carrot", "boiled + peeled"),
    rule("two", "freely", "carrot"),
    rule("one", "flavour only", "onion", "boiled"),
    rule("three", "as prepared", "onion", "boiled"),
    rule(
        "two",
        "first tastes",
        "butter",
        start=(Decimal(5), "g"),
        step=(Decimal(5), "g"),
        every_days=2,
        most=(Decimal(20), "g"),
    ),
    rule("three", "freely", "butter"),
)

ALLOWANCES = ("flavour only", "first tastes", "as prepared", "freely")
form_texts = st.sets(
    st.sampled_from(("boiled", "raw", "baked", "peeled", "deseeded")), min_size=1, max_size=3
).map(lambda words: " + ".join(sorted(words)))


@st.composite
def rules(draw: st.DrawFn):
    """A row for a food or a group at some stage; first tastes with their amounts."""
    by_group = draw(st.booleans())
    target = draw(st.sampled_from(("roots", "alliums", "fats") if by_group else tuple(FOODS)))
    allowance = draw(st.sampled_from(ALLOWANCES))
    least = 1 if allowance == "as prepared" else 0
    forms = draw(st.lists(form_texts, min_size=least, max_size=2))
    fields = {"start": (Decimal(5), "g"), "most": (Decimal(30), "g")} if allowance == "first tastes" else {}
    return rule(
        draw(st.sampled_from(("one", "two", "three"))), allowance, target, *forms, group=by_group, **fields
    )


lines = st.builds(
    line,
    st.sampled_from(("5 g", "30 g", "300 g", "1 mystery")),
    st.sampled_from((*FOODS, "unheard-of")),
    form_texts,
    st.sampled_from([use.value for use in Use]),
)
dishes = st.lists(lines, min_size=1, max_size=5).map(lambda parts: dish_of(parts, Decimal(2)))
protocols = st.lists(rules(), max_size=8).map(lambda rows: protocol(*rows))


def fits(dish, held):
    """What ``fit`` says at each stage, by the whole book."""
    book = RuleBook.compile(held, FOODS.values())
    return [(stage, fit(dish, stage_allowances(book, stage.key), FOODS)) for stage in held.stages]


@settings(max_examples=200)
@given(dishes, protocols)
def test_the_stage_is_the_first_at_which_the_dish_fits(dish, held) -> None:
    found = preview(dish, held, FOODS)
    assert found.stage == next((stage for stage, how in fits(dish, held) if how.ok), None)


@settings(max_examples=200)
@given(dishes, protocols)
def test_what_holds_it_back_does_and_without_it_the_dish_fits_when_said(dish, held) -> None:
    found = preview(dish, held, FOODS)
    assert (not found.held_by) == (found.stage == held.stages[0])
    if found.without is not None:
        rest = tuple(
            part for part in dish.ingredients if part.use is not Use.BASE or part.food not in found.held_by
        )
        how = dict(fits(replace(dish, ingredients=rest), held))
        assert how[found.without].ok
        assert not any(how[stage].ok for stage in held.stages if stage.number < found.without.number)
        assert found.stage is None or found.without.number < found.stage.number


@settings(max_examples=200)
@given(dishes, protocols)
def test_each_ingredient_is_let_in_first_where_it_says(dish, held) -> None:
    for part in preview(dish, held, FOODS).parts:
        alone = replace(dish, ingredients=(part.ingredient,))
        let_in = [stage for stage, how in fits(alone, held) if how.ok and not how.without]
        assert part.stage == (let_in[0] if let_in else None)


@settings(max_examples=300)
@given(dishes, protocols)
def test_each_suggested_change_lets_it_in_then_and_not_before(dish, held) -> None:
    for part in preview(dish, held, FOODS).parts:
        for change in part.changes:
            assert part.stage is None or change.stage.number < part.stage.number
            new = changed(part.ingredient, change)
            how = dict(fits(replace(dish, ingredients=(new,)), held))
            assert how[change.stage].ok
            if change.means is Means.LEAVE_OUT:
                assert change.stage == held.stages[0]
                continue
            assert not how[change.stage].without
            assert all(
                how[stage].without or not how[stage].ok
                for stage in held.stages
                if stage.number < change.stage.number
            )
            assert new.form <= FORM_WORDS


def told(*lines, servings: int = 1):
    return preview(dish_of(lines, Decimal(servings)), PROTOCOL, FOODS)


def test_the_strictest_ingredient_decides() -> None:
    found = told(line("100 g", "carrot"), line("50 g", "onion"))
    assert (found.stage.key, found.held_by, found.without.key) == ("three", ("onion",), "two")


def test_peeling_is_offered_and_flavouring_and_leaving_out() -> None:
    carrot, onion = told(line("100 g", "carrot"), line("50 g", "onion")).parts
    assert [(change.means, change.stage.key) for change in carrot.changes] == [
        (Means.FORM, "one"),
        (Means.FLAVOUR, "one"),
        (Means.LEAVE_OUT, "one"),
    ]
    assert carrot.changes[0].form == form("boiled + peeled")
    assert [(change.means, change.stage.key) for change in onion.changes] == [
        (Means.FLAVOUR, "one"),
        (Means.LEAVE_OUT, "one"),
    ]


def test_other_cooking_is_exchanged_and_work_is_kept() -> None:
    (part,) = told(line("100 g", "carrot", "raw + grated")).parts
    assert part.changes[0].form == form("boiled + peeled + grated")


@pytest.mark.parametrize(("amount", "stage"), [("20 g", "two"), ("21 g", "three")])
def test_a_first_taste_counts_up_to_its_most(amount: str, stage: str) -> None:
    found = told(line(amount, "butter", "boiled"))
    assert found.stage.key == stage
    assert found.parts[0].is_first_taste == (stage == "two")


def test_two_lines_of_one_food_count_together() -> None:
    found = told(line("15 g", "butter", "boiled"), line("15 g", "butter", "baked"))
    assert [part.stage.key for part in found.parts] == ["two", "two"]
    assert (found.stage.key, found.held_by) == ("three", ("butter",))


def test_what_is_never_opened_is_named() -> None:
    found = told(line("100 g", "carrot", "boiled + peeled"), line("10 g", "nettle"))
    assert (found.stage, found.held_by, found.without.key) == (None, ("nettle",), "one")


def test_a_plate_food_is_left_off_and_holds_nothing_back() -> None:
    found = told(line("100 g", "carrot", "boiled + peeled"), line("10 g", "nettle", "boiled", "plate"))
    assert (found.stage.key, found.held_by, found.left_off) == ("one", (), ("nettle",))


def test_a_dish_of_the_one_food_is_not_offered_without_it() -> None:
    found = told(line("10 g", "nettle"))
    assert (found.without, found.parts[0].changes) == (None, ())


def test_a_saved_recipe_is_looked_at_alike() -> None:
    dish = recipe("soup", line("100 g", "onion"))
    assert preview(dish, PROTOCOL, FOODS).stage.key == "three"
