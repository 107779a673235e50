"""Twenty thousand made-up households share pots; a checker that shares no code looks at every plate.

One to six eaters sit down to a few dishes of the shipped book, some with one food more in the pot or on the plate.
Those whom a dish suits eat it, without what ``fit`` leaves out for them and for those they share the pot with. The
checker must find nothing wrong. That this means something is shown by breaking what is shared and what is left out, one
rule at a time.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from random import Random
from typing import Any

import pytest

from plans.domain import allowance as allowances
from plans.domain import fit as fitting
from plans.domain.allowance import allowance
from plans.domain.book import Recipe
from plans.domain.fit import Fit
from plans.domain.records import recipe_from_record
from plans.domain.vocabulary import Use
from tests import checker, shipped
from tests.plans import made_up

SEED = 6_000
PARTS = 8
HOUSEHOLDS = 20_000 // PARTS
DISHES = 2
FIRST_DAY = date(2026, 1, 1)
ALTERED = 600
APPETITES = ("0.4", "0.7", "1", "1", "1.3")


@dataclass
class Tally:
    """What came of it. ``left_out`` counts foods by their use, ``unsafe`` holds the checker's complaints."""

    households: int = 0
    shared: int = 0
    plates: int = 0
    unfit: int = 0
    left_out: Counter[str] = field(default_factory=Counter)
    unsafe: list[str] = field(default_factory=list)


@cache
def dishes() -> dict[str, dict[str, Any]]:
    """The shipped recipes, and some with a food more than they had, as the files have them."""
    random, found = Random(SEED), dict(checker.recipes())
    plain = sorted(found)
    for number in range(ALTERED):
        row = found[random.choice(plain)]
        pool = random.choice((made_up.keys(), made_up.limited(), made_up.limited()))
        more = {
            "quantity": random.choice((1, 5, 40)),
            "unit": "g",
            "food": random.choice(pool),
            "form": made_up.form(random),
            "use": random.choice(("plate", "optional", "flavour", "flavour")),
        }
        found[f"altered-{number}"] = row | {
            "key": f"altered-{number}",
            "ingredients": [*row["ingredients"], more],
        }
    return found


@cache
def recipe(key: str) -> Recipe:
    return recipe_from_record(dishes()[key])


@cache
def portion(key: str) -> tuple[Decimal, ...]:
    return fitting.portion_grams(recipe(key), shipped.rulebook(None).foods)


def household(random: Random, on: date) -> dict[str, dict[str, Any]]:
    """One to six eaters. Some of them are spared allergies and exclusions, or few dishes would suit anyone."""
    eaters = {}
    for number in range(random.choice((1, 2, 3, 4, 5, 6))):
        facts = made_up.eater(random, on)
        if random.random() < 0.6:
            facts |= {"allergies": set(), "excluded": set()}
        if random.random() < 0.3:
            facts |= {"protocol": None, "stages": []}
        dislikes = set(random.sample(made_up.keys(), 1)) if random.random() < 0.2 else set()
        eaters[f"eater-{number}"] = facts | {"appetite": random.choice(APPETITES), "dislikes": dislikes}
    return eaters


def fits(key: str, facts: dict[str, Any], on: date) -> Fit:
    """How a dish suits one eater, who asks only for the foods in it."""
    book, rules = shipped.rulebook(facts["protocol"]), shipped.eater_rules(facts)
    given = {line.food: allowance(book, rules, line.food, None, on) for line in recipe(key).ingredients}
    return fitting.fit_amounts(
        recipe(key),
        portion(key),
        given,
        appetite=Decimal(facts["appetite"]),
        dislikes=frozenset(facts["dislikes"]),
    )


def table(key: str, eaters: dict[str, dict[str, Any]], on: date) -> tuple[dict[str, Any], dict[str, Fit]]:
    """One pot and the plates of all whom it suits, in the form of a week's record, and how it suits each."""
    suits = {name: fits(key, facts, on) for name, facts in eaters.items()}
    fed = {name: how for name, how in suits.items() if how.ok}
    out = fitting.out_of_the_pot(recipe(key), (food for how in fed.values() for food in how.without))
    plates = [
        {
            "on": on.isoformat(),
            "slot": dishes()[key]["slots"][0],
            "eater": name,
            "cook": "pot",
            "portions": eaters[name]["appetite"],
            "source": "fresh",
            "without": [*how.without, *out],
        }
        for name, how in fed.items()
    ]
    pot = {"key": "pot", "recipe": key, "on": on.isoformat(), "without": sorted(out)}
    return {"cooks": [pot], "plates": plates}, suits


def asked_of(households: int, part: int = 0) -> Tally:
    """Let the first so many households of a part sit down, and let the checker look at every plate."""
    random, tally = Random(SEED + part), Tally()
    keys = sorted(dishes())
    for _ in range(households):
        on = FIRST_DAY + timedelta(days=random.randrange(730))
        eaters = household(random, on)
        asked = {"start": on, "kitchen": {"freezer": True}, "eaters": eaters}
        for key in random.sample(keys, DISHES):
            meal, suits = table(key, eaters, on)
            tally.plates += len(meal["plates"])
            tally.shared += len(meal["plates"]) > 1
            tally.unfit += len(suits) - len(meal["plates"])
            tally.left_out.update(_uses_left_out(key, meal))
            tally.unsafe += [f"{said}; {key}; {eaters}" for said in checker.what_is_eaten(meal, asked)]
        tally.households += 1
    return tally


def _uses_left_out(key: str, meal: dict[str, Any]) -> Iterator[str]:
    without = {food for plate in meal["plates"] for food in plate["without"]}
    return (line.use.value for line in recipe(key).ingredients if line.food in without)


@pytest.fixture(autouse=True)
def _altered_dishes(monkeypatch: pytest.MonkeyPatch) -> None:
    known = dishes()
    monkeypatch.setattr(checker, "recipes", lambda: known)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_twenty_thousand_households_are_served_nothing_unsafe(part: int):
    """An eighth of them at a time."""
    tally = asked_of(HOUSEHOLDS, part)
    assert tally.unsafe[:3] == []
    assert (tally.households, len(tally.unsafe)) == (2_500, 0)
    assert min(tally.plates, tally.unfit) > HOUSEHOLDS, "a lopsided draw would show little"
    assert tally.shared > HOUSEHOLDS / 4
    assert min(tally.left_out[use.value] for use in Use if use is not Use.BASE) > 100


def test_the_draw_is_the_same_every_time():
    assert asked_of(50) == asked_of(50)


# -- planted faults --------------------------------------------------------------------------------------------------


def with_all(recipe: Recipe, *args: Any, **kwargs: Any) -> Fit:
    return replace(rightly_fit(recipe, *args, **kwargs), without=())


def with_flavours(recipe: Recipe, *args: Any, **kwargs: Any) -> Fit:
    """Whatever is taken out again stays in."""
    how = rightly_fit(recipe, *args, **kwargs)
    flavours = {line.food for line in recipe.ingredients if line.use is Use.FLAVOUR}
    return replace(how, without=tuple(food for food in how.without if food not in flavours))


def with_everything_at_the_base(recipe: Recipe, *args: Any, **kwargs: Any) -> Fit:
    return replace(rightly_fit(recipe, *args, **kwargs), ok=True)


def with_any_appetite(*args: Any, appetite: Decimal, **kwargs: Any) -> Fit:
    return rightly_fit(*args, appetite=Decimal(0), **kwargs)


def full_pot(recipe: Recipe, without: Any) -> frozenset[str]:
    """The pot holds all, though somebody goes without."""
    return frozenset()


def for_the_first_only(recipe: Recipe, without: Any) -> frozenset[str]:
    """The pot goes by one of those who share it."""
    first = next(iter(without), None)
    return rightly_out(recipe, () if first is None else (first,))


rightly_fit = fitting.fit_amounts
rightly_out = fitting.out_of_the_pot


@pytest.mark.parametrize(
    ("where", "fault", "found"),
    [
        ("fit_amounts", with_all, "an allergy"),
        ("fit_amounts", with_all, "raw egg or sprouts for somebody at risk"),
        ("fit_amounts", with_flavours, "not open at"),
        ("fit_amounts", with_everything_at_the_base, "an exclusion"),
        ("fit_amounts", with_any_appetite, "no more than"),
        ("out_of_the_pot", full_pot, "something is in the pot for one and not for another"),
        ("out_of_the_pot", for_the_first_only, "something is in the pot for one and not for another"),
    ],
)
def test_a_broken_table_is_found(monkeypatch: pytest.MonkeyPatch, where: str, fault: Any, found: str):
    monkeypatch.setattr(fitting, where, fault)
    unsafe = (line for households in (500, 4_000) for line in asked_of(households).unsafe)
    assert any(found in line for line in unsafe)


def left_undone(self: Any, food: str, given: Any) -> Any:
    return given


def limits_of_what_is_eaten(self: Any, food: str, given: Any) -> Any:
    return replace(rightly_limited(self, food, given), flavour_forms=given.flavour_forms)


rightly_limited = allowances._Day._limited


@pytest.mark.parametrize(
    ("step", "fault", "found"),
    [
        ("_instructed", left_undone, "an exclusion"),
        ("_limited", left_undone, "raw milk for somebody at risk"),
        ("_limited", left_undone, "a choking hazard before four years"),
        ("_limited", left_undone, "liver in pregnancy"),
        ("_limited", limits_of_what_is_eaten, "raw egg or sprouts for somebody at risk"),
        ("_modified", left_undone, "not in this form"),
    ],
)
def test_a_broken_allowance_is_found_at_the_table(
    monkeypatch: pytest.MonkeyPatch, step: str, fault: Any, found: str
):
    monkeypatch.setattr(allowances._Day, step, fault)
    unsafe = (line for households in (500, 4_000) for line in asked_of(households).unsafe)
    assert any(found in line for line in unsafe)
