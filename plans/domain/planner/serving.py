"""From the solver's numbers to a week people can read: pots with their reasons, plates with what is left off them."""

from collections.abc import Iterator
from decimal import Decimal

from plans.domain.book import Recipe
from plans.domain.brief import BriefEater, Cook, Plate, Reason, Week
from plans.domain.fit import out_of_the_pot
from plans.domain.planner.because import Serving, stores_used, would_be_short
from plans.domain.planner.goals import Cost
from plans.domain.planner.model import WeekModel
from plans.domain.planner.setting import EVE, PER_HALF, Dish, Pot, Setting
from plans.domain.planner.solving import Answer
from plans.domain.vocabulary import Slot, Use


def serve(week: WeekModel, answer: Answer, costs: dict[str, Cost]) -> Week:
    """The week that an answer describes."""
    setting = week.setting
    servings = list(_servings(week, answer))
    pots = _pots(week, answer, servings)
    left_out = {pot: _left_out(setting, pot, servings) for pot in pots}
    stores = stores_used(setting, pots, servings)
    objective = {part: answer.worth(cost) for part, cost in costs.items()}
    cost, bound = sum(objective.values()), max(0.0, answer.bound)
    return Week(
        start=setting.brief.start,
        days=setting.brief.days,
        cooks=tuple(
            Cook(
                key=_key(setting, pot),
                recipe=pot[0],
                on=setting.on(pot[1]),
                portions=portions,
                why=(
                    *_why(setting, pot, servings),
                    *stores.get(pot, ()),
                    *would_be_short(setting, pot, servings),
                ),
                without=left_out[pot],
            )
            for pot, portions in pots.items()
        ),
        plates=tuple(_plates(setting, servings, left_out)),
        objective=objective,
        bound=bound,
        gap=max(0.0, cost - bound) / max(1, cost),
    )


def _servings(week: WeekModel, answer: Answer) -> Iterator[Serving]:
    served = {(pot[0], meal): pot for (pot, meal), variable in week.served.items() if answer.of(variable)}
    for (seat, key, meal), eats in week.eats.items():
        if answer.of(eats):
            for group in week.groups_at(seat, meal):
                for eater in group.eaters:
                    yield meal, served[key, meal], eater, group.fits[key, meal[0]].without


def _pots(week: WeekModel, answer: Answer, servings: list[Serving]) -> dict[Pot, Decimal]:
    """The pots with their portions, earliest first. A dish is cooked in no more half portions than are eaten."""
    eaten = {pot for _, pot, _, _ in servings}
    pots = {}
    for pot in sorted(week.cooked, key=lambda pot: (pot[1], pot[0])):
        if not answer.of(week.cooked[pot]):
            continue
        halves = answer.of(week.halves[pot])
        if not week.setting.dishes[pot[0]].recipe.makes:
            if pot not in eaten:
                continue
            needed = sum(answer.worth(amount) for amount in week.amount[pot].values())
            halves = min(halves, max(2, -(-needed // PER_HALF)))
        pots[pot] = Decimal(halves) / 2
    return pots


def _plates(setting: Setting, servings: list[Serving], left_out: dict[Pot, tuple[str, ...]]) -> list[Plate]:
    order = {slot: place for place, slot in enumerate(Slot)}
    plates = []
    tasted: dict[tuple[str, int], dict[str, Decimal]] = {}
    for meal, pot, eater, _ in servings:
        tastes = tasted.setdefault((eater.key, meal[0]), {})
        for food, amount_g in _amounts(setting.dishes[pot[0]], Use.BASE):
            tastes[food] = tastes.get(food, Decimal(0)) + amount_g * eater.appetite
    for meal, pot, eater, without in sorted(
        servings, key=lambda serving: (serving[0][0], order[serving[0][1]])
    ):
        dish = setting.dishes[pot[0]]
        off = dict.fromkeys((*without, *left_out[pot]))
        off |= dict.fromkeys(_too_much(dish, eater, meal[0], off, tasted[eater.key, meal[0]]))
        source = dish.source(pot[1], meal[0]) or ""
        plates.append(
            Plate(
                setting.on(meal[0]),
                meal[1],
                eater.key,
                _key(setting, pot),
                eater.appetite,
                source,
                tuple(off),
            )
        )
    return sorted(plates, key=lambda plate: (plate.on, order[plate.slot], plate.eater))


def _left_out(setting: Setting, pot: Pot, servings: list[Serving]) -> tuple[str, ...]:
    """What stays out of a shared pot: every optional food or flavour that somebody who eats from it must do without,
    and from stock what somebody must do without who may get it in another dish."""
    recipe = setting.dishes[pot[0]].recipe
    missed = (food for _, of, _, without in servings if of == pot for food in without)
    return tuple(sorted(out_of_the_pot(recipe, missed).union(setting.stock_without.get(pot[0], ()))))


def _too_much(
    dish: Dish, eater: BriefEater, day: int, off: dict[str, None], tastes: dict[str, Decimal]
) -> Iterator[str]:
    """The plate foods that would take a first taste over the day's amount. What is put on the plate is counted."""
    for food, amount_g in _amounts(dish, Use.PLATE):
        given = eater.days[day].get(food)
        if food in off or given is None or given.most_g is None:
            continue
        total = tastes.get(food, Decimal(0)) + amount_g * eater.appetite
        if total > given.most_g:
            yield food
        else:
            tastes[food] = total


def _amounts(dish: Dish, use: Use) -> Iterator[tuple[str, Decimal]]:
    for ingredient, amount_g in zip(dish.recipe.ingredients, dish.amounts_g, strict=True):
        if ingredient.use is use:
            yield ingredient.food, amount_g


def _key(setting: Setting, pot: Pot) -> str:
    return f"{setting.on(pot[1]).isoformat()} {pot[0]}"


def _why(setting: Setting, pot: Pot, servings: list[Serving]) -> Iterator[Reason]:
    """Why this pot is cooked then: whom it feeds, how far it reaches, and what the day is like."""
    recipe, day = setting.dishes[pot[0]].recipe, pot[1]
    meals = {meal for meal, of, _, _ in servings if of == pot}
    eaters = {eater.name: None for _, of, eater, _ in servings if of == pot}
    if recipe.makes:
        mugs = sum(of == pot for _, of, _, _ in servings)
        yield Reason("stock-for", {"mugs": mugs, "dishes": _drawing(setting, recipe, day, servings)})
    elif len(eaters) == len(setting.brief.eaters):
        yield Reason("feeds-all", {"meals": len(meals)})
    else:
        yield Reason("feeds-some", {"meals": len(meals), "eaters": ", ".join(eaters)})
    last = max((on for on, _ in meals), default=day)
    if last > day:
        yield Reason("lasts-until", {"on": setting.on(last).isoformat()})
    yield _day(setting, day)


def _drawing(setting: Setting, recipe: Recipe, day: int, servings: list[Serving]) -> int:
    """The dishes cooked on or after a day that draw on what this stock makes."""
    return len(
        {of for _, of, _, _ in servings if of[1] >= day and recipe.makes in setting.dishes[of[0]].draws_ml}
    )


def _day(setting: Setting, day: int) -> Reason:
    if day == EVE:
        return Reason("cooked-ahead", {})
    minutes = [setting.minutes(other) for other in setting.days]
    facts: dict[str, str | int] = {"minutes": setting.minutes(day)}
    return Reason(
        "calm-day" if 2 * setting.minutes(day) >= max(minutes) + min(minutes) else "short-day", facts
    )
