"""Using up what is in the house: what pots take of each lot, and what is left of it, in both forms of the model.

A pot takes its base; a flavour or an optional food only if nobody it could be served to must do without, since
otherwise it may stay out of the pot; a plate food once for each plate that has it and has no most for the day. With
several lots of a food the one that goes bad first is used first, so it is enough that up to each lot's last day no more
is used than is taken.
"""

from collections.abc import Iterator

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.fit import OUT_OF_THE_POT
from plans.domain.planner.model import Meal, WeekModel, eaten_of
from plans.domain.planner.setting import PER_HALF, Pot, Setting
from plans.domain.vocabulary import Use

LotRow = tuple[str, int]
WHOLE = 100
"""Rows count hundredths of a tenth of a gram, so that a step of a lot is a whole number."""
_HALF_TENTHS = 5
"""Tenths of a gram in half a portion, for each gram in a portion."""


def taken_by_half(setting: Setting, pot: Pot) -> dict[LotRow, int]:
    """What half a portion of a pot takes, by the row of each lot it is early enough for."""
    return _rows(setting, pot, _of_the_pot(setting, pot[0]))


def taken_by_plate(setting: Setting, pot: Pot, meal: Meal, number: int) -> dict[LotRow, int]:
    """What goes on the plates of a group at a meal besides what is in the pot, by row."""
    return _rows(setting, pot, _on_the_plate(setting, pot[0], meal[0], number))


def lot_row(number: int) -> LotRow:
    """The row of a lot: what is used, up to its last day, of it and of all lots of its food that go bad sooner."""
    return ("lot", number)


def all_there(setting: Setting, number: int) -> int:
    """All there is, in the units of a lot's row, of what that row counts."""
    return WHOLE * sum(setting.lots[earlier].amount for earlier in _so_far(setting, number))


def rows_of_leaving(setting: Setting, number: int) -> dict[LotRow, int]:
    """What leaving one step of a lot takes off what must be used, by row."""
    lot = setting.lots[number]
    return {
        lot_row(later): lot.amount * WHOLE // lot.steps
        for later in range(len(setting.lots))
        if number in _so_far(setting, later)
    }


def left(week: WeekModel) -> Iterator[IntVar]:
    """The steps of each lot that are left."""
    setting = week.setting
    if not setting.lots:
        return
    used: dict[LotRow, list[LinearExpr]] = {lot_row(number): [] for number in range(len(setting.lots))}
    for pot, halves in week.halves.items():
        for name, amount in taken_by_half(setting, pot).items():
            used[name].append(amount * halves)
    for name, taken in _by_plates(week):
        used[name].append(taken)
    for number, lot in enumerate(setting.lots):
        steps = week.cp.new_int_var(0, lot.steps, f"left {number}")
        for name, amount in rows_of_leaving(setting, number).items():
            used[name].append(amount * steps)
        yield steps
    for number in range(len(setting.lots)):
        week.cp.add(LinearExpr.sum(used[lot_row(number)]) >= all_there(setting, number))


def _by_plates(week: WeekModel) -> Iterator[tuple[LotRow, LinearExpr]]:
    """What goes on plates: exact with one party at a meal, and as of the latest pot it can come from otherwise."""
    setting = week.setting
    for (seat, key, meal), eats in week.eats.items():
        groups = [number for number in week.parties[meal[1]][seat] if setting.groups[number].at(meal)]
        pots = [pot for pot in week.pots_of(key) if (pot, meal) in week.served]
        alone = len(week.seated(meal)) == 1
        for pot in pots if alone else pots[-1:]:
            for number in groups:
                for name, amount in taken_by_plate(setting, pot, meal, number).items():
                    yield name, amount * (week.served[pot, meal] if alone else eats)


def cook_no_more_than_is_eaten(week: WeekModel) -> None:
    """To the half portion: what is thrown away later is not used up."""
    for pot, halves in week.halves.items():
        if week.setting.dishes[pot[0]].recipe.makes or pot in week.begun:
            continue
        most = week.setting.most_halves(pot[0])
        least = min(most, 2)
        small = week.cp.new_bool_var(f"small pot {pot}")
        week.cp.add(halves <= least + most * small.negated())
        week.cp.add(PER_HALF * halves <= eaten_of(week, pot) + PER_HALF - 1 + PER_HALF * least * small)


def _rows(setting: Setting, pot: Pot, taken: dict[str, int]) -> dict[LotRow, int]:
    return {
        lot_row(number): WHOLE * taken[lot.food]
        for number, lot in enumerate(setting.lots)
        if taken.get(lot.food) and pot[1] <= lot.last
    }


def _so_far(setting: Setting, number: int) -> list[int]:
    """A lot and those of its food that go bad no later, by number."""
    food = setting.lots[number].food
    return [earlier for earlier in range(number + 1) if setting.lots[earlier].food == food]


def _of_the_pot(setting: Setting, key: str) -> dict[str, int]:
    """Tenths of a gram as bought that half a portion takes, of the foods in the house."""
    dish, foods = setting.dishes[key], setting.brief.foods
    stored = {lot.food for lot in setting.lots}
    taken: dict[str, int] = {}
    for ingredient, amount_g in zip(dish.recipe.ingredients, dish.amounts_g, strict=True):
        food = ingredient.food
        if food not in stored or ingredient.use is Use.PLATE or not amount_g.is_finite():
            continue
        if ingredient.use is Use.BASE or not _may_stay_out(setting, key, food):
            bought = round(_HALF_TENTHS * amount_g / foods[food].edible_share)
            taken[food] = taken.get(food, 0) + bought
    return taken


def _may_stay_out(setting: Setting, key: str, food: str) -> bool:
    return food in setting.stock_without.get(key, ()) or any(
        food in group.fits[key, day].without
        for group in setting.groups
        for day in setting.days
        if group.suits(key, day)
    )


def _on_the_plate(setting: Setting, key: str, day: int, number: int) -> dict[str, int]:
    dish, group = setting.dishes[key], setting.groups[number]
    stored = {lot.food for lot in setting.lots}
    elsewhere = {part.food for part in dish.recipe.ingredients if part.use in OUT_OF_THE_POT}
    taken: dict[str, int] = {}
    for ingredient, amount_g in zip(dish.recipe.ingredients, dish.amounts_g, strict=True):
        food = ingredient.food
        if food not in stored or ingredient.use is not Use.PLATE or not amount_g.is_finite():
            continue
        given = group.head.days[day].get(food)
        if given is None or given.most_g is not None or food in elsewhere:
            continue
        if food not in group.fits[key, day].without:
            bought = round(group.share * amount_g / 10 / setting.brief.foods[food].edible_share)
            taken[food] = taken.get(food, 0) + bought
    return taken
