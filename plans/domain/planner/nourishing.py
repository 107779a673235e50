"""What eaters get of nutrients in a week and how far that is from their aims, in both forms of the model.

In columns everyone at a meal eats the same, so a portion is counted once for all who are at the same meals
(``Tally``), and each aim takes its share of that. In plates each eater's own plates are counted.
"""

from collections.abc import Iterator

from ortools.sat.python.cp_model import IntVar, LinearExpr

from plans.domain.planner.model import Meal, WeekModel
from plans.domain.planner.setting import Setting
from plans.domain.planner.targets import ENERGY, MEAL_COUNTS, Aim

A_HUNDREDTH_OFF = {"energy": 3, "protein": 3, "micronutrients": 1}
"""The price of each hundredth of an eater's target of the week that is missing, or too much. A pot is 100."""
MUCH = 10**7
TallyRow = tuple[str, int]


def counted(setting: Setting, key: str, meal: Meal) -> dict[TallyRow, int]:
    """What a portion of a dish at a meal takes of the rows that count nutrients, ``no_more`` and ``no_less``."""
    uses: dict[TallyRow, int] = {}
    for number, tally in enumerate(setting.diet.tallies):
        if meal in tally.away:
            continue
        held = setting.diet.of(key, tally.nutrient)
        name, amount = ("unknown", MEAL_COUNTS[meal[1]]) if held is None else ("intake", held)
        if amount:
            uses[f"{name} no more", number] = -amount
            if _has_most(setting, number):
                uses[f"{name} no less", number] = amount
    return uses


def tally_rows(setting: Setting) -> Iterator[tuple[TallyRow, dict[TallyRow, int]]]:
    """What is counted, by name, and the rows it takes: as much as there is and, where too much costs, no less."""
    for number in range(len(setting.diet.tallies)):
        for name in ("intake", "unknown"):
            uses: dict[TallyRow, int] = {(f"{name} no more", number): 1}
            if _has_most(setting, number):
                uses[f"{name} no less", number] = -1
            yield (name, number), uses


def aim_rows(aim: Aim) -> Iterator[tuple[str, dict[TallyRow, int], int]]:
    """The sides of an aim: its name, what the two counts take of it, and the most that may be taken. A hundredth off
    gives ``aim.step``."""
    intake, unknown = ("intake", aim.tally), ("unknown", aim.tally)
    yield "short", {intake: -aim.share, unknown: -aim.least}, -aim.least * aim.counts
    if aim.most is not None:
        yield "over", {intake: aim.share, unknown: aim.most}, aim.most * aim.counts


def off_target(week: WeekModel, part: str) -> Iterator[LinearExpr]:
    """The hundredths that eaters are off their aims of one part of the objective, as costs."""
    for number, aim in enumerate(week.setting.diet.aims):
        if aim.part != part:
            continue
        got = {
            ("intake", aim.tally): LinearExpr.sum(list(_plates(week, aim, known=True))),
            ("unknown", aim.tally): LinearExpr.sum(list(_plates(week, aim, known=False))),
        }
        for side, uses, most in aim_rows(aim):
            off: IntVar = week.cp.new_int_var(0, MUCH, f"{side} {number}")
            taken = LinearExpr.sum([amount * got[name] for name, amount in uses.items()])
            week.cp.add(taken - aim.step * off <= most)
            yield A_HUNDREDTH_OFF[part] * off


def _plates(week: WeekModel, aim: Aim, *, known: bool) -> Iterator[LinearExpr]:
    """What an adult portion of an eater's plates holds, or how much the meals count where that is not known."""
    groups = week.setting.groups
    group = next(n for n, group in enumerate(groups) if any(one.key == aim.eater for one in group.eaters))
    for (seat, key, meal), eats in week.eats.items():
        if group in week.parties[meal[1]][seat] and groups[group].at(meal):
            held = week.setting.diet.of(key, aim.nutrient)
            if known and held:
                yield held * eats
            elif not known and held is None:
                yield MEAL_COUNTS[meal[1]] * eats


def _has_most(setting: Setting, number: int) -> bool:
    """Whether too much of what is counted costs, too."""
    return setting.diet.tallies[number].nutrient == ENERGY
