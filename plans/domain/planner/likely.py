"""The columns of a week that are likely to be in a cheap one.

The nearest to paying at the prices of a relaxation are not it: hundreds of them are all but the same and need not fit
together, and breakfasts stand behind mains. So breakfasts and mains are taken apart, some from what relaxations brought
in on their way, since each of those paid at some prices, and some from the best of every pot.
"""

from collections.abc import Iterable, Iterator
from itertools import islice

from plans.domain.planner.columns import Column, Offer
from plans.domain.planner.model import Meal
from plans.domain.planner.relaxation import Prices, Relaxed
from plans.domain.planner.setting import Pot
from plans.domain.vocabulary import Slot

BREAKFASTS_BROUGHT_IN, MAINS_BROUGHT_IN = 150, 280
BREAKFASTS_OF_POTS, MAINS_OF_POTS = 60, 120
_Choice = tuple[float, Pot, tuple[Meal, ...]]
"""A reduced cost, a pot and its meals, which put choices in order."""


def likely(relaxed: Relaxed, brought_in: Iterable[Column], room: float) -> list[Column]:
    """Columns that may be in a week which costs no more than ``room`` over the bound of a relaxation."""
    if relaxed.prices is None:
        return []
    known = dict(_known(relaxed.prices, brought_in, room))
    best = dict(_best(relaxed.prices, room))
    chosen = [known[choice] for choice in _first(known, BREAKFASTS_BROUGHT_IN, MAINS_BROUGHT_IN)]
    chosen += [best[choice].column(choice[2]) for choice in _first(best, BREAKFASTS_OF_POTS, MAINS_OF_POTS)]
    return list(dict.fromkeys(chosen))


def _known(prices: Prices, brought_in: Iterable[Column], room: float) -> Iterator[tuple[_Choice, Column]]:
    for column in brought_in:
        if prices.taken.isdisjoint(column.meals) and (reduced := prices.reduced(column)) <= room:
            yield (reduced, column.pot, column.meals), column


def _best(prices: Prices, room: float) -> Iterator[tuple[_Choice, Offer]]:
    for priced in prices.below(room):
        for reduced, meals in priced.likely():
            if reduced <= room:
                yield (reduced, priced.offer.pot, meals), priced.offer


def _first(choices: Iterable[_Choice], breakfasts: int, mains: int) -> Iterator[_Choice]:
    in_order = sorted(choices)
    for most, wanted in ((breakfasts, True), (mains, False)):
        yield from islice((one for one in in_order if (one[2][0][1] is Slot.BREAKFAST) is wanted), most)
