"""A week in columns as one integer program: its rows, and what is not a column.

Stock is not in columns: its pots, the mugs they give and what they leave for dishes are activities of their own, and so
are the prices that several columns share, a further pot of the same main and the same main twice on a day.
"""

from dataclasses import dataclass, field

from plans.domain.planner.columns import (
    Offer,
    Row,
    Uses,
    common_plates,
    offers,
    plates_from,
    pot_cost,
    table_share,
)
from plans.domain.planner.goals import SAME_DAY, THE_SAME_MAIN_AGAIN, WASTE_ML
from plans.domain.planner.model import most_mg
from plans.domain.planner.nourishing import A_HUNDREDTH_OFF, MUCH, aim_rows, tally_rows
from plans.domain.planner.opened import A_WHOLE_PACK
from plans.domain.planner.packs_left import BOUGHT, MOST_PACKS, REST, packs_by_half, rows_of_packs
from plans.domain.planner.presence import planned_meals
from plans.domain.planner.setting import EVE, MAIN_SLOTS, PER_HALF, Pot, Setting, ready_at
from plans.domain.planner.spans import stock_lasts, stock_spans
from plans.domain.planner.using_up import all_there, lot_row, rows_of_leaving, taken_by_half

MUCH_ML = 10**6

Name = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Activity:
    """Something done 0 to ``most`` times, what once costs and what it takes of each row."""

    cost: int
    most: int
    uses: Uses


@dataclass(frozen=True, slots=True)
class Program:
    """``rows`` have a most that is taken of them, ``meals`` are taken exactly once. ``offers`` make the columns."""

    setting: Setting
    offers: tuple[Offer, ...]
    meals: tuple[Row, ...]
    rows: dict[Row, int] = field(default_factory=dict)
    activities: dict[Name, Activity] = field(default_factory=dict)


def program(setting: Setting) -> Program:
    """The program of a setting in which everyone eats from a common table."""
    meals = tuple(("meal", *meal) for meal in planned_meals(setting))
    made = Program(setting, tuple(offers(setting)), meals)
    for day in setting.days:
        made.rows["minutes", day] = setting.minutes(day)
    made.rows[("eve",)] = 1
    for offer in made.offers:
        _shared_rows(made, offer)
    for food in setting.makers:
        _stock(made, food)
    _house(made)
    _diet(made)
    _packs(made)
    return made


def _house(made: Program) -> None:
    """What is left of each lot that is in the house."""
    setting = made.setting
    for number, lot in enumerate(setting.lots):
        made.rows[lot_row(number)] = -all_there(setting, number)
        uses = {name: -amount for name, amount in rows_of_leaving(setting, number).items()}
        made.activities["house", number] = Activity(setting.weights["stores"], lot.steps, uses)


def _packs(made: Program) -> None:
    """How many packs of each food there are, and what is left of them."""
    for pack in made.setting.packs:
        made.rows.update({(BOUGHT, pack.food): 0, (REST, pack.food): 0})
        packs, steps = rows_of_packs(pack)
        made.activities[BOUGHT, pack.food] = Activity(0, MOST_PACKS, packs)
        made.activities[REST, pack.food] = Activity(made.setting.weights["packs"], A_WHOLE_PACK, steps)


def _diet(made: Program) -> None:
    """What is counted of nutrients, and how far that is from every aim."""
    counting: dict[Name, dict[Row, int]] = dict(tally_rows(made.setting))
    for uses in counting.values():
        made.rows.update(dict.fromkeys(uses, 0))
    for number, aim in enumerate(made.setting.diet.aims):
        price = made.setting.weights[aim.part] * A_HUNDREDTH_OFF[aim.part]
        for side, uses, most in aim_rows(aim):
            made.rows[side, number] = most
            made.activities[side, number] = Activity(price, MUCH, {(side, number): -aim.step})
            for name, amount in uses.items():
                counting[name][side, number] = amount
    for name, uses in counting.items():
        made.activities[name] = Activity(0, MUCH, uses)


def _shared_rows(made: Program, offer: Offer) -> None:
    """The rows of a main, and of first tastes, that several columns share."""
    main = made.setting.dishes[offer.pot[0]].recipe.main
    made.rows["again", main] = 1
    made.activities["again", main] = Activity(
        made.setting.weights["repeats"] * THE_SAME_MAIN_AGAIN,
        made.setting.brief.days,
        {("again", main): -1},
    )
    for touch in offer.touches.values():
        _twice(made, touch)
    for _, uses in offer.plates.values():
        _meal_rows(made, uses)


def _twice(made: Program, touch: Row) -> None:
    made.rows[touch] = 1
    made.activities[touch] = Activity(made.setting.weights["same_day"] * SAME_DAY, 1, {touch: -1})


def _meal_rows(made: Program, uses: Uses) -> None:
    for row in uses:
        if row[0] == "repeats":
            made.rows[row] = made.setting.brief.most_repeats
        elif row[0] == "taste" and row not in made.rows:
            made.rows[row] = most_mg(made.setting, *row[1:])
        elif row[0] == "there":
            made.rows[row] = 0


def _stock(made: Program, food: str) -> None:
    """The pots of a stock. Mugs come from pots they name; dishes from any pot that still keeps, so that in any run of
    half-days they draw no more than is there; and a dish that draws needs some pot to draw on."""
    setting = made.setting
    makers = setting.makers[food]
    lasts = stock_lasts(setting, food)
    pots = [
        (key, day)
        for key in makers
        if setting.most_halves(key)
        for day in range(EVE, setting.brief.days)
        if setting.can_cook(key, day)
    ]
    made.rows["left", food] = 0
    made.activities["left", food] = Activity(
        setting.weights["waste"], MUCH_ML, {("left", food): -100 * WASTE_ML}
    )
    made.rows.update({("counted", food): 0, ("counting", food): 0})
    made.activities["pots", food] = Activity(0, len(pots), {("counted", food): -1, ("counting", food): 1})
    for first, last in stock_spans(setting, food):
        made.rows["stock", food, first, last] = 0
    for pot in pots:
        _pot_of_stock(made, food, pot, lasts)


def _pot_of_stock(made: Program, food: str, pot: Pot, lasts: int) -> None:
    setting, (key, day) = made.setting, pot
    dish, most = setting.dishes[key], setting.most_halves(key)
    most_ml = most * dish.portion_ml // 2
    made.rows.update({("most", *pot): 0, ("least", *pot): 0, ("holds", *pot): 0})
    cooking: dict[Row, int] = {("most", *pot): -most, ("least", *pot): min(most, int(dish.recipe.servings))}
    cooking |= {("counted", food): 1, ("counting", food): -1}
    cooking[("eve",) if day == EVE else ("minutes", day)] = 1 if day == EVE else dish.recipe.hands_on_min
    for row in made.rows:
        if row[:2] == ("there", food) and ready_at(day) <= row[2] <= ready_at(day + lasts):
            cooking[row] = -1
    half = PER_HALF * dish.portion_ml
    halves: Uses = {("most", *pot): 1, ("least", *pot): -1, ("holds", *pot): -half, ("left", food): half}
    halves |= {name: -amount for name, amount in taken_by_half(setting, pot).items()}
    halves |= packs_by_half(setting, key)
    free: dict[Row, int] = {("holds", *pot): 100}
    for row in made.rows:
        if row[:2] == ("stock", food) and ready_at(day) <= row[3] and ready_at(day + lasts) >= row[2]:
            free[row] = -1
    for meal, (price, uses) in plates_from(setting, pot, common_plates(setting, key)).items():
        mugs = dish.portion_ml * table_share(setting, meal)
        taken = {**uses, ("holds", *pot): mugs, ("left", food): -mugs, ("mug", *pot, *meal): 1}
        made.rows["mug", *pot, *meal] = 0
        cooking["mug", *pot, *meal] = -1
        if meal[1] in MAIN_SLOTS:
            touch: Row = ("twice", dish.recipe.main, meal[0])
            taken[touch] = 1
            _twice(made, touch)
        _meal_rows(made, uses)
        made.activities["served", pot, meal] = Activity(price, 1, taken)
    made.activities["cooked", pot] = Activity(pot_cost(setting, pot), 1, cooking)
    made.activities["halves", pot] = Activity(0, most, halves)
    made.activities["free", pot] = Activity(0, most_ml, free)
