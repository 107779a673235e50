"""A day in words: shares, stock by volume, first tastes, small children, what dishes take of a stock."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from clients.wording.days import DayWords, day_words, share_words
from coaching.domain.units import System
from plans.domain.brief import Brief, FoodAllowance, Plate, Week
from plans.domain.day import day_of
from plans.domain.vocabulary import Allowance, Slot
from tests.plans.domain.stock_weeks import DAYS, MONDAY, brief_of, cook, day


def words_of(
    *cooks,
    plates=(),
    on: int = 0,
    brief: Brief | None = None,
    system: System = System.METRIC,
    not_now: dict | None = None,
) -> DayWords:
    week = Week(MONDAY, DAYS, cooks, tuple(plates), {}, 0.0, 0.0)
    brief = brief or brief_of("Nell", "Ivo")
    return day_words([(week, brief, day_of(week, brief, day(on)))], system=system, not_now=not_now or {})


def plate(pot, on: int, slot: Slot, source: str = "fresh", eater: str = "nell", portions: str = "1") -> Plate:
    return Plate(day(on), slot, eater, pot.key, Decimal(portions), source)


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("portions", "words"),
    [("0.1", "¼"), ("0.5", "½"), ("0.6", "½"), ("0.65", "¾"), ("1", "1"), ("1.3", "1 ¼"), ("2", "2")],
)
def test_shares_are_said_to_the_nearest_quarter_and_never_as_nothing(portions: str, words: str):
    assert plain(share_words(Decimal(portions))) == words


def test_dishes_are_shared_in_portions_and_stock_by_volume_in_the_units_of_the_practice():
    soup, stock = cook("soup", 0), cook("chicken-pot", 0, "10")
    plates = [
        plate(soup, 0, Slot.MIDDAY),
        plate(soup, 0, Slot.MIDDAY, eater="ivo", portions="0.5"),
        plate(stock, 0, Slot.MUG),
        plate(stock, 0, Slot.MUG, eater="ivo", portions="0.5"),
    ]
    mug, midday = words_of(soup, stock, plates=plates).meals
    assert [plain(dish.who) for dish in midday.dishes] == ["Portions: Nell 1, Ivo ½"]
    assert [plain(dish.who) for dish in mug.dishes] == ["Nell 250 ml, Ivo 125 ml"]
    mug, _midday = words_of(soup, stock, plates=plates, system=System.US).meals
    assert [plain(dish.who) for dish in mug.dishes] == ["Nell 1 cup 1 tbsp, Ivo ½ cup"]


def test_a_stock_says_what_dishes_take_of_it_and_a_dish_where_it_takes_it_from():
    stock, old = cook("chicken-pot", 0, "8"), cook("beef-pot", -1, "10")
    soup, stew, late = cook("soup", 0), cook("stew", 0, "2"), cook("stew", 5, "2")
    plates = [plate(soup, 0, Slot.EVENING), plate(stew, 0, Slot.MIDDAY)]
    first = words_of(stock, old, soup, stew, late, plates=plates)
    said = {one.title: one for one in first.cooks}
    assert [plain(line) for line in said["Chicken pot"].whom] == ["1 l (4 ¼ cups) for Soup, Monday."]
    assert plain(said["Chicken pot"].begin) == "Begin 2 h 45 min before the evening meal."
    assert [plain(line) for line in said["Soup"].stock] == [
        "Takes 1 l (4 ¼ cups) of chicken stock, of the pot you cook the same day."
    ]
    assert [plain(line) for line in said["Stew"].stock] == [
        "Takes 300 ml (1 ¼ cups) of beef stock from the refrigerator, cooked Sun 14."
    ]
    eve = words_of(stock, old, soup, stew, late, plates=plates, on=-1)
    assert [plain(line) for line in eve.freeze] == ["300 ml (1 ¼ cups) of Beef pot, for Saturday."]
    friday = words_of(stock, old, soup, stew, late, plates=plates, on=4)
    assert [plain(line) for line in friday.take_out] == ["300 ml (1 ¼ cups) of Beef pot, for Saturday: Stew."]
    (saturday,) = words_of(stock, old, soup, stew, late, plates=plates, on=5).cooks
    assert "was frozen and is thawed now, cooked Sun 14." in plain(saturday.stock[0])


def test_stock_that_no_pot_gives_has_to_be_there():
    stock, soup = cook("chicken-pot", 0, "2"), cook("soup", 0)
    (said,) = [one for one in words_of(stock, soup).cooks if one.title == "Soup"]
    assert plain(said.stock[-1]) == (
        "Takes 500 ml (2 cups 2 tbsp) of chicken stock that no pot of this week makes: have it ready."
    )


def test_what_is_frozen_of_a_stock_for_mugs_and_for_dishes_stands_together():
    stock = cook("chicken-pot", 0, "12")
    plates = [plate(stock, 5, Slot.MUG, "thawed"), plate(stock, 6, Slot.MUG, "thawed")]
    first = words_of(stock, cook("soup", 6), plates=plates)
    assert [plain(line) for line in first.freeze] == [
        "1.5 l (6 ⅓ cups) of Chicken pot, for Saturday and Sunday."
    ]


def test_notes_say_a_first_taste_with_its_most_and_what_a_small_child_needs():
    bake = cook("bake", 0)
    brief = brief_of("Nell", "Ivo")
    nell, ivo = brief.eaters
    taste = {"leek": FoodAllowance(Allowance.FIRST_TASTES, most_g=Decimal(5))}
    noted = tuple(
        replace(one, child_note="Mash it well.") if one.key == "bake" else one for one in brief.recipes
    )
    brief = replace(
        brief,
        eaters=(replace(nell, days=(taste,) * DAYS), replace(ivo, born=date(2023, 5, 1))),
        recipes=noted,
    )
    plates = [plate(bake, 0, Slot.MIDDAY), plate(bake, 0, Slot.MIDDAY, eater="ivo", portions="0.5")]
    (midday,) = words_of(bake, plates=plates, brief=brief).meals
    assert [plain(note) for note in midday.dishes[0].notes] == [
        "Nell: a first taste of leek, no more than 5 g of it all day",
        "Ivo: Mash it well.",
    ]


def test_only_some_of_the_table_are_named_at_the_pot():
    bake = cook("bake", 0)
    plates = [plate(bake, 0, Slot.MIDDAY), plate(bake, 1, Slot.EVENING, "kept", eater="ivo", portions="0.5")]
    (said,) = words_of(bake, plates=plates).cooks
    assert said.whom == ("For Nell: Monday midday.", "For Ivo: Tuesday evening.")
    assert said.rest == ("The rest keeps in the refrigerator to the end of Friday.",)


def test_an_alarm_stands_at_the_pot_and_at_the_plate():
    bake = cook("bake", 0)
    plates = [plate(bake, 0, Slot.MIDDAY), plate(bake, 1, Slot.MIDDAY, "kept")]
    said = words_of(bake, plates=plates, not_now={("nell", bake.key): ("leek",)})
    alarm = "Not for Nell: what holds for leek has changed since this week was planned."
    assert said.cooks[0].alarms == said.meals[0].dishes[0].alarms == (alarm,)


def test_a_day_without_pots_has_no_work():
    bake = cook("bake", 0)
    said = words_of(bake, plates=[plate(bake, 1, Slot.MIDDAY, "kept")], on=1)
    assert (said.work, said.cooks) == ("", ())
    assert said.meals[0].dishes[0].source == "From the refrigerator: cooked Monday, use it by Friday."
