"""A week that is to be revised, in the numbers of its question: what is eaten and cooked, and what still stands.

What is eaten is history. An eater may have got other allowances since, and a day other minutes; what was eaten and
cooked stays as it was. So the question is laid with days behind it on which nothing is open and there was time for all
that was cooked, and what was eaten then is put back, plate by plate. What of it does not go into the numbers any more
(a dish that left the book, an appetite that has changed) is *settled*: it takes no part in the model and is handed on
as it is. Of today some may be eaten and some not, so it keeps its rules (``today``), and an eaten meal that today's
rules would not allow is settled, too.
"""

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from plans.domain.book import Recipe
from plans.domain.brief import Brief, BriefEater, Cook, FoodAllowance, Meal, Revision
from plans.domain.fit import Fit, out_of_the_pot
from plans.domain.planner.setting import Dish, Group, Setting, hundredths, lay, ready_at
from plans.domain.planner.today import cooked_already, eaten_plates, is_a_taste, meal_of, tastes_left
from plans.domain.quantities import millilitres
from plans.domain.vocabulary import Allowance, Slot, Use

Pot = tuple[str, int]
Seat = tuple[int, Meal]
"""A group, by number, at a meal."""


@dataclass(frozen=True, slots=True)
class Shown:
    """The shown week: its ``pots``, by recipe and day, and by group and meal the pot that is eaten from.

    ``cooked`` are the pots of it that are cooked already. ``settled`` are the meals that need no dish: nobody is there,
    or what was eaten is not in the model. ``left`` are hundredths of a portion that past pots still hold, ``left_ml``
    the stock of them; ``shared`` is the stock of which dishes may still be made. ``mains`` is how often a group had a
    main before.
    """

    setting: Setting
    revision: Revision
    pots: Mapping[Pot, Cook]
    cooked: frozenset[Pot]
    eaten: Mapping[Seat, Pot]
    settled: frozenset[Seat]
    left: Mapping[Pot, int]
    left_ml: Mapping[Pot, int]
    shared: frozenset[Pot]
    mains: Mapping[tuple[int, str], int]

    @property
    def first(self) -> int:
        """The first day of which something may change."""
        return self.revision.from_day

    def is_eaten(self, meal: Meal) -> bool:
        """Whether a meal may not change any more."""
        return meal in self.revision.past

    def past(self, pot: Pot) -> bool:
        """Whether a pot is cooked already, or would have been cooked before the first day that may change."""
        return pot[1] < self.first or pot in self.cooked

    def ahead(self) -> Iterator[tuple[Seat, Pot]]:
        """What is shown at meals that may change, where somebody is there to eat."""
        for seat, pot in self.eaten.items():
            if not self.is_eaten(seat[1]) and seat not in self.settled:
                yield seat, pot

    def ends(self, pot: Pot) -> int | None:
        """The day from which nothing is eaten from a pot because it has gone; None when that is no day."""
        cook = self.pots.get(pot)
        return None if cook is None else self.revision.gone_cooks.get(cook.key)

    def gives(self, stock: Pot, half_day: int) -> bool:
        """Whether a dish may draw on a pot of stock at a half-day."""
        if (self.past(stock) and stock not in self.shared) or half_day < ready_at(stock[1]):
            return False
        ends, day = self.ends(stock), half_day // 2
        return bool(self.setting.dishes[stock[0]].source(stock[1], day)) and (ends is None or day < ends)

    def gone_base(self, pot: Pot) -> tuple[str, ...]:
        """The foods that have gone by the day of a pot and without which it cannot be cooked, if it is not yet."""
        if self.past(pot):
            return ()
        gone = gone_foods(self, pot[1])
        lines = self.setting.dishes[pot[0]].recipe.ingredients
        return tuple(line.food for line in lines if line.food in gone and line.use is Use.BASE)

    def holds_for(self, pot: Pot, group: Group, day: int) -> bool:
        """Whether what went into a pot that is cooked, and into the stock it drew on, is nothing that a group has to do
        without on a day."""
        return not self.holds_too_much(pot, group, day)

    def holds_too_much(self, pot: Pot, group: Group, day: int) -> str:
        """A food that is in a pot, or in the stock it drew on, and that a group has to do without; else empty."""
        missed = _inside(self.setting, self.pots, pot, group, day)
        drawn_on = (
            stock
            for stock in self.pots
            if stock[0] in _makers(self.setting, pot[0]) and stock[1] <= pot[1] and self.past(stock)
        )
        for stock in () if missed else drawn_on:
            if stock[0] not in self.setting.dishes or not group.suits(stock[0], day):
                return stock[0]
            missed = missed or _inside(self.setting, self.pots, stock, group, day)
        return missed


def gone_foods(shown: Shown, day: int) -> frozenset[str]:
    """The foods that have gone by a day. What is cooked already keeps them."""
    if day < shown.first:
        return frozenset()
    return frozenset(food for food, since in shown.revision.gone_foods.items() if since <= day)


def show(brief: Brief) -> Shown:
    """The shown week of a brief with a revision. Raises KeyError when its past has a recipe the brief does not know."""
    revision = brief.revision
    if revision is None:
        raise ValueError("a brief without a revision shows no week")
    pots = {(cook.recipe, (cook.on - brief.start).days): cook for cook in revision.shown.cooks}
    cooked = cooked_already(brief, revision)
    setting = _grouped(lay(_with_a_past(brief, revision, cooked)), brief, pots)
    eaten = _eaten(setting, brief, pots)
    modelled = _modelled(setting, revision, pots, eaten)
    settled = frozenset(
        (number, (day, slot))
        for number, group in enumerate(setting.groups)
        for slot in setting.slots
        for day in setting.days
        if (day, slot) in group.head.away
        or ((day, slot) in revision.past and (number, (day, slot)) not in modelled)
    )
    past = {pot: cook for pot, cook in pots.items() if pot in cooked}
    eaten_before = eaten_of_pots(brief, revision.past)
    return Shown(
        setting=replace(setting, groups=_as_eaten(setting, revision, pots, eaten, modelled)),
        revision=revision,
        pots=pots,
        cooked=cooked,
        eaten=eaten,
        settled=settled,
        left=_left(past, eaten_before),
        left_ml=stock_left(setting, brief, past, eaten_before),
        shared=frozenset(pot for pot in past if _for_all(setting, past, pot, brief)),
        mains=_mains(brief, eaten, revision.past),
    )


def _with_a_past(brief: Brief, revision: Revision, cooked: Iterable[Pot]) -> Brief:
    """The question with days behind it on which nothing is open, and with time for what was cooked already."""
    first, kitchen = max(0, revision.from_day), brief.kitchen
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    work: dict[int, int] = {}
    longest = dict.fromkeys(range(first), 24 * 60)
    for key, day in cooked:
        work[day] = work.get(day, 0) + recipes[key].hands_on_min
        longest[day] = max(longest.get(day, 0), recipes[key].elapsed_min)
    kitchen = replace(
        kitchen,
        hands_on_min=tuple(max(most, work.get(day, 0)) for day, most in enumerate(kitchen.hands_on_min)),
        at_home_min=tuple(max(most, longest.get(day, 0)) for day, most in enumerate(kitchen.at_home_min)),
        out=frozenset(day for day in kitchen.out if (day, Slot.MIDDAY) not in revision.past),
    )
    eaters = tuple(
        replace(eater, days=tuple(_open(brief, revision, eater, day) for day in range(brief.days)))
        for eater in brief.eaters
    )
    return replace(brief, eaters=eaters, kitchen=kitchen)


def _open(brief: Brief, revision: Revision, eater: BriefEater, day: int) -> Mapping[str, FoodAllowance]:
    """What may still be eaten on a day: nothing on one behind, of today's first tastes what is left of them."""
    if day < revision.from_day:
        return {}
    return tastes_left(brief, revision, eater) if day == revision.from_day else eater.days[day]


def _grouped(setting: Setting, brief: Brief, pots: Mapping[Pot, Cook]) -> Setting:
    """The question with groups of eaters who are also there at the same meals and were shown the same dishes."""
    pot_of = {cook.key: pot for pot, cook in pots.items()}
    shown: dict[str, list[tuple[Meal, Pot, Decimal]]] = {}
    for plate in eaten_plates(brief):
        shown.setdefault(plate.eater, []).append((meal_of(brief, plate), pot_of[plate.cook], plate.portions))
    groups = []
    for group in setting.groups:
        alike: dict[object, list[BriefEater]] = {}
        for eater in group.eaters:
            meals = tuple(sorted((meal, pot) for meal, pot, _ in shown.get(eater.key, ())))
            alike.setdefault((meals, eater.away), []).append(eater)
        groups += [
            replace(group, eaters=tuple(eaters), share=sum(hundredths(eater.appetite) for eater in eaters))
            for eaters in alike.values()
        ]
    return replace(setting, groups=tuple(groups))


def _eaten(setting: Setting, brief: Brief, pots: Mapping[Pot, Cook]) -> dict[Seat, Pot]:
    pot_of = {cook.key: pot for pot, cook in pots.items()}
    numbers = {group.head.key: number for number, group in enumerate(setting.groups)}
    return {
        (numbers[plate.eater], meal_of(brief, plate)): pot_of[plate.cook]
        for plate in eaten_plates(brief)
        if plate.eater in numbers
    }


def _modelled(
    setting: Setting, revision: Revision, pots: Mapping[Pot, Cook], eaten: Mapping[Seat, Pot]
) -> frozenset[Seat]:
    """The eaten meals that the model can hold as they were."""
    portions: dict[Seat, Decimal] = {}
    numbers = {eater.key: number for number, group in enumerate(setting.groups) for eater in group.eaters}
    for plate in revision.shown.plates:
        if plate.eater in numbers:
            seat = numbers[plate.eater], meal_of(setting.brief, plate)
            portions[seat] = portions.get(seat, Decimal(0)) + plate.portions
    found: list[Seat] = []
    times: dict[tuple[int, str], int] = {}
    for seat, pot in sorted(eaten.items()):
        number, (day, slot) = seat
        dish = setting.dishes.get(pot[0])
        if (
            dish is None
            or not can_hold(setting, pot, pots[pot])
            or not _goes_in(setting, revision, seat, dish)
        ):
            continue
        main = number, dish.recipe.main
        if (
            slot in setting.slots
            and slot in dish.recipe.slots
            and setting.source(pot, (day, slot))
            and portions[seat] * 100 == setting.groups[number].share
            and times.get(main, 0) < setting.brief.most_repeats
        ):
            times[main] = times.get(main, 0) + (slot in (Slot.MIDDAY, Slot.EVENING))
            found.append(seat)
    return frozenset(found)


def _goes_in(setting: Setting, revision: Revision, seat: Seat, dish: Dish) -> bool:
    """Whether a meal is eaten and, if that was today, goes by today's rules. First tastes that were eaten today are off
    what is left of them, and must not be counted once more."""
    number, meal = seat
    group = setting.groups[number]
    if meal[0] != revision.from_day:
        return meal in revision.past
    fits = group.suits(dish.recipe.key, meal[0]) and not is_a_taste(dish.recipe, group.head.days[meal[0]])
    return meal in revision.past and fits


def can_hold(setting: Setting, pot: Pot, cook: Cook) -> bool:
    """Whether the model can hold a pot as it was cooked."""
    dish, most = setting.dishes[pot[0]], setting.most_halves(pot[0])
    least = min(most, int(dish.recipe.servings) if dish.recipe.makes else 2)
    halves = 2 * cook.portions
    return halves == int(halves) and least <= halves <= most and (pot[1] >= 0 or bool(dish.recipe.makes))


def _as_eaten(
    setting: Setting,
    revision: Revision,
    pots: Mapping[Pot, Cook],
    eaten: Mapping[Seat, Pot],
    modelled: Iterable[Seat],
) -> tuple[Group, ...]:
    """The groups, for whom on days behind just what they ate is open."""
    fits = [dict(group.fits) for group in setting.groups]
    for number, (day, slot) in modelled:
        pot = eaten[number, (day, slot)]
        if day < revision.from_day:
            fits[number][pot[0], day] = Fit(True, pots[pot].without)
    return tuple(replace(group, fits=own) for group, own in zip(setting.groups, fits, strict=True))


def eaten_of_pots(brief: Brief, within: Container[Meal] | None = None) -> dict[str, Decimal]:
    """The portions that are eaten of the shown pots at some meals or at all, by the keys of the pots."""
    eaten: dict[str, Decimal] = {}
    for plate in eaten_plates(brief, within):
        eaten[plate.cook] = eaten.get(plate.cook, Decimal(0)) + plate.portions
    return eaten


def _left(past: Mapping[Pot, Cook], eaten: Mapping[str, Decimal]) -> dict[Pot, int]:
    """The hundredths of a portion that past pots hold for the meals to come."""
    return {
        pot: max(0, int((cook.portions - eaten.get(cook.key, Decimal(0))) * 100))
        for pot, cook in past.items()
    }


def stock_left(
    setting: Setting, brief: Brief, pots: Mapping[Pot, Cook], eaten: Mapping[str, Decimal]
) -> dict[Pot, int]:
    """The millilitres that pots of stock still hold: less the mugs drunk of them and what the pots of dishes drew, each
    from the oldest pot first.

    This is the solver's own account. It promises only that in any run of days the pots that still keep hold enough, and
    taking the oldest first spends what is lost soonest. Which pot a dish draws on in a kitchen, where what stands in
    the refrigerator goes before what would have to be thawed, is for ``plans.domain.stock_draws`` to say.
    """
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    in_turn = sorted(pots, key=lambda pot: (pot[1], pot[0]))
    left = {
        pot: (pots[pot].portions - eaten.get(pots[pot].key, Decimal(0))) * dish.portion_ml
        for pot in in_turn
        if (dish := setting.dishes.get(pot[0])) is not None and dish.recipe.makes
    }
    for cooked in in_turn:
        for food, wanted in _drawn(brief, recipes[cooked[0]], pots[cooked]).items():
            for pot in left:
                dish = setting.dishes[pot[0]]
                if dish.recipe.makes == food and dish.source(pot[1], cooked[1]):
                    taken = min(wanted, left[pot])
                    left[pot] -= taken
                    wanted -= taken
    return {pot: max(0, int(amount)) for pot, amount in left.items()}


def _drawn(brief: Brief, recipe: Recipe, cook: Cook) -> dict[str, Decimal]:
    """The millilitres of home-made foods that went into a pot."""
    made = {other.makes for other in brief.recipes if other.makes}
    drawn: dict[str, Decimal] = {}
    for line in () if recipe.makes else recipe.ingredients:
        if line.food in made and line.use in (Use.BASE, Use.FLAVOUR):
            volume = millilitres(line.quantity, line.unit, brief.foods[line.food]) or Decimal(0)
            drawn[line.food] = drawn.get(line.food, Decimal(0)) + volume * cook.portions / recipe.servings
    return drawn


def _for_all(setting: Setting, pots: Mapping[Pot, Cook], pot: Pot, brief: Brief) -> bool:
    """Whether a pot is stock that suits everyone who may have what it makes on the days to come."""
    food = setting.dishes[pot[0]].recipe.makes if pot[0] in setting.dishes else ""
    if not food:
        return False
    first = brief.revision.from_day if brief.revision else 0
    return all(
        group.suits(pot[0], day) and not _inside(setting, pots, pot, group, day)
        for group in setting.groups
        for day in range(max(0, first), brief.days)
        if (given := group.head.days[day].get(food)) and given.allowance is not Allowance.NOT_YET
    )


def _inside(setting: Setting, pots: Mapping[Pot, Cook], pot: Pot, group: Group, day: int) -> str:
    """A food in a cooked pot that should have stayed out for a group; empty when there is none."""
    missed = out_of_the_pot(setting.dishes[pot[0]].recipe, group.fits[pot[0], day].without)
    return min(missed.difference(pots[pot].without), default="")


def _makers(setting: Setting, dish: str) -> frozenset[str]:
    """The recipes of the stocks that a dish draws on, those that suit the table no more included."""
    drawn = setting.dishes[dish].draws_ml
    return frozenset(recipe.key for recipe in setting.brief.recipes if recipe.makes in drawn)


def _mains(brief: Brief, eaten: Mapping[Seat, Pot], past: Container[Meal]) -> dict[tuple[int, str], int]:
    """How often a group had a main at eaten midday and evening meals."""
    mains = {recipe.key: recipe.main for recipe in brief.recipes}
    times: dict[tuple[int, str], int] = {}
    for (number, meal), pot in eaten.items():
        if meal in past and meal[1] in (Slot.MIDDAY, Slot.EVENING):
            times[number, mains[pot[0]]] = times.get((number, mains[pot[0]]), 0) + 1
    return times
