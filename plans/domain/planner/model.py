"""The week as a constraint model: which pots are cooked when, what comes to the table, and who eats it.

Amounts are whole numbers: portions eaten in hundredths, portions cooked in halves, stock in millilitres. A *pot* is a
dish and the day it is cooked; a *meal* is a day and a slot; a *party* is groups that share their meals.
"""

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, Decimal

from ortools.sat.python.cp_model import CpModel, IntVar, LinearExpr

from plans.domain.brief import Meal
from plans.domain.planner.presence import widest
from plans.domain.planner.setting import EVE, MAIN_SLOTS, PER_HALF, Group, Pot, Setting, ready_at
from plans.domain.planner.shortlist import Parties
from plans.domain.planner.spans import stock_lasts, stock_spans
from plans.domain.vocabulary import Slot, Use


@dataclass(slots=True)
class WeekModel:
    """The variables of one model.

    ``cooked`` a pot and ``halves`` its half portions. ``served`` a pot at a meal, ``amount`` the hundredths of it that
    go on plates there. ``eats`` a party a dish at a meal. ``free_ml`` the stock of a pot that mugs leave for dishes.
    The last three are what a relaxed model may buy: minutes, repeats of a main, meals left unplanned. ``settled`` are
    the meals of a party that need no dish of this model, ``begun`` the pots that are cooked already.
    """

    cp: CpModel
    setting: Setting
    parties: Mapping[Slot, Parties]
    relaxed: bool
    cooked: dict[Pot, IntVar] = field(default_factory=dict)
    halves: dict[Pot, IntVar] = field(default_factory=dict)
    served: dict[tuple[Pot, Meal], IntVar] = field(default_factory=dict)
    amount: dict[Pot, dict[Meal, LinearExpr | IntVar]] = field(default_factory=dict)
    eats: dict[tuple[int, str, Meal], IntVar] = field(default_factory=dict)
    free_ml: dict[Pot, IntVar] = field(default_factory=dict)
    short_minutes: dict[int, IntVar] = field(default_factory=dict)
    extra_repeats: dict[tuple[int, str], IntVar] = field(default_factory=dict)
    unplanned: dict[tuple[int, Meal], IntVar] = field(default_factory=dict)
    settled: frozenset[tuple[int, Meal]] = frozenset()
    begun: set[Pot] = field(default_factory=set)

    def seated(self, meal: Meal) -> list[int]:
        """The parties, by number, of which somebody is at a meal that needs a dish."""
        present = set(self.setting.present(meal))
        return [
            seat
            for seat, party in enumerate(self.parties[meal[1]])
            if not present.isdisjoint(party) and (seat, meal) not in self.settled
        ]

    def groups_at(self, seat: int, meal: Meal) -> list[Group]:
        """The groups of a party that are at a meal."""
        groups = (self.setting.groups[number] for number in self.parties[meal[1]][seat])
        return [group for group in groups if group.at(meal)]

    def party_suits(self, seat: int, dish: str, meal: Meal) -> bool:
        """Whether everyone of a party who is at a meal may eat a dish there."""
        return all(group.suits(dish, meal[0]) for group in self.groups_at(seat, meal))

    def party_share(self, seat: int, meal: Meal) -> int:
        """The appetite of a party at a meal in hundredths of a portion."""
        return sum(group.share for group in self.groups_at(seat, meal))

    def pots_of(self, dish: str) -> list[Pot]:
        """The pots of a dish, earliest first."""
        return [(dish, day) for day in range(EVE, self.setting.brief.days) if (dish, day) in self.cooked]


def build(
    setting: Setting,
    parties: Mapping[Slot, Parties],
    *,
    relaxed: bool = False,
    settled: frozenset[tuple[int, Meal]] = frozenset(),
    stock: Callable[[WeekModel], None] | None = None,
) -> WeekModel:
    """Every rule of a week. A relaxed model can buy its way out of minutes, repeats and meals, so it has a solution.

    ``stock`` says how stock is drawn where it is not the usual way, as when some of it is drawn already.
    """
    week = WeekModel(CpModel(), setting, parties, relaxed, settled=settled)
    _pots(week)
    _meals(week)
    _amounts(week)
    (stock or _stock)(week)
    _minutes(week)
    _repeats(week)
    _first_tastes(week)
    return week


def _pots(week: WeekModel) -> None:
    """A pot that is cooked holds at least a portion, or half a batch of stock, and no more than the largest pot. The
    day before the week has time for one pot of stock."""
    setting = week.setting
    for key, dish in setting.dishes.items():
        most = setting.most_halves(key)
        least = min(most, int(dish.recipe.servings) if dish.recipe.makes else 2)
        for day in range(EVE if dish.recipe.makes else 0, setting.brief.days) if most else ():
            if not (setting.is_at_home(key, day) if week.relaxed else setting.can_cook(key, day)):
                continue
            cooked = week.cp.new_bool_var(f"cooked {key} {day}")
            halves = week.cp.new_int_var(0, most, f"halves {key} {day}")
            week.cp.add(halves <= most * cooked)
            week.cp.add(halves >= least * cooked)
            week.cooked[key, day] = cooked
            week.halves[key, day] = halves
    if setting.one_pot_on_the_eve:
        week.cp.add_at_most_one(cooked for (_, day), cooked in week.cooked.items() if day == EVE)


def _meals(week: WeekModel) -> None:
    """Every party eats one dish at every meal somebody of it is at, out of one pot that is fresh enough."""
    setting = week.setting
    for slot in setting.slots:
        for day in setting.days:
            meal = (day, slot)
            choices: dict[int, list[IntVar]] = {number: [] for number in week.seated(meal)}
            for key in setting.for_slot(slot):
                eating = [number for number in choices if week.party_suits(number, key, meal)]
                pots = [pot for pot in week.pots_of(key) if setting.source(pot, meal)]
                if eating and pots:
                    _serve(week, pots, meal, eating)
                    for number in eating:
                        choices[number].append(week.eats[number, key, meal])
            for number, offered in choices.items():
                if week.relaxed:
                    skipped = week.cp.new_bool_var(f"unplanned {number} {day} {slot}")
                    week.unplanned[number, meal] = skipped
                    offered.append(skipped)
                week.cp.add_exactly_one(offered)


def _serve(week: WeekModel, pots: list[Pot], meal: Meal, eating: list[int]) -> None:
    """One dish at one meal: who of those it suits eats it, and from which of its pots."""
    key, (day, slot) = pots[0][0], meal
    for pot in pots:
        served = week.cp.new_bool_var(f"served {key} {pot[1]} {day} {slot}")
        week.cp.add_implication(served, week.cooked[pot])
        week.served[pot, meal] = served
    any_pot = [week.served[pot, meal] for pot in pots]
    week.cp.add_at_most_one(any_pot)
    for number in eating:
        eats = week.cp.new_bool_var(f"eats {number} {key} {day} {slot}")
        week.eats[number, key, meal] = eats
        week.cp.add_bool_or(eats.negated(), *any_pot)
        if len(week.seated(meal)) == 1:
            week.cp.add(LinearExpr.sum(any_pot) == eats)


def _amounts(week: WeekModel) -> None:
    """What is eaten of a dish at a meal is taken from the pot served there; no pot of a dish gives more than it has."""
    meals: dict[tuple[str, Meal], list[Pot]] = {}
    for (key, day), meal in week.served:
        meals.setdefault((key, meal), []).append((key, day))
    for (key, meal), pots in meals.items():
        shares = {
            number: week.party_share(number, meal)
            for number in week.seated(meal)
            if (number, key, meal) in week.eats
        }
        most = sum(shares.values())
        eaten = LinearExpr.sum([share * week.eats[number, key, meal] for number, share in shares.items()])
        amounts = _split(week, pots, meal, eaten, most)
        for pot, amount in zip(pots, amounts, strict=True):
            week.amount.setdefault(pot, {})[meal] = amount
    for (key, day), halves in week.halves.items():
        if not week.setting.dishes[key].recipe.makes:
            week.cp.add(eaten_of(week, (key, day)) <= PER_HALF * halves)


def _split(
    week: WeekModel, pots: list[Pot], meal: Meal, eaten: LinearExpr, most: int
) -> list[LinearExpr | IntVar]:
    """What each pot gives to a meal at which only one of them is served."""
    if len(week.seated(meal)) == 1:
        return [most * week.served[pot, meal] for pot in pots]
    if len(pots) == 1:
        return [eaten]
    amounts: list[LinearExpr | IntVar] = []
    for pot in pots:
        amount = week.cp.new_int_var(0, most, f"amount {pot} {meal}")
        week.cp.add(amount <= most * week.served[pot, meal])
        amounts.append(amount)
    week.cp.add(LinearExpr.sum(amounts) == eaten)
    return amounts


def eaten_of(week: WeekModel, pot: Pot) -> LinearExpr:
    """The hundredths of portions of a pot that go on plates in the whole week."""
    return LinearExpr.sum(list(week.amount.get(pot, {}).values()))


def _stock(week: WeekModel) -> None:
    """Mugs and dishes draw on the same pots of stock, and no pot of stock gives more than it has.

    Mugs come from pots they name. For dishes it is enough that in any run of half-days they draw no more than the pots
    that can still be used in it hold: with equal keeping times the oldest pot first then always works out.
    """
    setting = week.setting
    for food, makers in setting.makers.items():
        lasts = stock_lasts(setting, food)
        pots = [pot for key in makers for pot in week.pots_of(key)]
        for pot in pots:
            portion_ml = setting.dishes[pot[0]].portion_ml
            free_ml = week.cp.new_int_var(0, setting.most_halves(pot[0]) * portion_ml // 2, f"free {pot}")
            mugs = portion_ml * eaten_of(week, pot)
            week.cp.add(100 * free_ml + mugs <= PER_HALF * portion_ml * week.halves[pot])
            week.free_ml[pot] = free_ml
        for first, last in stock_spans(setting, food):
            wanted = drawn_ml(week, food, range(first, last + 1))
            usable = [
                week.free_ml[key, day]
                for key, day in pots
                if ready_at(day) <= last and ready_at(day + lasts) >= first
            ]
            if wanted:
                week.cp.add(LinearExpr.sum(wanted) <= LinearExpr.sum(usable))
        for (key, day), cooked in week.cooked.items():
            if food in setting.dishes[key].draws_ml:
                at = setting.drawn_at((key, day))
                there = [
                    week.cooked[pot] for pot in pots if ready_at(pot[1]) <= at <= ready_at(pot[1] + lasts)
                ]
                week.cp.add_bool_or(cooked.negated(), *there)


def drawn_ml(
    week: WeekModel, food: str, half_days: range, *, besides: Container[Pot] = ()
) -> list[LinearExpr]:
    """The millilitres of a stock that are drawn in some half-days, besides what some pots draw."""
    setting = week.setting
    return [
        -(-setting.dishes[pot[0]].draws_ml[food] // 2) * halves
        for pot, halves in week.halves.items()
        if food in setting.dishes[pot[0]].draws_ml
        and setting.drawn_at(pot) in half_days
        and pot not in besides
    ]


def _minutes(week: WeekModel) -> None:
    """The hands-on minutes of a day hold. The day before the week has its own time."""
    setting = week.setting
    for day in setting.days:
        work = LinearExpr.sum(
            [
                setting.dishes[key].recipe.hands_on_min * cooked
                for (key, on), cooked in week.cooked.items()
                if on == day
            ]
        )
        if week.relaxed:
            week.short_minutes[day] = week.cp.new_int_var(0, 24 * 60, f"short {day}")
            work -= week.short_minutes[day]
        week.cp.add(work <= setting.minutes(day))


def _repeats(week: WeekModel) -> None:
    """Nobody gets the same main at midday or in the evening more often than the brief allows."""
    meals: dict[tuple[int, str], list[tuple[Meal, IntVar]]] = {}
    for (number, key, meal), eats in week.eats.items():
        if meal[1] in MAIN_SLOTS:
            meals.setdefault((number, week.setting.dishes[key].recipe.main), []).append((meal, eats))
    most = week.setting.brief.most_repeats
    for (number, main), offered in meals.items():
        party = next(week.parties[slot][number] for slot in MAIN_SLOTS if slot in week.parties)
        for at in widest(week.setting, party):
            eaten = [eats for meal, eats in offered if meal in at]
            if len(eaten) <= most:
                continue
            times = LinearExpr.sum(eaten)
            if week.relaxed:
                if (number, main) not in week.extra_repeats:
                    name = f"extra {number} {main}"
                    week.extra_repeats[number, main] = week.cp.new_int_var(0, len(offered), name)
                times -= week.extra_repeats[number, main]
            week.cp.add(times <= most)


def _first_tastes(week: WeekModel) -> None:
    """The first tastes of a food in all dishes of a day stay within the day's amount."""
    tastes: dict[tuple[int, int, str], list[LinearExpr]] = {}
    for (seat, key, (day, slot)), eats in week.eats.items():
        for number, food, milligrams in tastes_mg(week.setting, key, day):
            if number in week.parties[slot][seat] and week.setting.groups[number].at((day, slot)):
                tastes.setdefault((number, day, food), []).append(milligrams * eats)
    for (number, day, food), eaten in tastes.items():
        if len(eaten) > 1:
            week.cp.add(LinearExpr.sum(eaten) <= most_mg(week.setting, number, day, food))


def tastes_mg(setting: Setting, dish: str, day: int) -> Iterator[tuple[int, str, int]]:
    """The first tastes in a dish on a day: the group, the food and the milligrams a plate of theirs holds."""
    foods: dict[str, Decimal] = {}
    for ingredient, amount_g in zip(
        setting.dishes[dish].recipe.ingredients, setting.dishes[dish].amounts_g, strict=True
    ):
        if ingredient.use is Use.BASE:
            foods[ingredient.food] = foods.get(ingredient.food, Decimal(0)) + amount_g
    for number, group in enumerate(setting.groups):
        given = group.head.days[day]
        for food, held_g in foods.items():
            if food in given and given[food].most_g is not None and group.suits(dish, day):
                yield number, food, _milligrams(held_g * group.head.appetite)


def most_mg(setting: Setting, number: int, day: int, food: str) -> int:
    """The most of a first taste that a group may have on a day, in milligrams; nothing of a food without a most."""
    most_g = setting.groups[number].head.days[day][food].most_g or Decimal(0)
    return int(most_g * 1000)


def _milligrams(amount_g: Decimal) -> int:
    return int((amount_g * 1000).to_integral_value(ROUND_CEILING))
