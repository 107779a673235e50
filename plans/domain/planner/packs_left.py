"""What is left of the packs a week opens, in both forms of the model.

How many packs is a question of whole numbers: a relaxation buys tenths of a pack and leaves nothing. So relaxations do
without these rows, and what they prove holds all the same, since nothing that is left ever costs less than nothing.
"""

from collections.abc import Iterator
from decimal import Decimal

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.planner.model import WeekModel
from plans.domain.planner.opened import A_WHOLE_PACK, Pack
from plans.domain.planner.setting import Setting
from plans.domain.vocabulary import Use

PackRow = tuple[str, str]
BOUGHT, REST = "bought", "rest"
"""The rows of a food: no more is taken than is in the packs, and what they hold more is left."""
MOST_PACKS = 200
A_PACK = 100
"""Rows count hundredths of a pack: small numbers, since the solver takes twice as long over tenths of a gram."""


def packs_by_half(setting: Setting, key: str) -> dict[PackRow, int]:
    """What half a portion of a dish takes of the rows of packs."""
    dish, foods = setting.dishes[key], setting.brief.foods
    bought_g: dict[str, Decimal] = {}
    for ingredient, amount_g in zip(dish.recipe.ingredients, dish.amounts_g, strict=True):
        if ingredient.use is Use.BASE and amount_g.is_finite():
            half_g = amount_g / foods[ingredient.food].edible_share / 2
            bought_g[ingredient.food] = bought_g.get(ingredient.food, Decimal(0)) + half_g
    rows: dict[PackRow, int] = {}
    for pack in setting.packs:
        if taken := round(A_PACK * bought_g.get(pack.food, Decimal(0)) / pack.amount_g):
            rows |= {(BOUGHT, pack.food): taken, (REST, pack.food): -taken}
    return rows


def rows_of_packs(pack: Pack) -> tuple[dict[PackRow, int], dict[PackRow, int]]:
    """What a pack, and a step of its rest, take of the rows."""
    bought, rest = (BOUGHT, pack.food), (REST, pack.food)
    return {bought: -A_PACK, rest: A_PACK}, {rest: -A_PACK // A_WHOLE_PACK}


def left_of_packs(week: WeekModel) -> Iterator[IntVar]:
    """The steps of each food's packs that are left."""
    setting = week.setting
    used: dict[PackRow, list[LinearExpr]] = {}
    for (key, _), halves in week.halves.items():
        for row, amount in packs_by_half(setting, key).items():
            used.setdefault(row, []).append(amount * halves)
    for pack in setting.packs:
        if (BOUGHT, pack.food) in used:
            packs = week.cp.new_int_var(0, MOST_PACKS, f"packs of {pack.food}")
            steps = week.cp.new_int_var(0, A_WHOLE_PACK, f"rest of {pack.food}")
            for uses, times in zip(rows_of_packs(pack), (packs, steps), strict=True):
                for row, amount in uses.items():
                    used[row].append(amount * times)
            yield steps
    for taken in used.values():
        week.cp.add(LinearExpr.sum(taken) <= 0)
