"""The week on paper: meals by day and time, and the work at the stove and the freezer."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from hypothesis import given

from coaching.domain.units import System
from plans.domain.brief import Plate, Week
from plans.domain.day import day_of
from plans.domain.vocabulary import Slot
from plans.printables.facts import WeekSheet
from plans.printables.week import week_sheet
from tests.plans.domain.stock_weeks import DAYS, MONDAY, Case, brief_of, cook, day, weeks
from tests.plans.printables.plain import plain
from tests.plans.printables.small_week import START, make_brief, make_week


def made():
    return plain(week_sheet(week=make_week(), brief=make_brief(), system=System.METRIC))


def test_days_and_times_in_order():
    sheet = made()
    assert sheet.period == "7 to 8 December 2026"
    assert sheet.slots == ("Midday", "Evening")
    assert [(day.name, day.date) for day in sheet.days] == [("Monday", "7 Dec"), ("Tuesday", "8 Dec")]


def test_a_dish_everyone_has_names_nobody_and_notes_what_a_plate_leaves_out():
    (meal,) = made().days[0].slots[0].meals
    assert (meal.dish, meal.eaters, meal.source) == ("Chicken soup", "", "")
    assert meal.plate_notes == ("Ivo: without brine",)


def test_what_stays_out_of_the_whole_pot_is_said_of_the_dish():
    week = make_week(without=("onion", "brine"))
    sheet = plain(week_sheet(week=week, brief=make_brief(), system=System.METRIC))
    (meal,) = sheet.days[0].slots[0].meals
    assert (meal.dish, meal.plate_notes) == ("Chicken soup, without onion", ("Ivo: without brine",))


def test_a_dish_for_one_names_them_and_leftovers_say_where_they_are():
    monday, tuesday = made().days
    assert monday.slots[1].meals[0].source == "kept"
    assert tuesday.slots[0].meals[0].source == "thawed"
    assert tuesday.slots[1].meals[0].eaters == "Nell"


def test_the_stove_says_how_much_for_when_and_what_to_freeze():
    monday, tuesday = made().days
    assert monday.cooks == (
        "Chicken soup: 4 ½ portions, 1.8 l (7 ⅔ cups). For Mon and Tue. Freeze 1 ½ portions.",
    )
    assert tuesday.cooks == ("Lamb stew: 1 portion, 350 g (12 ½ oz).",)


def test_frozen_food_is_moved_to_the_refrigerator_the_day_before():
    monday = made().days[0]
    assert monday.freezer == ("Move 1 ½ portions of Chicken soup to the refrigerator, for tomorrow.",)
    assert made().has_freezer


def test_work_on_the_day_before_the_week_stands_first():
    week = make_week()
    early = replace(week.cooks[0], on=START - timedelta(days=1))
    sheet = week_sheet(
        week=replace(week, cooks=(early, week.cooks[1])), brief=make_brief(), system=System.METRIC
    )
    assert sheet.before is not None
    assert (sheet.before.name, len(sheet.before.cooks)) == ("Sunday", 1)
    assert made().before is None


def stock_sheet(*cooks, plates=(), system: System = System.METRIC) -> WeekSheet:
    week = Week(MONDAY, DAYS, cooks, tuple(plates), {}, 0.0, 0.0)
    return plain(week_sheet(week=week, brief=brief_of("Nell"), system=system))


def test_stock_that_a_dish_needs_later_is_frozen_and_taken_out():
    """Thawing in the refrigerator takes a day (USDA FSIS, The Big Thaw: Safe Defrosting Methods)."""
    pot, stew = cook("beef-pot", -1, "10"), cook("stew", 5, "2")
    mugs = [
        Plate(day(0), Slot.MUG, "nell", pot.key, Decimal(1), "kept"),
        Plate(day(5), Slot.MUG, "nell", pot.key, Decimal(1), "thawed"),
    ]
    sheet = stock_sheet(pot, stew, plates=mugs)
    # Two portions of stew take half of 600 ml, and the mug of the same day another 250 ml.
    assert sheet.before is not None
    assert sheet.before.cooks == ("Beef pot: 2.5 l (2 ⅔ quarts). For Mon and Sat. Freeze 550 ml (2 ⅓ cups).",)
    assert sheet.days[4].freezer == (
        "Move 550 ml (2 ⅓ cups) of Beef pot to the refrigerator, for tomorrow: mug and Stew.",
    )
    assert sheet.has_freezer
    assert [day.name for day in sheet.days if day.freezer] == ["Friday"]


def test_two_pots_of_one_stock_that_are_taken_out_together_are_told_apart():
    early, late, stew = cook("beef-pot", -1, "1"), cook("beef-pot", 1, "1"), cook("stew", 6, "3")
    sheet = stock_sheet(early, late, stew, system=System.US)
    assert [words.partition(" to the")[0] for words in sheet.days[5].freezer] == [
        "Move 1 cup 1 tbsp (250 ml) of Beef pot of Sun 14",
        "Move ¾ cup 2 tbsp (200 ml) of Beef pot of Tue 16",
    ]


def test_pots_stand_in_the_order_in_which_they_are_begun():
    soup, stock = cook("soup", 0), cook("chicken-pot", 0, "10")
    sheet = stock_sheet(soup, stock, plates=[Plate(day(0), Slot.EVENING, "nell", soup.key, Decimal(1))])
    assert [words.partition(":")[0] for words in sheet.days[0].cooks] == ["Chicken pot", "Soup"]


@given(weeks())
def test_the_sheet_has_a_line_for_all_that_is_frozen_and_taken_out_on_a_day(case: Case):
    sheet = week_sheet(week=case.week, brief=case.brief, system=System.METRIC)
    eve = day_of(case.week, case.brief, day(-1))
    assert (sheet.before is not None) == bool(eve.cooks or eve.take_out)
    for told, on in [(sheet.before, -1), *((told, on) for on, told in enumerate(sheet.days))]:
        if told is not None:
            found = day_of(case.week, case.brief, day(on))
            assert sum("Freeze" in words for words in told.cooks) == len(found.freeze)
            assert len(told.freezer) == len(found.take_out)
            assert sheet.has_freezer or not told.freezer
