"""What a week takes from its pots of stock: mugs on their days, dishes on the day they are cooked."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given

from plans.domain.batch.trade import Kind
from plans.domain.batch.week_need import stock_needs
from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, Cook, Kitchen, Plate, Week
from plans.domain.stock_level import stock_level
from plans.domain.vocabulary import Slot, Use
from tests.plans.domain.stock_weeks import Case, weeks

MONDAY = date(2026, 3, 2)
FOODS = {
    food.key: food
    for food in (
        Food("chicken-bones", "Chicken bones", "bones", "meat"),
        Food("herring-heads", "Herring heads", "fish bones", "fish"),
        Food("carrot", "Carrot", "roots", "vegetables"),
        Food("stock", "Stock", "stocks", "home-made", density_g_per_ml=Decimal(1), home_made=True),
        Food("cream", "Cream", "dairy", "eggs-dairy", density_g_per_ml=Decimal(1)),
    )
}


def line(food: str, quantity: str, unit: str = "ml", use: Use = Use.BASE) -> Ingredient:
    return Ingredient(Decimal(quantity), unit, food, frozenset({"boiled"}), use)


def recipe(key: str, *lines: Ingredient, makes: str = "", portion: tuple[str, str] = ("250", "ml")) -> Recipe:
    return Recipe(
        key=key,
        title=key.title(),
        kind="stock" if makes else "main",
        slots=(Slot.MUG,),
        main=key,
        servings=Decimal(4),
        portion=(Decimal(portion[0]), portion[1]),
        ingredients=lines,
        steps=(),
        hands_on_min=10,
        elapsed_min=60,
        fridge_days=3,
        freezer_days=90,
        batch=True,
        makes=makes,
    )


STOCK = recipe("stock-pot", line("chicken-bones", "1000", "g"), line("carrot", "100", "g"), makes="stock")
SOUP = recipe("soup", line("stock", "1000"), line("cream", "200"), line("carrot", "400", "g"))


def needs(*cooks: Cook, plates: tuple[Plate, ...] = (), recipes: tuple[Recipe, ...] = (STOCK, SOUP)):
    week = Week(MONDAY, 7, cooks, plates, {}, 0, 0)
    brief = Brief(MONDAY, 7, (), FOODS, recipes, Kitchen((60,) * 7, (6000,)))
    return stock_needs(week, brief)


def day(count: int) -> date:
    return MONDAY + timedelta(days=count)


def cook(key: str, dish: str, on: int, portions: str = "4", **facts) -> Cook:
    return Cook(key, dish, day(on), Decimal(portions), **facts)


def mug(pot: str, on: int, portions: str = "1") -> Plate:
    return Plate(day(on), Slot.MUG, "ann", pot, Decimal(portions))


def test_mugs_come_from_the_pot_they_name_and_dishes_from_the_one_they_draw_on():
    found = needs(
        cook("a", "stock-pot", -1, "5"),
        cook("b", "stock-pot", 3, "5"),
        cook("soup-1", "soup", 1, "2"),
        cook("soup-2", "soup", 3, "4"),
        plates=(mug("a", 0), mug("a", 0, "0.5"), mug("a", 4), mug("b", 4), mug("soup-1", 1)),
    )
    # A portion of soup takes 1000 / 4 = 250 ml of stock, one portion of it; the cream is no stock of the house.
    # The second soup takes what stands fresh on the stove before what would have to be thawed.
    assert found["a"].need.portions == {day(0): Decimal("1.5"), day(1): 2, day(4): 1}
    assert found["b"].need.portions == {day(3): 4, day(4): 1}
    assert (found["a"].kind, found["a"].on, found["a"].need.broth_ml) == (Kind.POULTRY, day(-1), 250)


def test_of_two_pots_that_keep_the_older_is_asked_first_and_the_newest_for_no_more_than_it_makes():
    found = needs(
        cook("old", "stock-pot", 0, "6"),
        cook("new", "stock-pot", 2, "1"),
        cook("soup", "soup", 3, "4"),
        plates=(mug("old", 1, "3"),),
    )
    assert found["old"].need.portions == {day(1): 3, day(3): 3}
    assert found["new"].need.portions == {day(3): 1}


def test_a_newest_pot_that_is_too_small_gives_what_it_has_and_the_freezer_the_rest():
    """From the refrigerator before the freezer: the old pot, kept three days, is thawed on the sixth."""
    found = needs(cook("old", "stock-pot", 0, "6"), cook("new", "stock-pot", 4, "1"), cook("soup", "soup", 5))
    assert found["new"].need.portions == {day(5): 1}
    assert found["old"].need.portions == {day(5): 3}


def test_what_no_pot_of_the_week_can_give_is_asked_of_none():
    assert needs(cook("late", "stock-pot", 2), cook("soup", "soup", 0, "4")) == {}
    found = needs(cook("small", "stock-pot", 0, "1"), cook("soup", "soup", 1, "4"))
    assert found["small"].need.portions == {day(1): 1}


@given(weeks())
def test_a_pot_is_never_asked_for_more_than_it_makes_where_its_mugs_leave_something(case: Case):
    """The mugs a plate names are the week's own word; what dishes draw has to fit beside them."""
    found = stock_needs(case.week, case.brief)
    for one in case.week.cooks:
        mugs = sum((plate.portions for plate in case.week.plates if plate.cook == one.key), Decimal(0))
        if one.key in found:
            asked = found[one.key].need.total
            # A division that does not come out leaves a crumb in the twenty-eighth digit.
            assert asked <= max(one.portions, mugs) + Decimal("1e-20")


@given(weeks())
def test_a_batch_is_asked_for_what_the_ledger_of_the_week_takes(case: Case):
    """The ledger replays every draw and every mug; a bone stock that gives all it is asked for agrees with it."""
    found = stock_needs(case.week, case.brief)
    for level in stock_level(case.week, case.brief):
        for pot in level.pots:
            used = sum(
                move.ml for move in level.moves if move.pot == pot.key and move.kind in ("mug", "dish")
            )
            need = found.get(pot.key)
            asked = Fraction(need.need.total * need.need.broth_ml) if need else Fraction(0)
            assert abs(asked - used) < Fraction(1, 10**18) or asked > pot.made_ml


def test_a_pot_that_does_without_the_stock_takes_none():
    found = needs(cook("a", "stock-pot", 0), cook("soup", "soup", 1, without=("stock",)))
    assert found == {}


def test_nothing_is_worked_out_for_what_is_no_stock_of_bones_or_cannot_be_measured():
    plain = recipe("plain", line("carrot", "400", "g"), makes="stock")
    by_piece = replace(STOCK, portion=(Decimal(1), "piece"))
    for made in (plain, by_piece):
        assert needs(cook("a", made.key, 0), plates=(mug("a", 0),), recipes=(made,)) == {}


@pytest.mark.parametrize(
    ("food", "kind"), [("chicken-bones", Kind.POULTRY), ("herring-heads", Kind.FISH), ("carrot", None)]
)
def test_the_animal_is_read_from_what_is_boiled_out(food: str, kind: Kind | None):
    made = recipe("pot", line("carrot", "1", "g"), line(food, "1000", "g"), makes="stock")
    found = needs(cook("a", "pot", 0), plates=(mug("a", 0),), recipes=(made,))
    assert [each.kind for each in found.values()] == ([] if kind is None else [kind])


def test_a_portion_by_weight_takes_a_millilitre_a_gram():
    made = replace(STOCK, portion=(Decimal(300), "g"))
    found = needs(cook("a", made.key, 0), plates=(mug("a", 0, "2"),), recipes=(made,))
    assert (found["a"].need.broth_ml, found["a"].need.portions) == (300, {day(0): 2})
