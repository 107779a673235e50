"""What is near and what is far. The thresholds are the house's own: common practice, no source."""

import pytest
from hypothesis import given

from plans.domain.duplicates import RecipeLikeness, foods_likeness, names_taken, title_likeness
from tests import shipped
from tests.plans.book_strategies import foods as any_food
from tests.plans.domain.hand_made import food, line, recipe

FOODS = {key: food(key) for key in ("carrot", "chicken", "stock", "leek", "apple", "oat", "salt")}
SOUP = recipe(
    "soup",
    line("500 g", "carrot"),
    line("400 g", "chicken"),
    line("1000 ml", "stock"),
    title="Chicken and carrot soup",
)


def like(other) -> list[str]:
    return [found.key for found in RecipeLikeness([SOUP], FOODS).like(other)]


@pytest.mark.parametrize(
    "other",
    [
        recipe("a", line("1 g", "apple"), title="Carrot & chicken soup"),
        recipe("b", line("1 g", "apple"), title="My CHICKEN and carrots soup"),
        recipe(
            "c", line("480 g", "carrot"), line("420 g", "chicken"), line("1 l", "stock"), title="Sunday pot"
        ),
        recipe(
            "d",
            line("250 g", "carrot"),
            line("200 g", "chicken"),
            line("500 ml", "stock"),
            title="Half a pot",
        ),
        recipe(
            "e",
            line("500 g", "carrot"),
            line("400 g", "chicken"),
            line("900 ml", "stock"),
            line("90 g", "leek"),
            title="Soup of chicken",
        ),
    ],
    ids=lambda other: other.title,
)
def test_near(other) -> None:
    assert like(other) == ["soup"]


@pytest.mark.parametrize(
    "other",
    [
        recipe("a", line("500 g", "apple"), line("100 g", "oat"), title="Apple bowl"),
        recipe("b", line("500 g", "leek"), line("1 l", "stock"), title="Leek soup"),
        recipe("c", line("500 g", "carrot"), title="Carrot mash"),
        recipe(
            "d",
            line("900 g", "carrot"),
            line("100 g", "chicken"),
            line("100 ml", "stock"),
            title="Braised carrots",
        ),
    ],
    ids=lambda other: other.title,
)
def test_far(other) -> None:
    assert like(other) == []


def test_a_recipe_is_not_like_itself() -> None:
    assert like(SOUP) == []


def test_likeness_goes_from_nothing_to_the_same() -> None:
    assert title_likeness("Leeks and carrots", "carrot with leek") == 1
    assert title_likeness("", "") == 0
    assert foods_likeness(SOUP, SOUP, FOODS) == 1
    assert foods_likeness(SOUP, recipe("x", line("1 g", "apple")), FOODS) == 0


def test_the_shipped_recipes_hardly_point_at_one_another() -> None:
    """Stewed apple comes as a side and in a bowl; no other pair may be taken for the same dish."""
    book = RecipeLikeness(shipped.recipes(), {one.key: one for one in shipped.foods()})
    pairs = {frozenset((one.key, found.key)) for one in shipped.recipes() for found in book.like(one)}
    assert pairs == {frozenset(("stewed-apple-side", "stewed-apple-almond-bowl"))}


COURGETTE = food("courgette", name="Courgette", names=("zucchini", "Zucchino"))


@pytest.mark.parametrize(
    ("new", "name"),
    [
        (food("zucchini", name="Zucchini"), "Zucchini"),
        (food("summer-squash", name="Summer squash", names=("ZUCCHINO",)), "ZUCCHINO"),
        (food("squash", name="Courgettes"), "Courgettes"),
    ],
)
def test_a_name_that_finds_another_food_is_told(new, name: str) -> None:
    assert [(taken.name, taken.food) for taken in names_taken(new, [COURGETTE])] == [(name, "courgette")]


def test_a_new_name_and_a_foods_own_names_are_free() -> None:
    assert names_taken(food("marrow", name="Marrow"), [COURGETTE]) == ()
    assert names_taken(COURGETTE, [COURGETTE]) == ()


@given(any_food())
def test_a_food_finds_itself_under_another_key(one) -> None:
    other = food("zz-other", name=one.name, names=one.names)
    assert names_taken(other, [one])
