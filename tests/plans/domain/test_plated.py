"""What an eater's plates hold: everything the pots hold, shared out, and nothing that was left off."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.nutrients import portion_totals, total
from plans.domain.plated import mean_kcal, plated
from plans.domain.rulebook import RuleBook
from plans.domain.takings import pots_take
from plans.domain.vocabulary import Slot, Use
from plans.selectors import nutrient_table
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

DAY = timedelta(days=1)
KEYS = ("chicken-thigh", "carrot", "ghee", "onion", "parsley", "bay-leaf", "chicken-stock", "chicken-carcass")
BOOK = RuleBook.compile(None, [*map(food, KEYS), food("rock", density_g_per_ml=None)])
SOUP = recipe(
    "soup",
    line("400 g", "chicken-thigh"),
    line("150 g", "carrot"),
    line("1 l", "chicken-stock", "broth"),
    line("40 g", "onion", "boiled", "optional"),
    line("10 g", "ghee", "rendered", "base"),
    line("6 g", "ghee", "rendered", "plate"),
    line("9 g", "parsley", "raw", "plate"),
    line("2 g", "bay-leaf", "broth", "flavour"),
    servings=Decimal(2),
)
STOCK = recipe(
    "stock-pot",
    line("800 g", "chicken-carcass", "broth"),
    line("100 g", "carrot", "broth"),
    slots=("mug",),
    kind="stock",
    makes="chicken-stock",
    portion=(Decimal(250), "ml"),
)
STONES = recipe("stones", line("1 cup", "rock"), line("80 g", "carrot"))
BRIEF = brief((eater("a", BOOK), eater("b", BOOK)), BOOK, SOUP, STOCK, STONES)


def plate(who: str, cook: Cook, *without: str, portions: str = "1", days: int = 0) -> Plate:
    return Plate(cook.on + days * DAY, Slot.MIDDAY, who, cook.key, Decimal(portions), "fresh", without)


def pot(dish: str = "soup", portions: str = "2", **more) -> Cook:
    return Cook(f"{dish} pot", dish, MONDAY, Decimal(portions), **more)


def week_of(cook: Cook, *plates: Plate) -> Week:
    return Week(MONDAY, 7, (cook,), plates, {}, 0.0, 0.0)


def test_a_plate_has_its_portions_of_all_that_stays_in_the_dish():
    cook = pot()
    found = plated(week_of(cook, plate("a", cook, portions="0.5"), plate("b", cook)), BRIEF, "a")
    assert found.grams == {
        "chicken-thigh": 100,
        "carrot": Decimal("37.5"),
        "chicken-stock": 250,
        "onion": 10,
        "ghee": 4,
        "parsley": Decimal("2.25"),
    }
    assert (found.days, found.meals, found.unweighed) == ((MONDAY,), 1, ())


def test_what_is_left_off_one_plate_is_on_the_other_and_the_base_stays():
    cook = pot()
    week = week_of(cook, plate("a", cook, "parsley", "ghee"), plate("b", cook))
    without, with_all = plated(week, BRIEF, "a").grams, plated(week, BRIEF, "b").grams
    assert "parsley" not in without and with_all["parsley"] == Decimal("4.5")
    assert (without["ghee"], with_all["ghee"]) == (5, 8)


@pytest.mark.parametrize("in_the_cook", [True, False])
def test_what_stays_out_of_the_pot_is_on_no_plate(in_the_cook: bool):
    cook = pot(without=("onion",)) if in_the_cook else pot()
    week = week_of(cook, plate("a", cook), plate("b", cook, "onion"))
    assert "onion" not in plated(week, BRIEF, "a").grams


def test_a_mug_of_stock_is_stock_and_not_its_bones():
    cook = pot("stock-pot", "10")
    found = plated(week_of(cook, plate("a", cook, portions="2")), BRIEF, "a")
    assert found.grams == {"chicken-stock": 500}


def test_a_stock_nobody_can_weigh_is_named():
    cook = pot("stock-pot", "10")
    foods = {key: kept for key, kept in BRIEF.foods.items() if key != "chicken-stock"}
    found = plated(week_of(cook, plate("a", cook)), replace(BRIEF, foods=foods), "a")
    assert (found.grams, found.unweighed) == ({}, ("chicken-stock",))


def test_what_nobody_can_weigh_is_named_and_the_rest_counted():
    cook = pot("stones")
    found = plated(week_of(cook, plate("a", cook)), BRIEF, "a")
    assert (found.grams, found.unweighed) == ({"carrot": 80}, ("rock",))


def test_days_with_a_plate_are_counted_once():
    cook = pot(portions="4")
    week = week_of(cook, plate("a", cook), plate("a", cook, days=2), plate("a", cook, days=2))
    found = plated(week, BRIEF, "a")
    assert (found.days, found.meals) == ((MONDAY, MONDAY + 2 * DAY), 3)


def test_an_eater_without_plates_has_nothing():
    found = plated(week_of(pot()), BRIEF, "a")
    assert (found.grams, found.days, found.meals) == ({}, (), 0)


def test_a_plain_plate_holds_what_a_portion_holds():
    cook, table = pot(), nutrient_table()
    found = plated(week_of(cook, plate("a", cook)), BRIEF, "a")
    assert total(found.grams, table) == portion_totals(SOUP, BRIEF.foods, table)


def test_an_unweighed_part_is_unknown_as_it_is_of_a_portion():
    cook, table = pot("stones"), nutrient_table()
    found = plated(week_of(cook, plate("a", cook)), BRIEF, "a")
    of_a_portion = portion_totals(STONES, BRIEF.foods, table)
    for nutrient, held in total(found.grams, table).items():
        assert (held.value, held.coverage) == (of_a_portion[nutrient].value, of_a_portion[nutrient].coverage)
        assert {*held.unknown_for, *found.unweighed} == set(of_a_portion[nutrient].unknown_for)


@st.composite
def dishes(draw: st.DrawFn) -> tuple[Brief, Week]:
    """One dish of any ingredients, eaten up by two eaters in any shares, who leave off what may be left off."""
    lines = draw(
        st.lists(
            st.builds(
                lambda grams, key, use: line(f"{grams} g", key, use=use),
                st.decimals("0.1", "3000", places=1),
                st.sampled_from(KEYS),
                st.sampled_from([use.value for use in Use]),
            ),
            min_size=1,
            max_size=6,
        )
    )
    dish = recipe("dish", *lines, servings=draw(st.decimals("0.5", "12", places=1)))
    leavable = sorted({part.food for part in lines if part.use is not Use.BASE})
    some = st.lists(st.sampled_from(leavable), unique=True) if leavable else st.just([])
    shares = draw(st.lists(st.decimals("0.05", "3", places=2), min_size=1, max_size=6))
    cook = Cook("c", "dish", MONDAY, sum(shares, Decimal(0)), without=tuple(draw(some)))
    plates = [
        plate(draw(st.sampled_from("ab")), cook, *draw(some), portions=str(share), days=place % 7)
        for place, share in enumerate(shares)
    ]
    return brief((eater("a", BOOK), eater("b", BOOK)), BOOK, dish), week_of(cook, *plates)


def close(grams) -> object:
    """Grams to a trillionth: a recipe's amounts divided by its servings need not end."""
    return pytest.approx(float(grams), rel=1e-12)


@given(dishes())
def test_the_plates_together_hold_what_the_pot_holds_but_for_its_flavours(asked):
    held, week = asked
    (dish,) = held.recipes
    together: dict[str, Decimal] = {}
    for who in "ab":
        for key, grams in plated(week, held, who).grams.items():
            together[key] = together.get(key, Decimal(0)) + grams
    kept = replace(dish, ingredients=tuple(part for part in dish.ingredients if part.use is not Use.FLAVOUR))
    taken = pots_take(week, replace(held, recipes=(kept,)), {"dish": kept})
    assert {key: float(grams) for key, grams in together.items()} == {
        key: close(sum((each.need for each in taken.of(key)), Fraction(0))) for key in taken.foods()
    }


@given(dishes())
def test_what_is_left_off_is_not_counted(asked):
    held, week = asked
    (dish,) = held.recipes
    base = {part.food for part in dish.ingredients if part.use is Use.BASE}
    for who in "ab":
        own = [plate.without for plate in week.plates if plate.eater == who]
        off_every_plate = set.intersection(*map(set, own)) if own else set(KEYS)
        assert not plated(week, held, who).grams.keys() & (off_every_plate - base)


@given(dishes(), st.decimals("0.1", "3", places=2))
def test_amounts_go_with_the_appetite(asked, times: Decimal):
    held, week = asked
    larger = replace(
        week, plates=tuple(replace(each, portions=each.portions * times) for each in week.plates)
    )
    for who in "ab":
        once, more = plated(week, held, who), plated(larger, held, who)
        assert {key: float(grams) for key, grams in more.grams.items()} == {
            key: close(grams * times) for key, grams in once.grams.items()
        }
        assert (once.days, once.meals, once.unweighed) == (more.days, more.meals, more.unweighed)


def test_the_energy_of_a_day_is_that_of_its_dishes_and_says_what_it_does_not_know():
    cook = pot()
    week = week_of(cook, plate("a", cook, portions="0.5"), plate("a", cook, days=1), plate("b", cook))
    known = replace(BRIEF, contents={"soup": {"energy_kcal": 400.0}})
    # (0.5 + 1) × 400 kcal over two days.
    assert mean_kcal(week, known, "a") == (300, True)
    assert mean_kcal(week, BRIEF, "a") is None
    assert mean_kcal(week, known, "nobody") is None
    stock = Cook("stock", "stock-pot", MONDAY, Decimal(4))
    mugs = replace(week, cooks=(cook, stock), plates=(*week.plates, plate("b", stock)))
    assert mean_kcal(mugs, known, "b") == (400, False)
