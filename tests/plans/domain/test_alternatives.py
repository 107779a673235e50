"""What could be on the table at a meal instead, read off the shown week by hand."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from plans.domain.allowance import EaterRules
from plans.domain.brief import Brief, Cook, Plate, Revision, Week
from plans.domain.planner.alternatives import Alternative, alternatives
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot
from tests.plans.domain.hand_made import GROWN_UP, MONDAY, brief, eater, food, line, recipe

FOODS = [
    food("beef", aisle="meat"),
    food("carrot"),
    food("onion"),
    food("stock", aisle="home-made"),
    food("bones"),
]
BOOK = RuleBook.compile(None, FOODS)
BEEF = recipe("beef-pot", line("200 g", "beef"))
CARROT = recipe("carrot-pot", line("300 g", "carrot"), line("20 g", "onion", "boiled", "optional"))
MASH = recipe("mash", line("300 g", "carrot"), hands_on_min=30)
STOCK = recipe(
    "stock-pot",
    line("500 g", "bones", "broth"),
    slots=("mug",),
    kind="stock",
    makes="stock",
    portion=(Decimal(250), "ml"),
    servings=Decimal(4),
)
BOWL = recipe("broth-bowl", line("400 ml", "stock", "broth"), hands_on_min=10)
MONDAYS, TUESDAYS, WEDNESDAYS = ((day, Slot.MIDDAY) for day in range(3))


def pot(key: str, day: int, portions: str) -> Cook:
    on = MONDAY + timedelta(days=day)
    return Cook(f"{on} {key}", key, on, Decimal(portions))


def plate(day: int, cook: Cook, who: str = "a") -> Plate:
    return Plate(MONDAY + timedelta(days=day), Slot.MIDDAY, who, cook.key, Decimal(1))


BEEF_POT, CARROT_POT = pot("beef-pot", 0, "2"), pot("carrot-pot", 1, "1")
SHOWN = Week(
    MONDAY,
    3,
    (BEEF_POT, CARROT_POT),
    (plate(0, BEEF_POT), plate(1, CARROT_POT), plate(2, BEEF_POT)),
    {},
    0.0,
    0.0,
)


def asked(*recipes: Any, who: tuple = (), minutes: tuple[int, ...] = (60, 60, 60), **request: Any) -> Brief:
    eaters = who or (eater("a", BOOK),)
    plain = brief(eaters, BOOK, *recipes, minutes=minutes, slots=(Slot.MUG, Slot.MIDDAY))
    return replace(plain, revision=Revision(request.pop("shown", SHOWN), **request))


def of(found: tuple[Alternative, ...], key: str) -> Alternative:
    return next(one for one in found if one.recipe == key)


def test_a_pot_that_is_there_comes_first_and_what_is_on_the_table_is_left_out():
    found = alternatives(asked(BEEF, CARROT, MASH), TUESDAYS)
    assert [one.recipe for one in found] == ["beef-pot", "mash"]
    beef, mash = found
    assert (beef.cook, beef.cook_on, beef.hands_on_min, beef.again) == (BEEF_POT.key, MONDAY, 0, 2)
    assert (mash.cook, mash.cook_on, mash.hands_on_min, mash.room) == ("", CARROT_POT.on, 30, True)


def test_a_pot_already_cooked_must_have_enough():
    asked_for = asked(BEEF, CARROT, MASH, from_day=1)
    assert of(alternatives(asked_for, TUESDAYS), "beef-pot").cook == ""
    larger = replace(SHOWN, cooks=(replace(BEEF_POT, portions=Decimal(3)), CARROT_POT))
    more = replace(asked_for, revision=Revision(larger, from_day=1))
    assert of(alternatives(more, TUESDAYS), "beef-pot").cook == BEEF_POT.key


def test_where_there_is_no_time_it_says_how_much_is_missing():
    found = of(alternatives(asked(BEEF, CARROT, MASH, minutes=(20, 25, 60)), TUESDAYS), "mash")
    assert (found.cook_on, found.short_min, found.room) == (MONDAY + timedelta(days=1), 5, False)
    earlier = of(alternatives(asked(BEEF, CARROT, MASH, minutes=(50, 25, 60)), TUESDAYS), "mash")
    assert (earlier.cook_on, earlier.room) == (MONDAY, True)


def test_those_whom_it_does_not_suit_need_something_else():
    no_beef = EaterRules(born=GROWN_UP, excluded=frozenset({"beef"}))
    pair = (eater("z", BOOK, no_beef), eater("a", BOOK))
    shown = replace(SHOWN, plates=(*SHOWN.plates, plate(1, CARROT_POT, "z")))
    found = alternatives(asked(BEEF, CARROT, MASH, who=pair, shown=shown), TUESDAYS)
    assert [(one.recipe, one.something_else) for one in found] == [("mash", ()), ("beef-pot", ("z",))]
    out = (replace(pair[0], away=frozenset({TUESDAYS})), pair[1])
    found = alternatives(asked(BEEF, CARROT, MASH, who=out, shown=shown), TUESDAYS)
    assert of(found, "beef-pot").something_else == ()


def test_a_dish_that_suits_nobody_or_has_gone_is_not_offered():
    no_beef = EaterRules(born=GROWN_UP, excluded=frozenset({"beef"}))
    found = alternatives(asked(BEEF, CARROT, MASH, who=(eater("a", BOOK, no_beef),)), TUESDAYS)
    assert [one.recipe for one in found] == ["mash"]
    gone = asked(BEEF, CARROT, MASH, gone_foods={"beef": 1}, gone_cooks={BEEF_POT.key: 1}, from_day=1)
    assert [one.recipe for one in alternatives(gone, TUESDAYS)] == ["mash"]


def test_home_made_stock_has_to_be_there():
    found = of(alternatives(asked(BEEF, CARROT, STOCK, BOWL), TUESDAYS), "broth-bowl")
    assert found.stock_short_ml == 400
    stock = pot("stock-pot", -1, "4")
    there = replace(SHOWN, cooks=(stock, *SHOWN.cooks))
    found = of(alternatives(asked(BEEF, CARROT, STOCK, BOWL, shown=there), TUESDAYS), "broth-bowl")
    assert found.stock_short_ml == 0
    drawn = pot("broth-bowl", 0, "2")
    drawn_on = replace(there, cooks=(stock, drawn, *SHOWN.cooks))
    found = of(alternatives(asked(BEEF, CARROT, STOCK, BOWL, shown=drawn_on), WEDNESDAYS), "broth-bowl")
    assert (found.cook, found.stock_short_ml) == (drawn.key, 200)


def test_days_behind_and_a_brief_without_a_week_are_errors():
    for broken, meal in (
        (asked(BEEF, CARROT, from_day=1), MONDAYS),
        (asked(BEEF, CARROT, eaten=frozenset({Slot.MIDDAY})), MONDAYS),
        (asked(BEEF, CARROT), (3, Slot.MIDDAY)),
        (replace(asked(BEEF, CARROT), revision=None), TUESDAYS),
    ):
        with pytest.raises(ValueError):
            alternatives(broken, meal)
