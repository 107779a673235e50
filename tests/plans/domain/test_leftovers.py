"""Where a left-over could go: later dishes that keep the allowances, the freezer, or the days it keeps."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from plans.domain.brief import Cook, FoodAllowance, Plate, Reason, Week
from plans.domain.leftovers import could_go
from plans.domain.rulebook import RuleBook
from plans.domain.shopping import shopping_list
from plans.domain.vocabulary import Allowance, Slot
from tests.plans.domain.hand_made import MONDAY, brief, eater, food, line, recipe

PEAS = food("peas", packs_g=(Decimal(1000),), fridge_days=3, freezer_days=300)
BOOK = RuleBook.compile(None, [PEAS])
SOUP, STEW = recipe("soup", line("100 g", "peas")), recipe("stew", line("100 g", "peas"))
BRIEF = brief((eater("a", BOOK),), BOOK, SOUP, STEW)


def pot(dish: str, day: int) -> Cook:
    return Cook(f"{dish} {day}", dish, MONDAY + timedelta(days=day), Decimal(1))


def told(*cooks: Cook, table=BRIEF, peas=PEAS) -> tuple[Reason, ...]:
    table = replace(table, foods={"peas": peas})
    plates = tuple(Plate(cook.on, Slot.MIDDAY, "a", cook.key, Decimal(1)) for cook in cooks)
    week = Week(MONDAY, 7, cooks, plates, {}, 0.0, 0.0)
    (found,) = shopping_list(week, table).lines()
    return could_go(found, week, table)


def with_allowance(given: FoodAllowance):
    (one,) = BRIEF.eaters
    return replace(BRIEF, eaters=(replace(one, days=({"peas": given},) * 7),))


FREEZER = Reason("left-freeze", {"days": 3, "frozen": 300})
KEEPS = (Reason("left-keeps", {}),)


def test_a_later_dish_within_its_keeping_days_may_take_more():
    dish = Reason("left-dish", {"dish": "Stew", "on": "2026-06-04"})
    assert told(pot("soup", 0), pot("stew", 3)) == (dish, FREEZER)
    assert told(pot("soup", 0), pot("stew", 4)) == (FREEZER,)
    assert told(pot("soup", 0), pot("stew", 0)) == (FREEZER,)


def test_never_more_of_a_first_taste_or_of_a_flavour():
    for given in (
        FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(100)),
        FoodAllowance(Allowance.AS_PREPARED, most_g=Decimal(100)),
        FoodAllowance(Allowance.FLAVOUR_ONLY),
        FoodAllowance(Allowance.NOT_YET),
    ):
        assert told(pot("soup", 0), pot("stew", 2), table=with_allowance(given)) == (FREEZER,)
    flavoured = replace(BRIEF, recipes=(SOUP, recipe("stew", line("100 g", "peas", "broth", "flavour"))))
    assert told(pot("soup", 0), pot("stew", 2), table=flavoured) == (FREEZER,)


def test_without_a_freezer_or_where_it_does_not_freeze_it_is_used_within_its_days():
    no_freezer = replace(BRIEF, kitchen=replace(BRIEF.kitchen, freezer=False))
    within = (Reason("left-use-within", {"days": 3}),)
    assert told(pot("soup", 0), table=no_freezer) == within
    assert told(pot("soup", 0), peas=replace(PEAS, freezer_days=0)) == within


def test_what_keeps_long_waits_for_a_later_week_and_seasoning_goes_into_no_dish():
    for fridge_days in (None, 365):
        assert told(pot("soup", 0), pot("stew", 2), peas=replace(PEAS, fridge_days=fridge_days)) == KEEPS
    herb = replace(PEAS, aisle="herbs-spices")
    assert told(pot("soup", 0), pot("stew", 2), peas=herb) == (FREEZER,)


def test_no_more_than_three_dishes_are_named():
    week = [pot(dish, day) for day in (0, 1, 2, 3) for dish in ("soup", "stew")]
    assert [one.code for one in told(*week)] == ["left-dish"] * 3 + ["left-freeze"]


def test_crumbs_and_loose_food_are_no_left_over():
    assert told(pot("soup", 0), peas=replace(PEAS, packs_g=(Decimal(105),))) == ()
    assert told(pot("soup", 0), peas=replace(PEAS, packs_g=())) == ()
