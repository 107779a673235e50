"""What a pot does for the wants of a week: which stores it uses up, and which nutrient would be short without it."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from plans.domain.brief import BriefEater, Meal, Reason
from plans.domain.planner.setting import Pot, Setting
from plans.domain.planner.targets import MEAL_COUNTS, MICRONUTRIENTS, Aim
from plans.domain.planner.using_up import WHOLE, lot_row, taken_by_half, taken_by_plate

Serving = tuple[Meal, Pot, BriefEater, tuple[str, ...]]
"""A meal, the pot it comes from, who eats it, and what the dish has to do without for them."""

MOST_STORES = 3
"""No pot names more than so many stores, those first that go bad first."""
WORTH_TELLING_G = 10
MUCH_PERCENT = 10
"""A nutrient is named when a pot gives so many hundredths of what somebody should get in the week."""


def stores_used(
    setting: Setting, pots: Mapping[Pot, Decimal], servings: Sequence[Serving]
) -> dict[Pot, list[Reason]]:
    """The stores each pot takes from, the earliest pot from what goes bad first; ``pots`` with their portions."""
    tenths_left = [lot.amount for lot in setting.lots]
    found: dict[Pot, list[Reason]] = {}
    for pot in sorted(pots, key=lambda pot: (pot[1], pot[0])):
        wanted: dict[str, int] = {}
        for number, lot in enumerate(setting.lots):
            if pot[1] > lot.last:
                continue
            if lot.food not in wanted:
                wanted[lot.food] = _taken(setting, pot, pots[pot], servings, number)
            taken = min(wanted[lot.food], tenths_left[number])
            wanted[lot.food] -= taken
            tenths_left[number] -= taken
            if taken >= 10 * WORTH_TELLING_G:
                found.setdefault(pot, []).append(_store(setting, number, taken // 10))
    return {pot: sorted(reasons, key=_soonest)[:MOST_STORES] for pot, reasons in found.items()}


def would_be_short(setting: Setting, pot: Pot, servings: Sequence[Serving]) -> Iterator[Reason]:
    """The nutrient that somebody would get too little of without a pot; of several the one it gives most of."""
    best: tuple[int, str] | None = None
    for aim in setting.diet.aims:
        if aim.nutrient in MICRONUTRIENTS:
            percent = _needed_percent(setting, aim, pot, servings)
            if percent >= MUCH_PERCENT and (best is None or percent > best[0]):
                best = percent, aim.nutrient
    if best is not None:
        yield Reason("gives-much", {"percent": best[0], "nutrient": best[1]})


def _taken(setting: Setting, pot: Pot, portions: Decimal, servings: Sequence[Serving], number: int) -> int:
    """Tenths of a gram as bought of a lot's food that a pot and its plates take."""
    groups = {eater.key: place for place, group in enumerate(setting.groups) for eater in group.eaters}
    plates = {(meal, groups[eater.key]) for meal, of, eater, _ in servings if of == pot}
    taken = int(portions * 2) * taken_by_half(setting, pot).get(lot_row(number), 0)
    taken += sum(
        taken_by_plate(setting, pot, meal, group).get(lot_row(number), 0) for meal, group in sorted(plates)
    )
    return taken // WHOLE


def _store(setting: Setting, number: int, grams: int) -> Reason:
    lot = setting.lots[number]
    facts: dict[str, str | int] = {"food": setting.brief.foods[lot.food].name, "grams": grams}
    if lot.until is None:
        return Reason("uses-stored", facts)
    return Reason("uses-up", facts | {"on": lot.until.isoformat()})


def _soonest(reason: Reason) -> tuple[bool, str]:
    return "on" not in reason.facts, str(reason.facts.get("on", ""))


def _needed_percent(setting: Setting, aim: Aim, pot: Pot, servings: Sequence[Serving]) -> int:
    """The hundredths of an aim's target that a pot gives, 0 when there is enough without it."""
    given = of_the_pot = unknown = 0
    for meal, of, eater, _ in servings:
        if eater.key == aim.eater:
            held = setting.diet.of(of[0], aim.nutrient)
            given += aim.share * (held or 0)
            of_the_pot += aim.share * (held or 0) if of == pot else 0
            unknown += MEAL_COUNTS[meal[1]] if held is None else 0
    enough = given - of_the_pot >= aim.least * (aim.counts - unknown)
    return 0 if enough else of_the_pot // aim.step
