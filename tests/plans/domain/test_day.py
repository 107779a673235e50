"""One day of a week: the pots in order, every plate once, and nothing thawed that was not announced."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given

from plans.domain.brief import FoodAllowance, Plate, Week
from plans.domain.day import Day, day_of
from plans.domain.vocabulary import Allowance, Slot
from tests.plans.domain.stock_weeks import DAYS, MONDAY, Case, brief_of, cook, day, weeks

ONE_DAY = timedelta(days=1)


def days_of(case: Case) -> dict[date, Day]:
    """The eve, the days of the week and a day on either side of them."""
    return {on: day_of(case.week, case.brief, on) for on in map(day, range(-2, DAYS + 2))}


def made_week(*cooks, plates=()) -> Week:
    return Week(MONDAY, DAYS, cooks, tuple(plates), {}, 0.0, 0.0)


def plate(pot, on: int, slot: Slot, source: str = "fresh", eater: str = "nell", portions: str = "1") -> Plate:
    return Plate(day(on), slot, eater, pot.key, Decimal(portions), source)


@given(weeks())
def test_every_plate_and_every_pot_is_on_its_day_once(case: Case):
    days = days_of(case)
    for on, found in days.items():
        wanted = [one for one in case.week.plates if one.on == on]
        assert Counter(one.plate for one in found.plates()) == Counter(wanted)
        assert sorted(one.cook.key for one in found.cooks) == sorted(
            one.key for one in case.week.cooks if one.on == on
        )
        assert all(one.plate.slot == slot for slot, eaten in found.meals for one in eaten)


@given(weeks())
def test_what_is_thawed_was_frozen_on_its_cooking_day_and_taken_out_the_day_before(case: Case):
    """Thawing in the refrigerator takes a day (USDA FSIS, The Big Thaw: Safe Defrosting Methods)."""
    days = days_of(case)
    cooked = {one.key: one.on for one in case.week.cooks}
    thawed = [one for one in case.week.plates if one.source == "thawed"]
    for one in thawed:
        assert one in [part for frozen in days[cooked[one.cook]].freeze for part in frozen.plates]
        assert one in [part for frozen in days[one.on - ONE_DAY].take_out for part in frozen.plates]
    for side in ("freeze", "take_out"):
        told = Counter(
            part for found in days.values() for frozen in getattr(found, side) for part in frozen.plates
        )
        assert told == Counter(thawed)


@given(weeks())
def test_stock_that_a_dish_thaws_is_frozen_and_taken_out_too(case: Case):
    days = days_of(case)
    for on, found in days.items():
        for cooking in found.cooks:
            for draw in cooking.draws:
                if draw.source == "thawed":
                    out = [part for frozen in days[on - ONE_DAY].take_out for part in frozen.draws]
                    cooked = next(one.on for one in case.week.cooks if one.key == draw.pot)
                    frozen_then = [part for frozen in days[cooked].freeze for part in frozen.draws]
                    assert draw in out
                    assert draw in frozen_then


@given(weeks())
def test_stock_is_on_the_stove_before_the_dish_that_takes_it(case: Case):
    for found in days_of(case).values():
        order = [one.cook.key for one in found.cooks]
        for cooking in found.cooks:
            for draw in cooking.draws:
                if draw.pot in order and cooking.today:
                    assert order.index(draw.pot) < order.index(cooking.cook.key)


def test_pots_come_in_the_order_of_the_meals_they_are_for():
    bake, soup, stock = cook("bake", 0), cook("soup", 0), cook("chicken-pot", 0, "10")
    later = cook("beef-pot", 0, "10")
    week = made_week(
        later, bake, soup, stock, plates=[plate(bake, 0, Slot.MIDDAY), plate(soup, 0, Slot.EVENING)]
    )
    found = day_of(week, brief_of("Nell"), MONDAY)
    assert [one.cook.recipe for one in found.cooks] == ["bake", "chicken-pot", "soup", "beef-pot"]
    assert [one.needed for one in found.cooks] == [Slot.MIDDAY, Slot.EVENING, Slot.EVENING, None]
    # The stock takes 120 minutes, the soup that it goes into 45 more.
    assert [one.lead_min for one in found.cooks] == [80, 165, 45, 0]
    assert found.hands_on_min == 40


def test_a_pot_for_later_days_says_so():
    bake = cook("bake", 0, "2")
    week = made_week(bake, plates=[plate(bake, 1, Slot.MIDDAY, "kept")])
    (found,) = day_of(week, brief_of("Nell"), MONDAY).cooks
    assert (found.today, [one.on for one in found.later]) == ((), [day(1)])
    assert found.use_by == day(4)
    (kept,) = day_of(week, brief_of("Nell"), day(1)).plates()
    assert kept.use_by == day(4)


def test_a_first_taste_brings_its_most_for_the_day():
    bake = cook("bake", 0)
    brief = brief_of("Nell")
    taste = {"leek": FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(5))}
    brief = replace(brief, eaters=(replace(brief.eaters[0], days=(taste,) * DAYS),))
    (found,) = day_of(made_week(bake, plates=[plate(bake, 0, Slot.MIDDAY)]), brief, MONDAY).plates()
    assert found.most_g == (("leek", Decimal(5)),)
    without = replace(plate(bake, 0, Slot.MIDDAY), without=("leek",))
    (found,) = day_of(made_week(bake, plates=[without]), brief, MONDAY).plates()
    assert found.most_g == ()


def test_a_day_outside_the_week_is_empty():
    found = day_of(made_week(cook("bake", 0)), brief_of("Nell"), day(30))
    assert found == Day(day(30), (), (), (), ())
