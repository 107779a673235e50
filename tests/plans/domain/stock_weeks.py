"""Weeks with stock, drawn at random: two stocks that keep differently, dishes that draw on them, plates that may.

Plates are as a planner makes them: each from a pot that is cooked by then and still good, with the source that follows
from its age. Pots may be too small for what is drawn, as in a week that was changed by hand.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import strategies as st

from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, BriefEater, Cook, Kitchen, Plate, Week
from plans.domain.vocabulary import Slot, Use

MONDAY = date(2026, 6, 15)
DAYS = 7
FOODS = {
    food.key: food
    for food in (
        Food("bones", "Chicken bones", "bones", "meat"),
        Food("leek", "Leek", "alliums", "vegetables"),
        Food(
            "chicken-stock",
            "Chicken stock",
            "stocks",
            "home-made",
            density_g_per_ml=Decimal(1),
            home_made=True,
        ),
        Food("beef-stock", "Beef stock", "stocks", "home-made", density_g_per_ml=Decimal(1), home_made=True),
    )
}


def line(food: str, quantity: int, unit: str = "g", use: Use = Use.BASE) -> Ingredient:
    return Ingredient(Decimal(quantity), unit, food, frozenset({"boiled"}), use)


def recipe(
    key: str, *lines: Ingredient, slots: tuple[Slot, ...], keeps: int, freezes: int = 90, **fields
) -> Recipe:
    defaults = {
        "kind": "main",
        "portion": (Decimal(400), "ml"),
        "hands_on_min": 10,
        "elapsed_min": 45,
        "makes": "",
    }
    return Recipe(
        key=key,
        title=key.replace("-", " ").capitalize(),
        slots=slots,
        main=key,
        servings=Decimal(4),
        ingredients=lines,
        steps=("Simmer.",),
        fridge_days=keeps,
        freezer_days=freezes,
        batch=True,
        **(defaults | fields),
    )


MUG, MAINS = (Slot.MUG,), (Slot.MIDDAY, Slot.EVENING)
STOCK = {"kind": "stock", "portion": (Decimal(250), "ml"), "elapsed_min": 120}
RECIPES = {
    one.key: one
    for one in (
        recipe("chicken-pot", line("bones", 1000), slots=MUG, keeps=3, makes="chicken-stock", **STOCK),
        recipe("beef-pot", line("bones", 900), slots=MUG, keeps=2, makes="beef-stock", **STOCK),
        recipe("soup", line("chicken-stock", 1000, "ml"), line("leek", 200), slots=MAINS, keeps=3),
        recipe("stew", line("beef-stock", 600, "ml"), line("leek", 300), slots=MAINS, keeps=2),
        recipe("bake", line("leek", 500), slots=MAINS, keeps=4, elapsed_min=80),
        recipe("porridge", line("leek", 100), slots=(Slot.BREAKFAST,), keeps=1, freezes=0),
    )
}
MOST_KEPT = 4
"""Cooked food keeps three to four days in the refrigerator (foodsafety.gov, Cold Food Storage Chart)."""


@dataclass(frozen=True)
class Case:
    """A week with its brief."""

    week: Week
    brief: Brief


def brief_of(*eaters: str, freezer: bool = True) -> Brief:
    return Brief(
        start=MONDAY,
        days=DAYS,
        eaters=tuple(
            BriefEater(name.lower(), name, Decimal(1), date(1988, 3, 2), ({},) * DAYS) for name in eaters
        ),
        foods=FOODS,
        recipes=tuple(RECIPES.values()),
        kitchen=Kitchen((60,) * DAYS, (6000,), freezer=freezer),
    )


def day(count: int) -> date:
    return MONDAY + timedelta(days=count)


def cook(dish: str, on: int, portions: str = "4") -> Cook:
    return Cook(f"{day(on).isoformat()} {dish}", dish, day(on), Decimal(portions))


def source_of(pot: Cook, on: date, *, freezer: bool) -> str | None:
    """How a plate of a pot comes to the table, worked out anew."""
    age, dish = (on - pot.on).days, RECIPES[pot.recipe]
    if age < 0:
        return None
    if age == 0:
        return "fresh"
    if age <= min(dish.fridge_days, MOST_KEPT):
        return "kept"
    return "thawed" if freezer and age <= dish.freezer_days else None


@st.composite
def weeks(draw: st.DrawFn) -> Case:
    """A week of one or two eaters in which some meals are planned."""
    freezer = draw(st.booleans())
    brief = brief_of(*draw(st.sampled_from((("Nell",), ("Nell", "Ivo")))), freezer=freezer)
    halves = st.integers(1, 24).map(lambda count: str(Decimal(count) / 2))
    pots = draw(
        st.lists(
            st.tuples(st.sampled_from(sorted(RECIPES)), st.integers(0, DAYS - 1), halves),
            max_size=9,
            unique_by=lambda pot: pot[:2],
        )
    )
    cooks = [cook(*pot) for pot in pots]
    if draw(st.booleans()):
        cooks.append(cook(draw(st.sampled_from(("chicken-pot", "beef-pot"))), -1, draw(halves)))
    plates = []
    for on in map(day, range(DAYS)):
        for slot in Slot:
            able = [
                (pot, source)
                for pot in cooks
                if slot in RECIPES[pot.recipe].slots
                and (source := source_of(pot, on, freezer=freezer)) is not None
            ]
            for eater in brief.eaters:
                chosen = draw(st.sampled_from([None, *able]))
                if chosen is not None:
                    share = Decimal(draw(st.sampled_from(("0.5", "0.65", "1", "1.3"))))
                    plates.append(Plate(on, slot, eater.key, chosen[0].key, share, chosen[1]))
    shuffled = draw(st.permutations(cooks))
    return Case(Week(MONDAY, DAYS, tuple(shuffled), tuple(plates), {}, 0.0, 0.0), brief)
