"""The week in columns: a pot and all the meals it feeds, chosen as one thing.

Where everyone eats from a common table, a week is a set of columns that between them serve every meal once, and nearly
every price is the price of one column: cooking it, its minutes, its second and third meal, what is left over. What
columns have in common stays in rows: meals, minutes, repeats, first tastes, stock. A linear relaxation of this form
says far more than one of single plates (see ``solve``).

Amounts are those of the model of plates: a pot holds the half portions its meals need. More would only be waste, since
no dish draws so much stock that cooking it in vain would be a saving.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from plans.domain.planner.goals import (
    A_POT,
    A_THAWED_SERVING,
    FURTHER_BREAKFASTS,
    FURTHER_MEALS,
    NOVELTY,
    SAME_DAY,
    dislike_price,
    leaning_price,
    minutes_price,
)
from plans.domain.planner.model import MAIN_SLOTS, PER_HALF, Meal, Pot, tastes_mg
from plans.domain.planner.setting import EVE, THAWED, Setting, novelty
from plans.domain.vocabulary import Slot

Row = tuple[str | int, ...]
"""What is limited, by name: ``("meal", 0, "midday")``, ``("minutes", 3)``."""
Uses = Mapping[Row, int]
Duals = Mapping[Row, float]


@dataclass(frozen=True, slots=True)
class Column:
    """A pot, the meals it feeds, what that costs and what it takes of each row."""

    pot: Pot
    meals: tuple[Meal, ...]
    cost: int
    uses: Uses = field(compare=False)


@dataclass(frozen=True, slots=True)
class Offer:
    """A pot that may be cooked, with what each part of a column from it costs and uses.

    ``sizes[n - 1]`` is the price of feeding ``n`` meals and the half portions that takes; ``draws`` the stock rows and
    millilitres of a half portion; ``plates`` the price and the rows of each meal it can feed; ``touches`` the row of
    the main on the day, for main meals, of which a column takes no more than ``most_mains``.
    """

    pot: Pot
    cost: int
    uses: Uses
    draws: Uses
    sizes: tuple[tuple[int, int], ...]
    plates: Mapping[Meal, tuple[int, Uses]]
    touches: Mapping[Meal, Row]
    most_mains: int

    def column(self, meals: tuple[Meal, ...]) -> Column:
        """The column that feeds some of the meals, in order."""
        price, halves = self.sizes[len(meals) - 1]
        uses = dict(self.uses)
        for row, amount in self.draws.items():
            uses[row] = amount * halves
        cost = self.cost + price
        touched: set[Row] = set()
        for meal in meals:
            plate, rows = self.plates[meal]
            cost += plate
            for row, amount in rows.items():
                uses[row] = uses.get(row, 0) + amount
            touch = self.touches.get(meal)
            if touch in touched:
                cost += SAME_DAY
            elif touch is not None:
                touched.add(touch)
                uses[touch] = 1
        return Column(self.pot, meals, cost, uses)


@dataclass(frozen=True, slots=True)
class Priced:
    """An offer at the duals of a relaxation: the reduced cost of its columns, piece by piece.

    ``sizes[n - 1]`` holds all that does not depend on which meals are fed; ``gains`` what each meal brings, the best
    first. A main twice on a day costs ``SAME_DAY`` in place of touching the day's row a second time.
    """

    offer: Offer
    sizes: tuple[float, ...]
    gains: tuple[tuple[float, Meal], ...]
    touching: Mapping[Row, float]

    def least(self) -> float:
        """No column of the offer has a lower reduced cost; it may be a little higher where a main comes twice a day."""
        total, mains, least = 0.0, 0, self.sizes[0] - self.gains[0][0]
        taken = 0
        for gain, meal in self.gains:
            mains += meal in self.offer.touches
            if meal in self.offer.touches and mains > self.offer.most_mains:
                continue
            total, taken = total + gain, taken + 1
            if taken > len(self.sizes):
                break
            least = min(least, self.sizes[taken - 1] - total)
        return least

    def likely(self) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        """For each number of meals the ones that gain most, no main twice a day: nearly always the best there is."""
        total, meals, touched = 0.0, [], set()
        for gain, meal in self.gains:
            touch = self.offer.touches.get(meal)
            if touch is not None:
                if touch in touched or len(touched) == self.offer.most_mains:
                    continue
                touched.add(touch)
            total += gain
            meals.append(meal)
            yield self.sizes[len(meals) - 1] - total, tuple(sorted(meals))
            if len(meals) == len(self.sizes):
                return

    def columns_below(self, limit: float) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        """Every choice of meals with a reduced cost of no more than a limit, with that cost."""
        heads = [0.0]
        for gain, _ in self.gains:
            heads.append(heads[-1] + gain)
        yield from self._extend(limit, heads, 0, (), 0.0, 0)

    def _extend(
        self, limit: float, heads: list[float], start: int, meals: tuple[Meal, ...], gained: float, mains: int
    ) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        size = len(meals)
        if size and self.sizes[size - 1] - gained <= limit:
            yield self.sizes[size - 1] - gained, tuple(sorted(meals))
        for place in range(start, len(self.gains)):
            room = min(len(self.sizes), size + len(self.gains) - place)
            hoped = (
                self.sizes[more - 1] - gained - (heads[place + more - size] - heads[place])
                for more in range(size + 1, room + 1)
            )
            if min(hoped, default=limit + 1) > limit:
                return
            gain, meal = self.gains[place]
            touch = self.offer.touches.get(meal)
            if touch is not None:
                if mains >= self.offer.most_mains:
                    continue
                if any(self.offer.touches.get(other) == touch for other in meals):
                    gain -= SAME_DAY - self.touching[touch]
            yield from self._extend(
                limit, heads, place + 1, (*meals, meal), gained + gain, mains + (touch is not None)
            )


def priced(offer: Offer, duals: Duals, taken: frozenset[Meal] = frozenset()) -> Priced | None:
    """An offer at the duals of a relaxation in which some meals are taken; None when it feeds no other."""
    touching = {row: -duals[row] for row in set(offer.touches.values())}
    gains = sorted(
        (
            (
                sum(duals[row] * amount for row, amount in rows.items())
                - price
                - (touching[offer.touches[meal]] if meal in offer.touches else 0.0),
                meal,
            )
            for meal, (price, rows) in offer.plates.items()
            if meal not in taken
        ),
        key=lambda gain: (-gain[0], gain[1]),
    )
    if not gains:
        return None
    fixed = offer.cost - sum(duals[row] * amount for row, amount in offer.uses.items())
    half = sum(duals[row] * amount for row, amount in offer.draws.items())
    sizes = tuple(fixed + price - half * halves for price, halves in offer.sizes[: len(gains)])
    return Priced(offer, sizes, tuple(gains), touching)


def offers(setting: Setting) -> list[Offer]:
    """Every pot of a dish, stock aside, that can be cooked and feeds the common table at some meal."""
    found = []
    for key, dish in setting.dishes.items():
        if dish.recipe.makes or not setting.most_halves(key):
            continue
        plates = common_plates(setting, key)
        for day in setting.days:
            if dish.recipe.hands_on_min <= setting.minutes(day):
                offer = _offer(setting, (key, day), plates)
                if offer is not None:
                    found.append(offer)
    return found


def table_share(setting: Setting) -> int:
    """The appetite of the whole table in hundredths of a portion."""
    return sum(group.share for group in setting.groups)


def common_plates(setting: Setting, key: str) -> dict[Meal, tuple[int, Uses]]:
    """The meals at which a dish suits everyone, with what it costs there and takes of each row, whatever its pot."""
    dish = setting.dishes[key]
    found: dict[Meal, tuple[int, Uses]] = {}
    for day in setting.days:
        if not all(group.suits(key, day) for group in setting.groups):
            continue
        tastes = {("taste", number, day, food): held for number, food, held in tastes_mg(setting, key, day)}
        for slot in (slot for slot in setting.slots if slot in dish.recipe.slots):
            uses: dict[Row, int] = {("meal", day, slot): 1, **tastes}
            if slot in MAIN_SLOTS:
                uses["repeats", dish.recipe.main] = 1
            price = sum(
                dislike_price(dish, group) + leaning_price(dish, group, slot) for group in setting.groups
            )
            found[day, slot] = price, uses
    return found


def plates_from(
    setting: Setting, pot: Pot, plates: Mapping[Meal, tuple[int, Uses]]
) -> dict[Meal, tuple[int, Uses]]:
    """Those plates of a dish that can come from a pot, with the price of thawing."""
    dish = setting.dishes[pot[0]]
    return {
        meal: (price + A_THAWED_SERVING * (source == THAWED), uses)
        for meal, (price, uses) in plates.items()
        if (source := dish.source(pot[1], meal[0]))
    }


def pot_cost(setting: Setting, pot: Pot) -> int:
    """What cooking a pot costs by itself."""
    return A_POT + NOVELTY * novelty(setting.brief, pot[0]) + minutes_price(setting, pot)


def _offer(setting: Setting, pot: Pot, of_dish: Mapping[Meal, tuple[int, Uses]]) -> Offer | None:
    key, day = pot
    dish, share = setting.dishes[key], table_share(setting)
    plates = plates_from(setting, pot, of_dish)
    most = setting.most_halves(key)
    most_meals = min(len(plates), most * PER_HALF // share)
    if not most_meals:
        return None
    drawn = {meal: {("there", food, day, *meal): 1 for food in dish.draws_ml} for meal in plates}
    plates = {meal: (price, {**uses, **drawn[meal]}) for meal, (price, uses) in plates.items()}
    return Offer(
        pot=pot,
        cost=pot_cost(setting, pot),
        uses={("minutes", day): dish.recipe.hands_on_min, ("again", dish.recipe.main): 1},
        draws={row: amount for food in dish.draws_ml for row, amount in _drawn(setting, food, pot)},
        sizes=tuple(
            _size(dish.recipe.slots, share, min(most, 2), count) for count in range(1, most_meals + 1)
        ),
        plates=plates,
        touches={meal: ("twice", dish.recipe.main, meal[0]) for meal in plates if meal[1] in MAIN_SLOTS},
        most_mains=setting.brief.most_repeats,
    )


def _size(slots: tuple[Slot, ...], share: int, least: int, count: int) -> tuple[int, int]:
    """The price of feeding so many meals, with what is left over, and the half portions it takes."""
    prices = FURTHER_BREAKFASTS if Slot.BREAKFAST in slots else FURTHER_MEALS
    halves = max(least, -(-share * count // PER_HALF))
    further = sum(prices[min(number, len(prices) - 1)] for number in range(count - 1))
    return further + PER_HALF * halves - share * count, halves


def _drawn(setting: Setting, food: str, pot: Pot) -> Iterator[tuple[Row, int]]:
    half_ml = -(-setting.dishes[pot[0]].draws_ml[food] // 2)
    yield ("left", food), -half_ml
    for first, last in stock_spans(setting, food):
        if first <= pot[1] <= last:
            yield ("stock", food, first, last), half_ml


def stock_lasts(setting: Setting, food: str) -> int:
    """The days for which any pot of a stock can be drawn on."""
    dishes = [setting.dishes[key] for key in setting.makers[food]]
    return min(max(dish.kept_days, dish.frozen_days) for dish in dishes)


def stock_spans(setting: Setting, food: str) -> list[tuple[int, int]]:
    """The runs of days in which dishes may draw no more of a stock than the pots that keep hold. Runs that stock from
    the eve lasts into say no more than the run from the first day."""
    lasts = stock_lasts(setting, food)
    return [
        (first, last)
        for first in setting.days
        for last in range(first, setting.brief.days)
        if not first or EVE + lasts < first
    ]
