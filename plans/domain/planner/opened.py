"""The packs that a week may open, and what leaving some of one costs.

Counted are foods that a shop sells in packs, that keep no more than a week in the refrigerator, and that the household
cannot freeze; not those that are in the house already, and not home-made ones. Of a dish its base counts, since all
else may stay out. What is left of a food is what its smallest packs hold more than that: shopping finds the packs with
the least over, so it is no more. A whole pack costs a fifth of a pot (price: common practice, no source).
"""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from plans.domain.brief import Brief

KEEPS_A_WEEK_DAYS = 7
A_WHOLE_PACK = 20
"""The price of a pack, and the steps in which what is left of one is counted: one a step."""


@dataclass(frozen=True, order=True, slots=True)
class Pack:
    """The smallest pack of a food, in grams as bought."""

    food: str
    amount_g: Decimal


def packs(brief: Brief, used: Collection[str]) -> tuple[Pack, ...]:
    """The packs of the foods that are used."""
    kept_out = {recipe.makes for recipe in brief.recipes} | {stored.food for stored in brief.stores}
    found = []
    for key in sorted(set(used) - kept_out):
        food = brief.foods[key]
        fresh = food.fridge_days is not None and food.fridge_days <= KEEPS_A_WEEK_DAYS
        frozen = brief.kitchen.freezer and food.freezer_days
        if food.packs_g and fresh and not frozen and not food.home_made:
            found.append(Pack(key, min(food.packs_g)))
    return tuple(found)
