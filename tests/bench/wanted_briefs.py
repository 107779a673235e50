"""The frozen briefs with more to heed: who is away, days out, what is in the house, and targets of nutrients."""

import csv
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from functools import cache
from random import Random

from plans.domain.brief import Brief, BriefEater, Stored
from plans.domain.nutrients import nutrients_from_rows, portion_totals, table_for
from plans.domain.vocabulary import Slot
from tests import shipped
from tests.bench.frozen_briefs import brief

A_DAY = {
    "energy_kcal": 2200,
    "protein_g": 80,
    "calcium_mg": 1000,
    "iron_mg": 10,
    "magnesium_mg": 380,
    "potassium_mg": 3000,
    "zinc_mg": 10,
    "vit_a_rae_ug": 800,
    "vit_c_mg": 85,
    "vit_d_ug": 15,
    "vit_e_mg": 15,
    "thiamin_mg": 1.2,
    "riboflavin_mg": 1.2,
    "niacin_mg": 15,
    "b6_mg": 1.4,
    "folate_ug": 400,
    "b12_ug": 2.4,
}
"""Round figures to weigh weeks by, for an appetite of one; advice to nobody."""


def wanted(number: int, *extras: str) -> Brief:
    """A frozen brief with ``away``, ``kitchen``, ``stores`` or ``diet`` besides."""
    asked, luck = brief(number), Random(f"wanted {number}")
    for extra in extras:
        asked = _EXTRAS[extra](asked, luck)
    return asked


def _away(asked: Brief, luck: Random) -> Brief:
    """Half of the middays of working days, and a meal here and there."""

    def meals(_: BriefEater) -> frozenset[tuple[int, Slot]]:
        middays = {(day, Slot.MIDDAY) for day in range(5) if luck.random() < 0.5}
        others = {(day, slot) for day in range(7) for slot in Slot if luck.random() < 0.06}
        return frozenset(middays | others)

    return replace(asked, eaters=tuple(replace(eater, away=meals(eater)) for eater in asked.eaters))


def _kitchen(asked: Brief, luck: Random) -> Brief:
    """Two working days out, not the first, since nothing but stock is cooked before the week."""
    at_home = (*(luck.choice((90, 150, 300)) for _ in range(5)), 900, 900)
    out = frozenset(luck.sample(range(1, 5), 2))
    return replace(asked, kitchen=replace(asked.kitchen, at_home_min=at_home, out=out))


def _stores(asked: Brief, luck: Random) -> Brief:
    foods = sorted({line.food for recipe in asked.recipes for line in recipe.ingredients})
    stored = (
        Stored(
            food=food,
            amount_g=Decimal(luck.choice((100, 200, 400, 600))),
            place="refrigerator",
            best_by=luck.choice((None, asked.start + timedelta(days=luck.randrange(1, 6)))),
        )
        for food in luck.sample(foods, 8)
    )
    return replace(asked, stores=tuple(stored))


def _diet(asked: Brief, luck: Random) -> Brief:
    def targets(eater: BriefEater) -> dict[str, float]:
        more = luck.choice((0.9, 1, 1.1))
        return {nutrient: amount * float(eater.appetite) * more for nutrient, amount in A_DAY.items()}

    return replace(
        asked,
        contents={recipe.key: _content(recipe.key.rstrip("-234")) for recipe in asked.recipes},
        eaters=tuple(replace(eater, targets=targets(eater)) for eater in asked.eaters),
    )


def _content(key: str) -> dict[str, float]:
    return _contents().get(key, {})


@cache
def _contents() -> dict[str, dict[str, float]]:
    """What a portion of each shipped recipe holds, of nutrients known for nine tenths of its weight."""
    foods = shipped.rulebook(None).foods
    with (shipped.DATA / "nutrients.csv").open(encoding="utf-8", newline="") as rows:
        table = table_for(foods, nutrients_from_rows(csv.DictReader(rows)))
    return {
        recipe.key: {
            nutrient: float(total.value)
            for nutrient, total in portion_totals(recipe, foods, table).items()
            if total.value is not None and total.coverage >= Decimal("0.9")
        }
        for recipe in shipped.recipes()
    }


_EXTRAS = {"away": _away, "kitchen": _kitchen, "stores": _stores, "diet": _diet}
