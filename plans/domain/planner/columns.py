"""The week in columns: a pot and all the meals it feeds, chosen as one thing.

Where everyone eats from a common table, a week is a set of columns that between them serve every meal once, and nearly
every price is the price of one column: cooking it, its minutes, its second and third meal, what is left over. What
columns have in common stays in rows: meals, minutes, repeats, first tastes, stock. A linear relaxation of this form
says far more than one of single plates (see ``solve``).

Amounts are those of the model of plates: a pot holds the half portions its meals need. More would only be waste, since
no dish draws so much stock that cooking it in vain would be a saving.

The table need not be the same at every meal. A meal takes the share of those who are at it, so the size of a pot goes
by what it feeds, not by how many meals that is: for each number of meals there are the shares they can add up to.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

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
from plans.domain.planner.model import Meal, tastes_mg
from plans.domain.planner.nourishing import counted
from plans.domain.planner.packs_left import PackRow, packs_by_half
from plans.domain.planner.presence import widest
from plans.domain.planner.setting import MAIN_SLOTS, PER_HALF, THAWED, Dish, Pot, Setting, novelty
from plans.domain.planner.spans import stock_spans
from plans.domain.planner.using_up import taken_by_half, taken_by_plate
from plans.domain.vocabulary import Slot

Row = tuple[str | int, ...]
"""What is limited, by name: ``("meal", 0, "midday")``, ``("minutes", 3)``."""
Uses = Mapping[Row, int]
Duals = Mapping[Row, float]
Sizes = Mapping[int, tuple[int, int]]
"""By the share fed, in hundredths of a portion: the price and the half portions."""


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

    ``sizes[n - 1]`` is, for each share that ``n`` meals can add up to, their price and the half portions they take;
    ``draws`` the rows and what a half portion takes of them; ``plates`` the price and the rows of each meal it can
    feed; ``shares`` the share of the table at it; ``touches`` the row of the main on the day, for main meals, of which
    a column takes no more than ``most_mains``. The same main twice on a day costs ``same_day``. ``bought`` are the rows
    of packs, which mean nothing to a relaxation, and what a half portion takes of them.
    """

    pot: Pot
    cost: int
    uses: Uses
    draws: Uses
    sizes: tuple[Sizes, ...]
    plates: Mapping[Meal, tuple[int, Uses]]
    shares: Mapping[Meal, int]
    touches: Mapping[Meal, Row]
    most_mains: int
    same_day: int
    bought: Mapping[PackRow, int]

    def column(self, meals: tuple[Meal, ...]) -> Column:
        """The column that feeds some of the meals, in order."""
        price, halves = self.sizes[len(meals) - 1][sum(self.shares[meal] for meal in meals)]
        uses = dict(self.uses)
        for row, amount in (*self.draws.items(), *self.bought.items()):
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
                cost += self.same_day
            elif touch is not None:
                touched.add(touch)
                uses[touch] = 1
        return Column(self.pot, meals, cost, uses)


@dataclass(frozen=True, slots=True)
class Priced:
    """An offer at the duals of a relaxation: the reduced cost of its columns, piece by piece.

    ``sizes[n - 1]`` holds all that does not depend on which meals are fed, by the share of ``n`` meals, and
    ``least_sizes`` the least of it; ``gains`` what each meal brings, the best first. A main twice on a day costs
    ``same_day`` in place of touching the day's row a second time.

    Where shares differ, what a share draws in the long run is in the gains, as a difference from the fullest table. So
    sizes of one count differ by no more than the rounding to half portions, and their least is a close bound.
    """

    offer: Offer
    sizes: tuple[Mapping[int, float], ...]
    least_sizes: tuple[float, ...]
    gains: tuple[tuple[float, Meal], ...]
    touching: Mapping[Row, float]

    def least(self) -> float:
        """No column of the offer has a lower reduced cost; it may be a little higher where a main comes twice a day."""
        total, mains, least = 0.0, 0, self.least_sizes[0] - self.gains[0][0]
        taken = 0
        for gain, meal in self.gains:
            mains += meal in self.offer.touches
            if meal in self.offer.touches and mains > self.offer.most_mains:
                continue
            total, taken = total + gain, taken + 1
            if taken > len(self.sizes):
                break
            least = min(least, self.least_sizes[taken - 1] - total)
        return least

    def likely(self) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        """For each number of meals the ones that gain most, no main twice a day: nearly always the best there is."""
        total, meals, touched, fed = 0.0, [], set(), 0
        for gain, meal in self.gains:
            fed_so = fed + self.offer.shares[meal]
            if fed_so not in self.sizes[len(meals)]:
                continue
            touch = self.offer.touches.get(meal)
            if touch is not None:
                if touch in touched or len(touched) == self.offer.most_mains:
                    continue
                touched.add(touch)
            total, fed = total + gain, fed_so
            meals.append(meal)
            yield self.sizes[len(meals) - 1][fed] - total, tuple(sorted(meals))
            if len(meals) == len(self.sizes):
                return

    def columns_below(self, limit: float) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        """Every choice of meals with a reduced cost of no more than a limit, with that cost."""
        heads = [0.0]
        for gain, _ in self.gains:
            heads.append(heads[-1] + gain)
        yield from self._extend(limit, heads, 0, (), 0.0, 0, 0)

    def _extend(
        self,
        limit: float,
        heads: list[float],
        start: int,
        meals: tuple[Meal, ...],
        gained: float,
        mains: int,
        fed: int,
    ) -> Iterator[tuple[float, tuple[Meal, ...]]]:
        size = len(meals)
        if size and self.sizes[size - 1][fed] - gained <= limit:
            yield self.sizes[size - 1][fed] - gained, tuple(sorted(meals))
        for place in range(start, len(self.gains)):
            room = min(len(self.sizes), size + len(self.gains) - place)
            hoped = (
                self.least_sizes[more - 1] - gained - (heads[place + more - size] - heads[place])
                for more in range(size + 1, room + 1)
            )
            if min(hoped, default=limit + 1) > limit:
                return
            gain, meal = self.gains[place]
            fed_so = fed + self.offer.shares[meal]
            if fed_so not in self.sizes[size]:
                continue
            touch = self.offer.touches.get(meal)
            if touch is not None:
                if mains >= self.offer.most_mains:
                    continue
                if any(self.offer.touches.get(other) == touch for other in meals):
                    gain -= self.offer.same_day - self.touching[touch]
            yield from self._extend(
                limit, heads, place + 1, (*meals, meal), gained + gain, mains + (touch is not None), fed_so
            )


def priced(offer: Offer, duals: Duals, taken: frozenset[Meal] = frozenset()) -> Priced | None:
    """An offer at the duals of a relaxation in which some meals are taken; None when it feeds no other."""
    touching = {row: -duals[row] for row in set(offer.touches.values())}
    half = sum(duals[row] * amount for row, amount in offer.draws.items())
    full, above = max(offer.shares.values()), -half / PER_HALF
    gains = sorted(
        (
            (
                sum(duals[row] * amount for row, amount in rows.items())
                - price
                - (touching[offer.touches[meal]] if meal in offer.touches else 0.0)
                - above * (offer.shares[meal] - full),
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
    sizes = tuple(
        {
            fed: fixed + price - half * halves - above * (fed - full * count)
            for fed, (price, halves) in of_count.items()
        }
        for count, of_count in enumerate(offer.sizes[: len(gains)], start=1)
    )
    return Priced(offer, sizes, tuple(min(of_count.values()) for of_count in sizes), tuple(gains), touching)


def offers(setting: Setting) -> list[Offer]:
    """Every pot of a dish, stock aside, that can be cooked and feeds the common table at some meal."""
    found = []
    most_mains = setting.brief.most_repeats * len(widest(setting, range(len(setting.groups))))
    for key, dish in setting.dishes.items():
        if dish.recipe.makes or not setting.most_halves(key):
            continue
        plates = common_plates(setting, key)
        for day in setting.days:
            if setting.can_cook(key, day):
                offer = _offer(setting, (key, day), plates, most_mains)
                if offer is not None:
                    found.append(offer)
    return found


def table_share(setting: Setting, meal: Meal) -> int:
    """The appetite of all who are at a meal in hundredths of a portion."""
    return sum(setting.groups[number].share for number in setting.present(meal))


def common_plates(setting: Setting, key: str) -> dict[Meal, tuple[int, Uses]]:
    """The meals at which a dish suits all who are there, with what it costs there and takes of each row, whatever its
    pot."""
    dish = setting.dishes[key]
    found: dict[Meal, tuple[int, Uses]] = {}
    everyone = widest(setting, range(len(setting.groups)))
    for day in setting.days:
        tastes = list(tastes_mg(setting, key, day))
        for slot in (slot for slot in setting.slots if slot in dish.recipe.slots):
            meal = (day, slot)
            present = setting.present(meal)
            if not present or not all(setting.groups[number].suits(key, day) for number in present):
                continue
            uses: dict[Row, int] = {("meal", *meal): 1}
            uses |= {("taste", number, day, food): held for number, food, held in tastes if number in present}
            if slot in MAIN_SLOTS:
                uses |= {("repeats", dish.recipe.main, n): 1 for n, at in enumerate(everyone) if meal in at}
            uses |= counted(setting, key, meal)
            found[meal] = _plates_price(setting, dish, meal, present), uses
    return found


def _plates_price(setting: Setting, dish: Dish, meal: Meal, present: tuple[int, ...]) -> int:
    groups = [setting.groups[number] for number in present]
    disliking = sum(dislike_price(dish, group) for group in groups)
    leaning = sum(leaning_price(dish, group, meal[1]) for group in groups)
    return setting.weights["dislikes"] * disliking + setting.weights["leaning"] * leaning


def plates_from(
    setting: Setting, pot: Pot, plates: Mapping[Meal, tuple[int, Uses]]
) -> dict[Meal, tuple[int, Uses]]:
    """Those plates of a dish that can come from a pot, with the price of thawing and what they take of the house."""
    thawing = setting.weights["thawed"] * A_THAWED_SERVING
    return {
        meal: (price + thawing * (source == THAWED), {**uses, **_lots(setting, pot, meal)})
        for meal, (price, uses) in plates.items()
        if (source := setting.source(pot, meal))
    }


def _lots(setting: Setting, pot: Pot, meal: Meal) -> dict[Row, int]:
    taken: dict[Row, int] = {}
    for number in setting.present(meal) if setting.lots else ():
        for row, amount in taken_by_plate(setting, pot, meal, number).items():
            taken[row] = taken.get(row, 0) - amount
    return taken


def pot_cost(setting: Setting, pot: Pot) -> int:
    """What cooking a pot costs by itself."""
    weights = setting.weights
    return (
        weights["cooks"] * A_POT
        + weights["novelty"] * NOVELTY * novelty(setting.brief, pot[0])
        + weights["busy"] * minutes_price(setting, pot)
    )


def _offer(
    setting: Setting, pot: Pot, of_dish: Mapping[Meal, tuple[int, Uses]], most_mains: int
) -> Offer | None:
    key, day = pot
    dish = setting.dishes[key]
    plates = plates_from(setting, pot, of_dish)
    most = setting.most_halves(key)
    shares = {meal: table_share(setting, meal) for meal in plates}
    sizes = _sizes(setting, key, tuple(sorted(shares.values())), most)
    if not sizes:
        return None
    at = setting.drawn_at(pot)
    drawn = {meal: {("there", food, at, *meal): 1 for food in dish.draws_ml} for meal in plates}
    plates = {meal: (price, {**uses, **drawn[meal]}) for meal, (price, uses) in plates.items()}
    return Offer(
        pot=pot,
        cost=pot_cost(setting, pot),
        uses={("minutes", day): dish.recipe.hands_on_min, ("again", dish.recipe.main): 1},
        draws={row: amount for food in dish.draws_ml for row, amount in _drawn(setting, food, pot)}
        | {row: -amount for row, amount in taken_by_half(setting, pot).items()},
        sizes=sizes,
        plates=plates,
        shares=shares,
        touches={meal: ("twice", dish.recipe.main, meal[0]) for meal in plates if meal[1] in MAIN_SLOTS},
        most_mains=most_mains,
        same_day=setting.weights["same_day"] * SAME_DAY,
        bought=packs_by_half(setting, key),
    )


def _sizes(setting: Setting, key: str, shares: tuple[int, ...], most: int) -> tuple[Sizes, ...]:
    """The price of feeding any number of meals of these shares, with what is left over, and the half portions."""
    slots = setting.dishes[key].recipe.slots
    prices = FURTHER_BREAKFASTS if Slot.BREAKFAST in slots else FURTHER_MEALS
    sizes, further = [], 0
    for count, totals in enumerate(_totals(shares, most * PER_HALF)):
        halves = {fed: max(min(most, 2), -(-fed // PER_HALF)) for fed in totals}
        sizes.append(
            {
                fed: (
                    setting.weights["repeats"] * further
                    + setting.weights["waste"] * (PER_HALF * halves[fed] - fed),
                    halves[fed],
                )
                for fed in totals
            }
        )
        further += prices[min(count, len(prices) - 1)]
    return tuple(sizes)


@cache
def _totals(shares: tuple[int, ...], most: int) -> tuple[tuple[int, ...], ...]:
    """What one, two, three … meals of these shares can add up to within a most, smallest first."""
    reached: list[set[int]] = [{0}, *(set() for _ in shares)]
    for number, share in enumerate(shares):
        for count in range(number, -1, -1):
            reached[count + 1].update(fed + share for fed in reached[count] if fed + share <= most)
    return tuple(tuple(sorted(totals)) for totals in reached[1:] if totals)


def _drawn(setting: Setting, food: str, pot: Pot) -> Iterator[tuple[Row, int]]:
    half_ml = -(-setting.dishes[pot[0]].draws_ml[food] // 2)
    yield ("left", food), -100 * half_ml
    at = setting.drawn_at(pot)
    for first, last in stock_spans(setting, food):
        if first <= at <= last:
            yield ("stock", food, first, last), half_ml
