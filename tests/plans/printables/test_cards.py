"""Recipe cards: scaled, marked, and honest about who leaves out what."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from coaching.domain.units import System
from plans.domain.brief import Cook
from plans.printables.cards import cards
from tests.plans.printables.plain import plain
from tests.plans.printables.small_week import START, make_brief, make_week


def made(**brief):
    return plain(cards(week=make_week(), brief=make_brief(**brief), system=System.METRIC))


def lines(card) -> dict[str, str]:
    return {line.food: line.amount for line in card.ingredients}


def test_amounts_grow_with_the_portions_cooked():
    soup = made()[0]
    # Four and a half portions of a recipe for four: 600 g × 4.5 / 4 = 675 g; 2 carrots × 4.5 / 4 = 2 ¼.
    assert lines(soup)["Chicken thigh, bone in"] == "680 g (1 lb 8 oz)"
    assert lines(soup)["Carrot"] == "2 ¼"
    assert soup.yields == "4 ½ portions of 400 ml (1 ⅔ cups)"


def test_what_goes_on_the_plate_is_told_for_one_portion():
    soup = made()[0]
    assert lines(soup)["Brine"] == "1 tsp"
    marks = {line.food: line.mark for line in soup.ingredients}
    assert marks["Brine"] == "for each portion, on the plate"
    assert marks["Celery"] == "take it out before serving"
    assert marks["Onion"] == "may be left out"
    assert marks["Carrot"] == ""


def test_only_what_is_done_before_the_steps_stands_beside_a_food():
    how = {line.food: line.how for line in made()[0].ingredients}
    assert how["Carrot"] == "peeled; 1 cm slices"
    assert how["Chicken thigh, bone in"] == "bones out"
    assert how["Celery"] == ""


def test_plates_say_who_leaves_out_what():
    assert made()[0].plates == ("Ivo: without brine",)


def test_an_optional_food_one_eater_leaves_out_stays_out_of_the_whole_pot():
    soup = cards(week=make_week(without=("onion", "brine")), brief=make_brief(), system=System.METRIC)[0]
    assert "Onion" not in lines(soup)
    assert soup.plates == ("Whole pot: without onion", "Ivo: without brine")


def test_every_card_says_hot_enough_cold_soon_and_until_when():
    soup, stew = made()
    assert soup.core == "165 °F (74 °C) in the thickest part."
    assert stew.core == "145 °F (63 °C) in the thickest part, then 3 minutes of rest."
    assert soup.cooling == "Chill what is left within 2 hours, in shallow dishes."
    assert soup.keeps == (
        "Cooked Monday 7 December: eat by Thursday 10 December. Frozen the same day: best by 7 March 2027.",
        "Reheat to 165 °F (74 °C).",
    )
    assert stew.keeps == ("Cooked Tuesday 8 December: eat at once, it does not keep.",)


def test_a_kitchen_without_a_freezer_is_not_told_to_freeze():
    assert not any("Frozen" in line for line in made(freezer=False)[0].keeps)


def test_the_note_for_a_child_is_for_tables_with_one():
    assert made(ivo_born=date(2023, 1, 1))[0].child_note == "Mash the carrots."
    assert made(ivo_born=date(2015, 1, 1))[0].child_note == ""


def test_the_same_dish_in_the_same_amount_shares_a_card():
    week = make_week()
    again = Cook("c3", "stew", START + timedelta(days=2), Decimal(1))
    soup, stew = cards(week=replace(week, cooks=(*week.cooks, again)), brief=make_brief(), system=System.US)
    assert stew.cooked == ("Tuesday 8 December", "Wednesday 9 December")
    assert soup.cooked == ("Monday 7 December",)
