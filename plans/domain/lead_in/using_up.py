"""Using up what is in the house and nobody at the table may have from day one on.

Before day one everything is free save what an eater is kept out of anyway, so a dish of the book is named only when
all of them can eat it. What anyone may still have on day one is not listed.
"""

from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from plans.domain.book import Recipe
from plans.domain.brief import Stored
from plans.domain.lead_in.asking import Ask, Meal, UsingUp
from plans.domain.quantities import grams
from plans.domain.vocabulary import Use

KEEPS_BY_ITSELF = ("cupboard", "freezer")
MOST_TIMES = 3
"""Nobody cooks the same dish more often to be rid of something (common practice, no source)."""


def to_use_up(ask: Ask) -> tuple[UsingUp, ...]:
    """Everything in the house to use up, what must go first standing first; nothing that is past its date."""
    last = max((starter.day_one for starter in ask.starters), default=ask.today) - timedelta(days=1)
    together: dict[tuple[str, str, date | None], Decimal] = {}
    for stored in ask.stores:
        is_past = stored.best_by is not None and stored.best_by < ask.today
        if stored.food in ask.closed and not is_past:
            place = (stored.food, stored.place, stored.best_by)
            together[place] = together.get(place, Decimal(0)) + stored.amount_g
    found = [
        _using_up(Stored(food, amount_g, place, best_by), last, ask)
        for (food, place, best_by), amount_g in together.items()
    ]
    return tuple(sorted(found, key=lambda one: (one.by, one.food, one.place)))


def _using_up(stored: Stored, last: date, ask: Ask) -> UsingUp:
    opens = ask.closed[stored.food]
    keeps = (
        opens is not None
        and stored.place in KEEPS_BY_ITSELF
        and stored.best_by is not None
        and stored.best_by >= opens
    )
    by = max(last if stored.best_by is None else min(last, stored.best_by), ask.today)
    return UsingUp(
        food=stored.food,
        amount_g=stored.amount_g,
        place=stored.place,
        by=by,
        best_by=stored.best_by,
        meal=_meal(stored, by, ask),
        opens=opens,
        keeps_until_open=keeps,
    )


def _meal(stored: Stored, by: date, ask: Ask) -> Meal | None:
    """The dish of the book that uses most of a food a portion, of those everybody at the table can eat; no more than
    once a day until a food has to be gone."""
    found = [
        (used_g, recipe)
        for recipe in ask.recipes
        if recipe.slots and _all_can_eat(recipe, ask) and (used_g := _used_g(recipe, stored.food, ask)) > 0
    ]
    if not found:
        return None
    used_g, recipe = min(found, key=lambda one: (-one[0], one[1].title, one[1].key))
    needed = max(1, int((stored.amount_g / (used_g * ask.portions)).to_integral_value(ROUND_CEILING)))
    times = min(needed, MOST_TIMES, (by - ask.today).days + 1)
    return Meal(recipe.key, recipe.title, recipe.slots[0], times, enough=times == needed)


def _all_can_eat(recipe: Recipe, ask: Ask) -> bool:
    """Nobody at the table is kept out of anything but what may be left out of the pot or off a plate."""
    return not any(
        line.food in ask.table_kept_out and line.use not in (Use.PLATE, Use.OPTIONAL)
        for line in recipe.ingredients
    )


def _used_g(recipe: Recipe, food: str, ask: Ask) -> Decimal:
    """Grams of a food as bought in one portion of a dish; nothing where it cannot be weighed or is a flavour."""
    if food not in ask.foods:
        return Decimal(0)
    weighed = [
        grams(line.quantity, line.unit, ask.foods[food]) or Decimal(0)
        for line in recipe.ingredients
        if line.food == food and line.use is not Use.FLAVOUR
    ]
    return sum(weighed, Decimal(0)) / ask.foods[food].edible_share / recipe.servings
