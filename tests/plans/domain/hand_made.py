"""Small books made by hand, so that a test says everything it depends on."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from plans.domain.allowance import EaterRules, day_allowances
from plans.domain.book import Food, Form, Ingredient, Protocol, Recipe, Rule, Stage
from plans.domain.brief import Brief, BriefEater, FoodAllowance, Kitchen
from plans.domain.records import form_of
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance, Slot, Use

MONDAY = date(2026, 6, 1)
GROWN_UP = date(1980, 1, 1)
FREELY = FoodAllowance(Allowance.FREELY)
WORDS = {
    word: Allowance.from_word(word)
    for word in ("not yet", "flavour only", "first tastes", "as prepared", "freely")
}


def food(key: str, group: str = "things", **fields: Any) -> Food:
    """A food that weighs what water weighs."""
    plain = {"name": key.replace("-", " ").title(), "aisle": "vegetables", "density_g_per_ml": Decimal(1)}
    return Food(key=key, group=group, **(plain | fields))


def line(quantity: str, key: str, form: str = "boiled", use: str = "base") -> Ingredient:
    """``line("100 g", "carrot", "boiled + peeled")``."""
    number, unit = quantity.split()
    return Ingredient(Decimal(number), unit, key, form_of(form), Use(use))


def recipe(
    key: str, *lines: Ingredient, slots: tuple[str, ...] = ("midday", "evening"), **fields: Any
) -> Recipe:
    """A dish of one portion that takes twenty minutes and keeps three days."""
    plain: dict[str, Any] = {
        "title": key.replace("-", " ").title(),
        "kind": "breakfast" if "breakfast" in slots else "main",
        "main": key,
        "servings": Decimal(1),
        "portion": (Decimal(400), "ml"),
        "steps": ("Cook it.",),
        "hands_on_min": 20,
        "elapsed_min": 40,
        "fridge_days": 3,
        "freezer_days": 90,
        "batch": True,
    }
    return Recipe(key=key, slots=tuple(Slot(slot) for slot in slots), ingredients=lines, **(plain | fields))


def stage(key: str, number: int) -> Stage:
    """A stage of a week."""
    return Stage(key, number, key.title(), "To test.", 7, 7)


def rule(where: str, allowance: str, target: str, *forms: str, group: bool = False, **fields: Any) -> Rule:
    """``rule("one", "as prepared", "carrot", "boiled + peeled")``."""
    named = {"group": target} if group else {"food": target}
    return Rule(where, WORDS[allowance], forms=tuple(form_of(form) for form in forms), **named, **fields)


def protocol(*rules: Rule, stages: tuple[str, ...] = ("one", "two", "three"), **fields: Any) -> Protocol:
    """A protocol of three stages."""
    steps = tuple(stage(key, number) for number, key in enumerate(stages, start=1))
    return Protocol("test", "Test", "For tests.", "own invention", steps, rules, **fields)


def form(text: str) -> Form:
    """``boiled + peeled``."""
    return form_of(text)


def on_stage(key: str, since: date = MONDAY, **fields: Any) -> EaterRules:
    """A grown-up in a stage."""
    return EaterRules(**({"born": GROWN_UP, "stages": ((since, key),)} | fields))


def eater(
    key: str, book: RuleBook, rules: EaterRules | None = None, *, days: int = 7, **fields: Any
) -> BriefEater:
    """An eater of a brief that starts on Monday."""
    rules = rules or EaterRules(born=GROWN_UP)
    tables = tuple(day_allowances(book, rules, MONDAY + timedelta(days=day)) for day in range(days))
    plain = {"name": key.title(), "appetite": Decimal(1), "born": rules.born, "days": tables}
    return BriefEater(key=key, **(plain | fields))


def brief(
    eaters: tuple[BriefEater, ...],
    book: RuleBook,
    *recipes: Recipe,
    minutes: tuple[int, ...] = (120,) * 7,
    pot_ml: int = 8000,
    freezer: bool = True,
    **fields: Any,
) -> Brief:
    """A brief for as many days as there are minutes, for midday and evening."""
    plain = {"slots": (Slot.MIDDAY, Slot.EVENING)}
    return Brief(
        start=MONDAY,
        days=len(minutes),
        eaters=eaters,
        foods=book.foods,
        recipes=recipes,
        kitchen=Kitchen(minutes, (pot_ml,), freezer=freezer),
        **(plain | fields),
    )
