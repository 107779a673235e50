"""The week on paper: meals by day and time, and the work at the stove and the freezer."""

from dataclasses import replace
from datetime import timedelta

from coaching.domain.units import System
from plans.printables.week import week_sheet
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
