"""The shipped book as the engine sees it, read once, and households that ask it for weeks."""

from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from plans.domain.allowance import EaterRules, Introduction, day_allowances
from plans.domain.book import Food, Protocol, Recipe
from plans.domain.brief import Brief, BriefEater, Kitchen
from plans.domain.records import food_from_record, form_of, protocol_from_record, recipe_from_record
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Slot

DATA = Path(__file__).parents[1] / "plans" / "data"


def _read(path: Path) -> dict[str, Any]:
    return yaml.load(path.read_text("utf-8"), Loader=yaml.CSafeLoader)


@cache
def foods() -> tuple[Food, ...]:
    """Every shipped food."""
    return tuple(food_from_record(row) for row in _read(DATA / "foods.yaml")["foods"])


@cache
def recipes() -> tuple[Recipe, ...]:
    """Every shipped recipe."""
    paths = sorted((DATA / "recipes").glob("*.yaml"))
    return tuple(recipe_from_record(row) for path in paths for row in _read(path)["recipes"])


@cache
def protocol(key: str) -> Protocol:
    """A shipped protocol."""
    return protocol_from_record(_read(DATA / "protocols" / f"{key}.yaml"))


@cache
def rulebook(key: str | None) -> RuleBook:
    """A shipped protocol compiled against the shipped foods; None for those who follow none."""
    return RuleBook.compile(protocol(key) if key else None, foods())


def eater_rules(facts: dict[str, Any]) -> EaterRules:
    """The rules of an eater whose facts are written as ``tests.checker`` takes them."""
    return EaterRules(
        born=facts["born"],
        flags=frozenset(facts["flags"]),
        allergies=frozenset(facts["allergies"]),
        excluded=frozenset(facts["excluded"]),
        forbidden=frozenset(facts["forbidden"]),
        conditions=frozenset(facts["conditions"]),
        stages=tuple(facts["stages"]) if facts["protocol"] else (),
        introductions=tuple(
            Introduction(**{**tried, "form": form_of(tried["form"])}) for tried in facts["introductions"]
        ),
    )


def eater(**facts: Any) -> dict[str, Any]:
    """An eater's facts as ``tests.checker`` takes them: a grown-up who follows nothing, save for what is said."""
    plain: dict[str, Any] = {
        "born": date(1986, 4, 12),
        "appetite": "1",
        "flags": set(),
        "allergies": set(),
        "excluded": set(),
        "forbidden": set(),
        "dislikes": set(),
        "leaning": "none",
        "protocol": None,
        "stages": [],
        "conditions": set(),
        "introductions": [],
        "away": set(),
    }
    return plain | facts


def household(
    eaters: dict[str, dict[str, Any]], *, start: date = date(2026, 12, 7), **kitchen: Any
) -> dict[str, Any]:
    """A household as ``tests.checker`` takes it."""
    return {
        "start": start,
        "days": 7,
        "slots": [slot.value for slot in Slot],
        "most_repeats": 3,
        "kitchen": {"minutes": [60, 30, 60, 30, 60, 120, 150], "pot_ml": 7500, "freezer": True} | kitchen,
        "eaters": eaters,
    }


def brief(asked: dict[str, Any], *, cook_from: tuple[Recipe, ...] | None = None) -> Brief:
    """The brief of a household whose facts are written as ``tests.checker`` takes them."""
    days = [asked["start"] + timedelta(days=day) for day in range(asked["days"])]
    kitchen = asked["kitchen"]
    return Brief(
        start=asked["start"],
        days=asked["days"],
        eaters=tuple(_brief_eater(key, facts, days) for key, facts in asked["eaters"].items()),
        foods=rulebook(None).foods,
        recipes=recipes() if cook_from is None else cook_from,
        kitchen=Kitchen(
            tuple(kitchen["minutes"]),
            (kitchen["pot_ml"],),
            freezer=kitchen["freezer"],
            at_home_min=tuple(kitchen.get("at_home_min", ())),
            out=frozenset(kitchen.get("out", ())),
        ),
        slots=tuple(Slot(slot) for slot in asked["slots"]),
        most_repeats=asked["most_repeats"],
    )


def _brief_eater(key: str, facts: dict[str, Any], days: list[date]) -> BriefEater:
    rules, book = eater_rules(facts), rulebook(facts["protocol"])
    return BriefEater(
        key=key,
        name=key.title(),
        appetite=Decimal(facts["appetite"]),
        born=facts["born"],
        days=tuple(day_allowances(book, rules, on) for on in days),
        leaning=facts["leaning"],
        dislikes=frozenset(facts["dislikes"]),
        follows=facts["protocol"] or "",
        away=frozenset((day, Slot(slot)) for day, slot in facts.get("away", ())),
    )
