"""The kitchen on one day of a week: what to cook in which order, what is eaten, what goes into and out of the freezer.

What is eaten thawed was frozen on the night it was cooked and moves to the refrigerator the day before it is eaten:
thawing there takes a day (USDA FSIS, The Big Thaw: Safe Defrosting Methods). The eve of the week is a day, too.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from plans.domain.book import Recipe
from plans.domain.brief import Brief, Cook, FoodAllowance, Plate, Week
from plans.domain.planner.setting import FRESH, THAWED
from plans.domain.stock_draws import ORDER, Draw, is_thawed, stock_draws, use_by
from plans.domain.vocabulary import Slot, Use

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Eaten:
    """A plate with the pot it comes from. ``use_by`` is the last day from the refrigerator.

    ``most_g`` names the foods of the plate of which there is a most for the whole day, a first taste.
    """

    plate: Plate
    cook: Cook
    use_by: date
    most_g: tuple[tuple[str, Decimal], ...] = ()


@dataclass(frozen=True, slots=True)
class Cooking:
    """A pot to cook on the day. ``needed`` is the first meal of the day it or a dish with it is eaten at, if any, and
    ``lead_min`` how long before that meal to begin: a stock is done before the dish that draws on it begins.

    ``today`` are its plates of the day, ``later`` those of other days; ``draws`` the stock it takes; ``for_dishes``
    what other pots take of it, if it is a stock.
    """

    cook: Cook
    recipe: Recipe
    needed: Slot | None
    lead_min: int
    today: tuple[Plate, ...]
    later: tuple[Plate, ...]
    draws: tuple[Draw, ...]
    for_dishes: tuple[Draw, ...]
    use_by: date


@dataclass(frozen=True, slots=True)
class Frozen:
    """Some of a pot that is frozen or taken out: its plates, and the stock that dishes draw."""

    cook: Cook
    plates: tuple[Plate, ...]
    draws: tuple[Draw, ...]

    @property
    def portions(self) -> Decimal:
        """Portions that are eaten as they are."""
        return sum((plate.portions for plate in self.plates), Decimal(0))

    @property
    def days(self) -> tuple[date, ...]:
        """The days it is eaten or cooked with."""
        return tuple(sorted({part.on for part in (*self.plates, *self.draws)}))


@dataclass(frozen=True, slots=True)
class Day:
    """One day. ``meals`` hold every plate of the day once; ``freeze`` is for tonight, ``take_out`` for tomorrow."""

    on: date
    cooks: tuple[Cooking, ...]
    meals: tuple[tuple[Slot, tuple[Eaten, ...]], ...]
    freeze: tuple[Frozen, ...]
    take_out: tuple[Frozen, ...]

    @property
    def hands_on_min(self) -> int:
        """All the work at the stove, in minutes."""
        return sum(cooking.recipe.hands_on_min for cooking in self.cooks)

    def plates(self) -> Iterator[Eaten]:
        """Every plate of the day."""
        for _, eaten in self.meals:
            yield from eaten


def day_of(week: Week, brief: Brief, on: date) -> Day:
    """The work and the meals of a day. A day far from the week is empty."""
    return _View(week, brief).day(on)


class _View:
    """A week looked up by pot."""

    def __init__(self, week: Week, brief: Brief) -> None:
        self.week, self.brief = week, brief
        self.recipes = {recipe.key: recipe for recipe in brief.recipes}
        self.cooks = {cook.key: cook for cook in week.cooks}
        self.place = {eater.key: place for place, eater in enumerate(brief.eaters)}
        self.draws = stock_draws(week, brief)
        self.plates: dict[str, list[Plate]] = {key: [] for key in self.cooks}
        for plate in sorted(week.plates, key=self._order):
            self.plates[plate.cook].append(plate)

    def _order(self, plate: Plate) -> tuple[date, int, int]:
        return plate.on, ORDER[plate.slot], self.place.get(plate.eater, len(self.place))

    def recipe(self, cook: Cook) -> Recipe:
        return self.recipes[cook.recipe]

    def day(self, on: date) -> Day:
        cooks = [self._cooking(cook) for cook in self.week.cooks if cook.on == on]
        return Day(
            on=on,
            cooks=tuple(sorted(cooks, key=_by_need)),
            meals=tuple(self._meals(on)),
            freeze=tuple(self._frozen(lambda cook, _eaten: cook.on == on)),
            take_out=tuple(self._frozen(lambda _cook, eaten: eaten == on + ONE_DAY)),
        )

    def _meals(self, on: date) -> Iterator[tuple[Slot, tuple[Eaten, ...]]]:
        plates = sorted((plate for plate in self.week.plates if plate.on == on), key=self._order)
        for slot in Slot:
            eaten = tuple(self._eaten(plate) for plate in plates if plate.slot == slot)
            if eaten:
                yield slot, eaten

    def _eaten(self, plate: Plate) -> Eaten:
        cook = self.cooks[plate.cook]
        recipe = self.recipe(cook)
        return Eaten(plate, cook, use_by(cook, recipe), tuple(self._most(plate, cook, recipe)))

    def _most(self, plate: Plate, cook: Cook, recipe: Recipe) -> Iterator[tuple[str, Decimal]]:
        """The first tastes on a plate with their most for the day."""
        day = (plate.on - self.brief.start).days
        given = self._given(plate.eater, day)
        held = dict.fromkeys(
            line.food
            for line in recipe.ingredients
            if line.use is not Use.FLAVOUR
            and line.food not in plate.without
            and line.food not in cook.without
        )
        for food in held:
            most_g = given[food].most_g if food in given else None
            if most_g is not None:
                yield food, most_g

    def _given(self, eater: str, day: int) -> Mapping[str, FoodAllowance]:
        days = next((one.days for one in self.brief.eaters if one.key == eater), ())
        return days[day] if 0 <= day < len(days) else {}

    def _cooking(self, cook: Cook) -> Cooking:
        plates = self.plates[cook.key]
        today = tuple(plate for plate in plates if plate.on == cook.on)
        for_dishes = tuple(draw for draw in self.draws if draw.pot == cook.key)
        recipe = self.recipe(cook)
        leads = [(ORDER[plate.slot], -recipe.elapsed_min) for plate in today]
        leads += [
            (ORDER[draw.slot], -recipe.elapsed_min - self.recipe(self.cooks[draw.cook]).elapsed_min)
            for draw in for_dishes
            if draw.source == FRESH and self._is_eaten(draw)
        ]
        place, lead = min(leads, default=(None, 0))
        return Cooking(
            cook=cook,
            recipe=recipe,
            needed=None if place is None else tuple(Slot)[place],
            lead_min=-lead,
            today=today,
            later=tuple(plate for plate in plates if plate.on != cook.on),
            draws=tuple(draw for draw in self.draws if draw.cook == cook.key),
            for_dishes=for_dishes,
            use_by=use_by(cook, recipe),
        )

    def _is_eaten(self, draw: Draw) -> bool:
        """Whether the dish that draws is eaten on the day it is cooked."""
        return any(plate.on == draw.on for plate in self.plates[draw.cook])

    def _frozen(self, wanted: Callable[[Cook, date], bool]) -> Iterator[Frozen]:
        """By pot, the plates and draws that are frozen between their pot and their day and are asked for."""
        for cook in sorted(self.week.cooks, key=lambda cook: (cook.on, cook.key)):
            plates = [
                plate for plate in self.plates[cook.key] if is_thawed(plate, cook) and wanted(cook, plate.on)
            ]
            draws = [
                draw
                for draw in self.draws
                if draw.pot == cook.key and draw.source == THAWED and wanted(cook, draw.on)
            ]
            if plates or draws:
                yield Frozen(cook, tuple(plates), tuple(draws))


def _by_need(cooking: Cooking) -> tuple[int, int, str]:
    """What is eaten first comes first, of that what is begun first, and of the rest what takes longest."""
    if cooking.needed is None:
        return len(ORDER), -cooking.recipe.elapsed_min, cooking.cook.key
    return ORDER[cooking.needed], -cooking.lead_min, cooking.cook.key
