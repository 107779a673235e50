"""What is in the house when a week begins, lot by lot, and what leaving some of it costs.

A lot that goes bad within the week costs a pot when all of it is left, one hundredth of that for each hundredth. What
keeps beyond the week is not lost, but stands there: a fifth, for each twentieth. So a bunch of leeks that is good until
Tuesday draws a dish to it, and a sack of rice does not rule the week (prices: common practice, no source).

Left out are foods that no dish takes, so that nothing can be done about them, and home-made foods that a recipe of the
brief makes, since a week plans their pots by itself.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from plans.domain.brief import Brief

HUNDREDTHS, TWENTIETHS = 100, 20
"""The steps in which a lot that is lost, and one that keeps, is priced: one a step."""
_TENTHS = Decimal(10)


@dataclass(frozen=True, order=True, slots=True)
class Lot:
    """Some of a food in the house.

    Only pots cooked no later than on day ``last`` use it up. ``amount`` is tenths of a gram as bought, ``steps`` the
    shares it is counted in. ``until`` is the last day it is good, if that is within the week.
    """

    food: str
    last: int
    amount: int
    steps: int
    until: date | None = None


def lots(brief: Brief, used: Collection[str]) -> tuple[Lot, ...]:
    """What is in the house of the foods that are used; of a food the lot that goes bad first comes first."""
    made = {recipe.makes for recipe in brief.recipes}
    found = []
    for stored in brief.stores:
        amount = int(stored.amount_g * _TENTHS)
        last = brief.days - 1
        until = None
        if stored.best_by is not None and (stored.best_by - brief.start).days <= last:
            until, last = stored.best_by, (stored.best_by - brief.start).days
        if amount > 0 and last >= -1 and stored.food in used and stored.food not in made:
            steps = TWENTIETHS if until is None else HUNDREDTHS
            found.append(Lot(stored.food, last, amount, steps, until))
    return tuple(sorted(found, key=lambda lot: (lot.food, lot.last, lot.steps, lot.amount)))
