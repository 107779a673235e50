"""For which half-days pots of stock can be drawn on, and the runs of half-days in which that is a limit."""

from plans.domain.planner.setting import EVE, Setting, ready_at
from plans.domain.vocabulary import Slot


def stock_lasts(setting: Setting, food: str) -> int:
    """The days for which any pot of a stock can be drawn on."""
    dishes = [setting.dishes[key] for key in setting.makers[food]]
    return min(max(dish.kept_days, dish.frozen_days) for dish in dishes)


def stock_spans(setting: Setting, food: str) -> list[tuple[int, int]]:
    """The runs of half-days in which dishes may draw no more of a stock than the pots that keep hold.

    A run begins with a morning, since stock that keeps into a day keeps to its end. It ends with a morning only where
    breakfasts draw on the stock. Runs that stock from the eve lasts into say no more than the run from the first day.
    """
    until = ready_at(EVE + stock_lasts(setting, food))
    in_the_morning = any(
        food in dish.draws_ml and Slot.BREAKFAST in dish.recipe.slots for dish in setting.dishes.values()
    )
    return [
        (2 * first, last)
        for first in setting.days
        for last in range(2 * first, 2 * setting.brief.days)
        if (last % 2 or in_the_morning) and (not first or until < 2 * first)
    ]
