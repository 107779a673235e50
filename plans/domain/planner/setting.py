"""A brief made ready for planning: who eats alike, what every dish needs, and which dish suits whom on which day.

Everything here is in one order that depends on the content of the brief alone, never on how it was written down, so
that the same question gets the same week.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from zlib import crc32

from plans.domain.book import Recipe
from plans.domain.brief import Brief, BriefEater, Meal
from plans.domain.fit import Fit, fit_amounts, out_of_the_pot, portion_grams
from plans.domain.planner.larder import Lot, lots
from plans.domain.planner.opened import Pack, packs
from plans.domain.planner.targets import NO_DIET, Diet, diet
from plans.domain.planner.wants import weights
from plans.domain.quantities import millilitres, room_ml
from plans.domain.vocabulary import Allowance, Slot, Use

KEPT_MOST_DAYS = 4
"""Cooked dishes keep three to four days in the refrigerator, whatever a recipe says (foodsafety.gov, Cold Food Storage
Chart)."""
Pot = tuple[str, int]
"""A dish and the day it is cooked."""
PER_HALF = 50
"""Hundredths of a portion in a half portion."""
MAIN_SLOTS = (Slot.MIDDAY, Slot.EVENING)
EVE = -1
"""The day before the week, on which stock may be cooked ahead."""
UP_TO_THE_MUG_MIN = 240
"""From getting up to the mug of a day: stock that takes longer is not ready for it (common practice, no source)."""
FRESH, KEPT, THAWED = "fresh", "kept", "thawed"
_MEAT_AISLES = frozenset(("meat", "fish"))
_UNWEIGHED_AISLES = frozenset(("drinks", "home-made"))


@dataclass(frozen=True, slots=True)
class Dish:
    """A recipe with the figures a plan needs.

    ``kept_days`` and ``frozen_days`` count from the cooking day. ``pot_ml`` is the room one portion takes in the pot,
    ``draws_ml`` the home-made stock one portion takes by food, ``meat_percent`` the share of meat and fish by weight.
    """

    recipe: Recipe
    amounts_g: tuple[Decimal, ...]
    portion_ml: int
    pot_ml: int
    kept_days: int
    frozen_days: int
    draws_ml: Mapping[str, int]
    meat_percent: int

    def source(self, cooked: int, eaten: int) -> str | None:
        """How a portion cooked on one day comes to the table on another; None when it cannot."""
        age = eaten - cooked
        if age == 0:
            return FRESH
        if 0 < age <= self.kept_days:
            return KEPT
        return THAWED if 0 < age <= self.frozen_days else None


@dataclass(frozen=True, slots=True)
class Group:
    """Eaters for whom every dish fits alike. ``share`` is their appetite in hundredths of a portion."""

    eaters: tuple[BriefEater, ...]
    share: int
    fits: Mapping[tuple[str, int], Fit]

    @property
    def head(self) -> BriefEater:
        """Any of them: in all that matters to a plan they are alike."""
        return self.eaters[0]

    def suits(self, dish: str, day: int) -> bool:
        """Whether they may eat a dish on a day."""
        return self.fits[dish, day].ok

    def at(self, meal: Meal) -> bool:
        """Whether they are at a meal; all of them are, or none."""
        return meal not in self.head.away


@dataclass(frozen=True, slots=True)
class Setting:
    """The question in its final shape. Days are numbered from 0; ``makers`` lists the stocks that make a food, and
    ``stock_without`` what stays out of a stock for the sake of anyone who may have it. ``weights`` multiply the price
    of each part of the objective; ``lots`` are what is in the house, ``packs`` what is opened of a shop's, ``diet`` is
    what eaters should get of nutrients.
    """

    brief: Brief
    slots: tuple[Slot, ...]
    groups: tuple[Group, ...]
    dishes: Mapping[str, Dish]
    makers: Mapping[str, tuple[str, ...]]
    stock_without: Mapping[str, tuple[str, ...]]
    weights: Mapping[str, int]
    lots: tuple[Lot, ...] = ()
    packs: tuple[Pack, ...] = ()
    diet: Diet = NO_DIET
    one_pot_on_the_eve: bool = True

    @property
    def days(self) -> range:
        """The days of the week."""
        return range(self.brief.days)

    @property
    def largest_pot_ml(self) -> int:
        """The room in the largest pot."""
        return max(self.brief.kitchen.pots_ml, default=0)

    def on(self, day: int) -> date:
        """The date of a day."""
        return self.brief.start + timedelta(days=day)

    def minutes(self, day: int) -> int:
        """Hands-on minutes there are on a day. Days the kitchen does not name have none."""
        given = self.brief.kitchen.hands_on_min
        return given[day] if 0 <= day < len(given) else 0

    def present(self, meal: Meal) -> tuple[int, ...]:
        """The groups, by number, that are at a meal."""
        return tuple(number for number, group in enumerate(self.groups) if group.at(meal))

    def can_cook(self, dish: str, day: int) -> bool:
        """Whether a day has the minutes for a dish and somebody is at home for as long as it takes."""
        return day == EVE or (
            self.dishes[dish].recipe.hands_on_min <= self.minutes(day) and self.is_at_home(dish, day)
        )

    def is_at_home(self, dish: str, day: int) -> bool:
        """Whether somebody is at home in one go for as long as a dish takes; the day before the week has time."""
        given = self.brief.kitchen.at_home_min
        return not 0 <= day < len(given) or self.dishes[dish].recipe.elapsed_min <= given[day]

    def source(self, pot: Pot, meal: Meal) -> str | None:
        """How a portion of a pot comes to a meal; None when it cannot. On a day out, what is cooked before leaving is
        breakfast, and all else is cooked too late for that day's mug and midday. Before the first day there are no pots
        of dishes, so what it needs is cooked before leaving."""
        day, slot = meal
        if pot[1] == day and day and day in self.brief.kitchen.out and slot in (Slot.MUG, Slot.MIDDAY):
            return None
        recipe = self.dishes[pot[0]].recipe
        if pot[1] == day and recipe.makes and slot is Slot.MUG and recipe.elapsed_min > UP_TO_THE_MUG_MIN:
            return None
        return self.dishes[pot[0]].source(pot[1], day)

    def drawn_at(self, pot: Pot) -> int:
        """The half-day at which the pot of a dish draws its stock, two a day from 0: a breakfast in the morning, when
        the stock that is cooked that day is not ready yet; anything else later."""
        return 2 * pot[1] + (Slot.BREAKFAST not in self.dishes[pot[0]].recipe.slots)

    def most_halves(self, dish: str) -> int:
        """The most half portions of a dish that the largest pot holds."""
        return 2 * self.largest_pot_ml // self.dishes[dish].pot_ml

    def for_slot(self, slot: Slot) -> tuple[str, ...]:
        """The dishes that can be this meal."""
        return tuple(key for key, dish in self.dishes.items() if slot in dish.recipe.slots)

    def only(self, keys: Iterable[str]) -> "Setting":
        """The same question with fewer dishes."""
        kept = frozenset(keys)
        dishes = {key: dish for key, dish in self.dishes.items() if key in kept}
        return replace(self, dishes=dishes, makers=_makers(dish.recipe for dish in dishes.values()))


def ready_at(day: int) -> int:
    """The half-day at which stock that is cooked on a day can be drawn on, or on its last day no longer can."""
    return 2 * day + 1


def lay(brief: Brief) -> Setting:
    """Make a brief ready. Side dishes are no meal by themselves and take no part; so do dishes that draw on a stock
    which no recipe can make for the whole table, and eaters who are away from every meal."""
    recipes = sorted(
        (recipe for recipe in brief.recipes if recipe.kind != "side"), key=lambda recipe: recipe.key
    )
    every_maker = _makers(recipes)
    dishes = {
        recipe.key: dish for recipe in recipes if (dish := _dish(brief, recipe, every_maker)) is not None
    }
    slots = tuple(slot for slot in Slot if slot in brief.slots)
    meals = [(day, slot) for day in range(brief.days) for slot in slots]
    eaters = sorted(
        (eater for eater in brief.eaters if not eater.away.issuperset(meals)), key=lambda eater: eater.key
    )
    fits = {eater.key: _fits(brief, eater, dishes) for eater in eaters}
    shared = {
        key: dish
        for key, dish in dishes.items()
        if not dish.recipe.makes or _for_all(brief, dish, eaters, fits)
    }
    makers = _makers(dish.recipe for dish in shared.values())
    usable = {key: dish for key, dish in shared.items() if dish.draws_ml.keys() <= makers.keys()}
    groups = _groups(brief, eaters, usable, fits)
    without = {key: _without(brief, dish, eaters, fits) for key, dish in usable.items() if dish.recipe.makes}
    laid = Setting(brief, slots, groups, usable, makers, without, weights(brief.wants))
    used = {ingredient.food for dish in usable.values() for ingredient in dish.recipe.ingredients}
    return replace(
        laid, lots=lots(brief, used), packs=packs(brief, used), diet=diet(brief, slots, eaters, usable)
    )


def disliked(dish: Dish, group: Group) -> bool:
    """Whether a dish holds something the group dislikes and that cannot be left out."""
    return any(
        ingredient.food in group.head.dislikes and ingredient.use is Use.BASE
        for ingredient in dish.recipe.ingredients
    )


def twice_from_a_pot(brief: Brief, dishes: Iterable[Dish]) -> int:
    """The appetite, in hundredths of a portion, that the largest pot feeds two meals of most dishes. Whoever together
    eats more must be free to eat apart, or leftovers would be out of the question."""
    rooms = sorted(dish.portion_ml for dish in dishes)
    large = rooms[3 * len(rooms) // 4] if rooms else 1
    return 50 * max(brief.kitchen.pots_ml, default=0) // large


def novelty(brief: Brief, dish: str) -> int:
    """A number from 0 to 9 that differs by dish and by week: it breaks ties, so that weeks do not all look alike."""
    return crc32(f"{brief.start.isoformat()} {dish}".encode()) % 10


def _makers(recipes: Iterable[Recipe]) -> dict[str, tuple[str, ...]]:
    made: dict[str, tuple[str, ...]] = {}
    for recipe in recipes:
        if recipe.makes:
            made[recipe.makes] = (*made.get(recipe.makes, ()), recipe.key)
    return made


def _dish(brief: Brief, recipe: Recipe, makers: Mapping[str, object]) -> Dish | None:
    """The figures of a dish; None when a food is unknown or a stock in it cannot be measured."""
    if any(ingredient.food not in brief.foods for ingredient in recipe.ingredients):
        return None
    amounts_g = portion_grams(recipe, brief.foods)
    portion_ml = room_ml(recipe)
    draws = _draws(brief, recipe, makers)
    if portion_ml is None or draws is None:
        return None
    raw_ml = sum(amount for amount in amounts_g if amount.is_finite()) if recipe.makes else Decimal(0)
    return Dish(
        recipe=recipe,
        amounts_g=amounts_g,
        portion_ml=max(1, int(portion_ml)),
        pot_ml=max(1, int(max(portion_ml, raw_ml).to_integral_value(ROUND_CEILING))),
        kept_days=min(recipe.fridge_days, KEPT_MOST_DAYS) if recipe.batch else 0,
        frozen_days=recipe.freezer_days if recipe.batch and brief.kitchen.freezer else 0,
        draws_ml=draws,
        meat_percent=_meat_percent(brief, recipe, amounts_g),
    )


def _draws(brief: Brief, recipe: Recipe, makers: Mapping[str, object]) -> dict[str, int] | None:
    draws: dict[str, Decimal] = {}
    for ingredient in recipe.ingredients:
        if ingredient.food in makers and not recipe.makes and ingredient.use in (Use.BASE, Use.FLAVOUR):
            volume = millilitres(ingredient.quantity, ingredient.unit, brief.foods[ingredient.food])
            if volume is None:
                return None
            draws[ingredient.food] = draws.get(ingredient.food, Decimal(0)) + volume / recipe.servings
    return {food: int(volume.to_integral_value(ROUND_CEILING)) for food, volume in sorted(draws.items())}


def _meat_percent(brief: Brief, recipe: Recipe, amounts_g: tuple[Decimal, ...]) -> int:
    meat = total = Decimal(0)
    for ingredient, amount_g in zip(recipe.ingredients, amounts_g, strict=True):
        aisle = brief.foods[ingredient.food].aisle
        if aisle not in _UNWEIGHED_AISLES and ingredient.use is Use.BASE and amount_g.is_finite():
            total += amount_g
            meat += amount_g if aisle in _MEAT_AISLES else 0
    return int(100 * meat / total) if total else 0


def _fits(brief: Brief, eater: BriefEater, dishes: Mapping[str, Dish]) -> dict[tuple[str, int], Fit]:
    return {
        (key, day): fit_amounts(
            dish.recipe, dish.amounts_g, eater.days[day], appetite=eater.appetite, dislikes=eater.dislikes
        )
        for key, dish in dishes.items()
        for day in range(brief.days)
    }


def _for_all(
    brief: Brief,
    dish: Dish,
    eaters: Iterable[BriefEater],
    fits: Mapping[str, Mapping[tuple[str, int], Fit]],
) -> bool:
    """Whether a stock suits everyone who may have what it makes: it goes into dishes nobody can take it out of."""
    return all(
        fits[eater.key][dish.recipe.key, day].ok or not _may_get(brief, eater, dish.recipe.makes, day)
        for eater in eaters
        for day in range(brief.days)
    )


def _without(
    brief: Brief,
    dish: Dish,
    eaters: Iterable[BriefEater],
    fits: Mapping[str, Mapping[tuple[str, int], Fit]],
) -> tuple[str, ...]:
    """What stays out of a stock, since somebody who may have it, by the mug or in a dish, must do without."""
    missed = (
        food
        for eater in eaters
        for day in range(brief.days)
        if _may_get(brief, eater, dish.recipe.makes, day)
        for food in fits[eater.key][dish.recipe.key, day].without
    )
    return tuple(sorted(out_of_the_pot(dish.recipe, missed)))


def _may_get(brief: Brief, eater: BriefEater, food: str, day: int) -> bool:
    """Whether an eater has a meal of a day and a food is open to them on it."""
    given = eater.days[day].get(food)
    eats = any((day, slot) not in eater.away for slot in brief.slots)
    return eats and given is not None and given.allowance is not Allowance.NOT_YET


def _groups(
    brief: Brief,
    eaters: Iterable[BriefEater],
    dishes: Mapping[str, Dish],
    fits: Mapping[str, Mapping[tuple[str, int], Fit]],
) -> tuple[Group, ...]:
    """Eaters alike in every fit, taste and first taste and at the same meals, in parties that one pot can still feed
    twice."""
    alike: dict[object, list[BriefEater]] = {}
    for eater in eaters:
        fitting = tuple((key, day, fits[eater.key][key, day]) for key in dishes for day in range(brief.days))
        tastes = (eater.leaning, eater.dislikes, _first_tastes(eater))
        alike.setdefault((fitting, tastes, eater.away), []).append(eater)
    most = twice_from_a_pot(brief, dishes.values())
    groups = []
    for party in alike.values():
        for members in _parties(party, most):
            share = sum(hundredths(eater.appetite) for eater in members)
            groups.append(Group(tuple(members), share, fits[members[0].key]))
    return tuple(groups)


def _first_tastes(eater: BriefEater) -> object:
    """What of an eater's first tastes depends on the appetite, so that only like appetites are put together."""
    capped = any(given.most_g is not None for day in eater.days for given in day.values())
    caps = tuple(
        tuple(sorted((food, given.most_g) for food, given in day.items() if given.most_g is not None))
        for day in eater.days
    )
    return (eater.appetite, caps) if capped else None


def _parties(eaters: list[BriefEater], most: int) -> Iterator[list[BriefEater]]:
    party: list[BriefEater] = []
    for eater in eaters:
        if party and sum(hundredths(member.appetite) for member in (*party, eater)) > most:
            yield party
            party = []
        party.append(eater)
    if party:
        yield party


def hundredths(portions: Decimal) -> int:
    """Portions in hundredths, upwards, so that nobody is served less than their share."""
    return int((portions * 100).to_integral_value(ROUND_CEILING))
