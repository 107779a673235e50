"""The shopping list on paper: whole packs, both systems, and what raw meat must not wait for.

Raw poultry keeps one to two days in the refrigerator: foodsafety.gov, Cold Food Storage Chart.
"""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Cook
from plans.domain.shopping import Lot
from plans.domain.vocabulary import AISLES
from plans.printables.shopping import AISLE, shopping
from tests.plans.printables.plain import plain
from tests.plans.printables.small_week import FOODS, START, make_brief, make_week

BOUGHT = FOODS | {
    "thigh": replace(
        FOODS["thigh"], edible_share=Decimal("0.7"), packs_g=(Decimal(600), Decimal(1000)), fridge_days=2
    ),
    "carrot": replace(FOODS["carrot"], packs_g=(Decimal(500),)),
    "brine": replace(FOODS["brine"], home_made=True),
    "lamb": replace(FOODS["lamb"], fridge_days=3),
}


def made(system: System = System.METRIC, *, freezer: bool = True, house: tuple[Lot, ...] = (), **week):
    brief = replace(make_brief(freezer=freezer), foods=BOUGHT)
    return plain(shopping(week=replace(make_week(), **week), brief=brief, system=system, house=house))


def line(sheet, food: str):
    return next(one for aisle in sheet.aisles for one in aisle.purchases if one.food == food)


def test_every_aisle_of_the_vocabulary_has_words():
    assert set(AISLE) == set(AISLES)


def test_aisles_come_in_the_order_of_the_shop():
    assert [aisle.name for aisle in made().aisles] == ["Vegetables", "Meat and poultry"]


def test_packs_are_whole_and_both_systems_are_printed_the_practices_own_first():
    # 4 ½ portions × 600 g / 4 = 675 g edible; 675 / 0.7 = 964 g bought: one pack of 1 kg.
    thigh = line(made(), "Chicken thigh, bone in")
    assert (thigh.buy, thigh.needed) == ("1 × 1 kg (2 lb 3 oz)", "960 g")
    assert line(made(System.US), "Chicken thigh, bone in").buy == "1 × 2 lb 3 oz (1 kg)"


def test_vegetables_say_about_how_many_pieces():
    # 2 ¼ carrots of 61 g are 137 g: three of them.
    carrot = line(made(), "Carrot")
    assert (carrot.buy, carrot.needed) == ("1 × 500 g (1 lb 2 oz)", "135 g, about 3")


def test_what_the_kitchen_makes_is_not_sent_to_the_shop():
    sheet = made()
    assert all(one.food != "Brine" for aisle in sheet.aisles for one in aisle.purchases)
    assert [one.food for one in sheet.at_hand] == ["Brine"]


def test_raw_meat_that_would_wait_too_long_is_frozen_at_once():
    # Bought on Sunday, kept two days at most: a pot on Wednesday is too late for the refrigerator.
    assert line(made(), "Chicken thigh, bone in").note == "for Mon"
    late = (*make_week().cooks, Cook("c3", "soup", START + timedelta(days=2), Decimal(2)))
    assert line(made(cooks=late), "Chicken thigh, bone in").note == (
        "for Mon and Wed; freeze at once what waits more than 2 days"
    )
    assert line(made(cooks=late, freezer=False), "Chicken thigh, bone in").note == (
        "for Mon and Wed; buy it no more than 2 days before"
    )


def test_a_food_nobody_can_weigh_is_named_without_an_amount():
    foods = BOUGHT | {"onion": Food("onion", "Onion", "alliums", "vegetables")}
    sheet = shopping(week=make_week(), brief=replace(make_brief(), foods=foods), system=System.METRIC)
    assert sheet.unweighed == ("Onion",)


def test_what_is_in_the_house_is_taken_off_and_said():
    sheet = made(house=(Lot("thigh", Decimal(400)), Lot("carrot", Decimal(200)), Lot("brine", Decimal(5))))
    # 964 g less 400 g: one pack of 600 g.
    thigh = line(sheet, "Chicken thigh, bone in")
    assert (thigh.buy, thigh.needed) == ("1 × 600 g (1 lb 5 oz)", "960 g")
    assert thigh.house == "400 g (14 oz) from what is in the house"
    assert [(one.food, one.needed) for one in sheet.in_house] == [("Carrot", "135 g (5 oz)")]
    assert all(aisle.name != "Vegetables" or "Carrot" not in str(aisle) for aisle in sheet.aisles)


def test_loose_food_is_rounded_up_as_each_shop_weighs_it_out():
    # 500 g of lamb for two, cooked for one: 250 g; the same in ounces is 8.8.
    assert line(made(), "Lamb shoulder").buy == "250 g (9 oz)"
    assert line(made(System.US), "Lamb shoulder").buy == "9 oz (260 g)"
