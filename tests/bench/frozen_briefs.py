"""Thirty made-up briefs that stay the same, so that one formulation can be held against another.

One to six eaters at one to three stages of the shipped protocol, thirty to three hundred recipes of the shipped book.
Where more recipes are asked for than the book has, cousins of its recipes fill it up: the same dish under another name,
some minutes quicker or slower.
"""

from dataclasses import replace
from datetime import date, timedelta
from random import Random
from typing import Any

from plans.domain.book import Recipe
from plans.domain.brief import Brief
from plans.domain.fit import fit
from tests import shipped

START = date(2026, 12, 7)
STAGES = ("settle", "soften", "taste", "widen", "ordinary")
COUNT = 30
SIZES = (30, 60, 100, 161, 300)
MINUTES = (
    [60, 30, 60, 30, 60, 120, 150],
    [45, 45, 45, 45, 45, 90, 90],
    [90, 30, 30, 90, 30, 150, 120],
    [40, 40, 75, 40, 40, 150, 150],
)
APPETITES = ("1", "1", "0.8", "1.2", "0.5", "0.65")


def brief(number: int) -> Brief:
    """The brief of a number from 0 to 29."""
    luck = Random(f"brief {number}")
    eaters = number % 6 + 1
    stages = _stage_keys(luck, number // 6 % 3 + 1)
    facts = {f"eater-{place}": _eater(luck, place, stages[place % len(stages)]) for place in range(eaters)}
    asked = shipped.household(
        facts,
        start=START,
        minutes=luck.choice(MINUTES),
        pot_ml=luck.choice((5_500, 7_500, 9_500)) if eaters < 5 else 11_000,
        freezer=luck.random() < 0.8,
    )
    whole = shipped.brief(asked)
    return replace(whole, recipes=_some(luck, whole, SIZES[(number // 6 + number) % len(SIZES)]))


def _stage_keys(luck: Random, count: int) -> list[str]:
    known = [stage.key for stage in shipped.protocol("hearth-five").stages]
    first = luck.randrange(len(known) - count + 1)
    return known[first : first + count]


def _eater(luck: Random, place: int, stage: str) -> dict[str, Any]:
    child = place >= 2
    return shipped.eater(
        protocol="hearth-five",
        stages=[(START - timedelta(days=luck.randrange(3, 12)), stage)],
        born=date(2012 + luck.randrange(8), 5, 1) if child else date(1980 + luck.randrange(12), 4, 2),
        appetite="0.65" if child else luck.choice(("1", "0.8", "1.2")),
        leaning=luck.choice(("none", "none", "meat", "vegetables")),
        allergies=set(luck.sample(("milk", "egg", "fish", "celery"), k=luck.choice((0, 0, 1)))),
        dislikes=set(luck.sample(("carrot", "zucchini", "salmon", "pumpkin"), k=luck.choice((0, 1, 1)))),
        conditions=set(luck.sample(("loose-stools",), k=luck.choice((0, 0, 1)))),
    )


def _some(luck: Random, asked: Brief, count: int) -> tuple[Recipe, ...]:
    """So many recipes, those first that somebody at the table may eat on the first day."""
    book = sorted(
        (recipe for recipe in asked.recipes if recipe.kind != "side"), key=lambda recipe: recipe.key
    )
    luck.shuffle(book)
    open_to = {
        recipe.key: sum(fit(recipe, eater.days[0], asked.foods).ok for eater in asked.eaters)
        for recipe in book
    }
    by_kind = {kind: [r for r in book if r.kind == kind] for kind in ("stock", "breakfast", "main")}
    for kind in by_kind:
        by_kind[kind].sort(key=lambda recipe: -open_to[recipe.key])
    stocks, breakfasts = by_kind["stock"][:6], by_kind["breakfast"][: max(5, count // 4)]
    chosen = [*stocks, *breakfasts, *by_kind["main"]][:count]
    for turn in range(2, 5):
        for recipe in book:
            if len(chosen) >= count:
                return tuple(chosen)
            if recipe.kind != "stock":
                chosen.append(_cousin(recipe, turn, luck))
    return tuple(chosen)


def _cousin(recipe: Recipe, turn: int, luck: Random) -> Recipe:
    return replace(
        recipe,
        key=f"{recipe.key}-{turn}",
        title=f"{recipe.title}, another way",
        main=f"{recipe.main}-{turn}",
        hands_on_min=max(5, recipe.hands_on_min + luck.randrange(-8, 9)),
    )
