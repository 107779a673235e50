"""Which dishes are worth asking the solver about, and who eats together.

A whole book is too much for a few seconds, and most of it would never be chosen. The shortlist keeps dishes that suit
many at the table, fit the minutes there are, draw on few stocks and differ from one another; the week's own novelty
number turns it over from week to week. Every eater keeps enough dishes on every day, if the book has them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plans.domain.planner.presence import planned_meals
from plans.domain.planner.setting import Dish, Setting, disliked, novelty, twice_from_a_pot
from plans.domain.vocabulary import Slot

Parties = tuple[tuple[int, ...], ...]
"""Groups, by number, that share every meal of a kind."""

MOST_GROUPS_TO_ARRANGE = 6
"""Above this many groups that cannot all eat together everyone eats by themselves, because the ways to seat them grow
without end."""


@dataclass(frozen=True, slots=True)
class Breadth:
    """How many dishes of a kind to look at, and how many different mains every group should find on every day."""

    mains: int
    breakfasts: int
    stocks: int
    each_day: int


NARROW = Breadth(mains=14, breakfasts=6, stocks=3, each_day=7)


def shortlist(setting: Setting, breadth: Breadth) -> Setting:
    """The same question with the dishes most worth asking about."""
    stocks = _stocks(setting, breadth.stocks)
    made = {setting.dishes[key].recipe.makes for key in stocks}
    breakfasts = _dishes(setting, Slot.BREAKFAST, made, breadth.breakfasts, (breadth.each_day + 1) // 2)
    mains = [
        key
        for slot in (Slot.MIDDAY, Slot.EVENING)
        for key in _dishes(setting, slot, made, breadth.mains, breadth.each_day)
    ]
    return setting.only((*stocks, *breakfasts, *mains))


def seat(setting: Setting, slots: Sequence[Slot], enough: int) -> Parties:
    """The fewest parties whose members have at least ``enough`` different mains in common on every day.

    Groups that could not fill the week from a common table sit apart, where the solver may still serve them the same.
    """
    numbers = range(len(setting.groups))
    apart = tuple((number,) for number in numbers)
    together = (tuple(numbers),)
    if (
        setting.groups
        and _common_mains(setting, together[0], slots) >= enough
        and _pot_feeds(setting, together)
    ):
        return together
    if len(setting.groups) > MOST_GROUPS_TO_ARRANGE:
        return apart
    rated = (
        (len(parties), -sum(common), parties)
        for parties in _partitions(list(numbers))
        if (common := [_common_mains(setting, party, slots) for party in parties])
        and (len(parties) == len(numbers) or (min(common) >= enough and _pot_feeds(setting, parties)))
    )
    return min(rated)[2] if setting.groups else apart


def _stocks(setting: Setting, most: int) -> list[str]:
    """The stocks that most good dishes draw on; first of all those that give every group its mug."""
    draws: dict[str, int] = {}
    for key, dish in setting.dishes.items():
        for food in dish.draws_ml:
            draws[food] = draws.get(food, 0) + max(0, _worth(setting, key))

    def rank(key: str) -> tuple[int, int]:
        return -_coverage(setting, key), -draws.get(setting.dishes[key].recipe.makes, 0) - _turn(setting, key)

    return sorted((key for key, dish in setting.dishes.items() if dish.recipe.makes), key=rank)[:most]


def _dishes(setting: Setting, slot: Slot, made: set[str], most: int, each_day: int) -> list[str]:
    ranked = sorted(
        (
            key
            for key in setting.for_slot(slot)
            if not setting.dishes[key].recipe.makes and setting.dishes[key].draws_ml.keys() <= made
        ),
        key=lambda key: (-_worth(setting, key), key),
    )
    chosen: list[str] = []
    for number, day in ((number, day) for number in range(len(setting.groups)) for day in setting.days):
        fitting = [key for key in ranked if setting.groups[number].suits(key, day)]
        quick = sorted(fitting, key=lambda key: setting.dishes[key].recipe.hands_on_min)
        _top_up(setting, chosen, quick[:3], 2)
        _top_up(setting, chosen, fitting, each_day)
    _top_up(setting, chosen, ranked, most)
    return chosen


def _top_up(setting: Setting, chosen: list[str], candidates: list[str], wanted: int) -> None:
    """Choose candidates until ``wanted`` different mains of them are chosen; dishes of one main only when need be."""
    have = {setting.dishes[key].recipe.main for key in chosen if key in candidates}
    for again in (False, True):
        for key in candidates:
            if len(have) >= wanted:
                return
            main = setting.dishes[key].recipe.main
            if key not in chosen and (
                again or all(setting.dishes[other].recipe.main != main for other in chosen)
            ):
                chosen.append(key)
                have.add(main)


def _worth(setting: Setting, key: str) -> int:
    """How good a dish looks before any week is planned; a hundred is one that suits everyone every day."""
    dish = setting.dishes[key]
    people = len(setting.brief.eaters)
    against = sum(
        len(group.eaters) * (_against_leaning(dish, group.head.leaning) + 60 * disliked(dish, group))
        for group in setting.groups
    )
    kept = 0 if dish.kept_days else 15
    stored = {lot.food for lot in setting.lots if lot.until}
    uses_up = 25 * any(ingredient.food in stored for ingredient in dish.recipe.ingredients)
    drawbacks = dish.recipe.hands_on_min + kept + against // people
    return _coverage(setting, key) - drawbacks + uses_up + _turn(setting, key)


def _coverage(setting: Setting, key: str) -> int:
    """The share of eaters and days a dish suits, in hundredths."""
    suits = sum(
        len(group.eaters) for group in setting.groups for day in setting.days if group.suits(key, day)
    )
    return 100 * suits // (len(setting.brief.eaters) * setting.brief.days)


def _turn(setting: Setting, key: str) -> int:
    return 2 * novelty(setting.brief, key)


def _against_leaning(dish: Dish, leaning: str) -> int:
    return {"meat": 100 - dish.meat_percent, "vegetables": dish.meat_percent}.get(leaning, 0) // 4


def _common_mains(setting: Setting, party: tuple[int, ...], slots: Sequence[Slot]) -> int:
    """The different mains that suit all of a party who are there, on the day and at the meal where there are fewest."""
    return min(
        (
            len(
                {
                    setting.dishes[key].recipe.main
                    for key in setting.for_slot(slot)
                    if all(setting.groups[number].suits(key, day) for number in there)
                }
            )
            for slot in slots
            for day in setting.days
            if (there := [number for number in party if setting.groups[number].at((day, slot))])
        ),
        default=0,
    )


def _pot_feeds(setting: Setting, parties: Parties) -> bool:
    """Whether one pot feeds every party twice."""
    most = twice_from_a_pot(setting.brief, setting.dishes.values())
    return all(
        sum(setting.groups[number].share for number in party if setting.groups[number].at(meal)) <= most
        for party in parties
        for meal in planned_meals(setting)
    )


def _partitions(numbers: list[int]) -> Iterator[Parties]:
    """Every way to seat groups in parties."""
    if not numbers:
        yield ()
        return
    first, rest = numbers[0], numbers[1:]
    for parties in _partitions(rest):
        yield ((first,), *parties)
        for place, party in enumerate(parties):
            yield (*parties[:place], (first, *party), *parties[place + 1 :])
