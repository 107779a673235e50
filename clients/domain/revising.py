"""Changes a coach asks of a standing week: what they are, which go together, and the revision they make.

Meals are (day, slot) of the week; foods, recipes and eaters go by their keys.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import Any

from plans.domain.brief import Brief, Choice, Meal, Revision, Week
from plans.domain.eaten import Past
from plans.domain.vocabulary import Slot


class Kind(StrEnum):
    """What a change is about."""

    WANTED = "wanted"
    UNWANTED = "unwanted"
    EXCHANGE = "exchange"
    AWAY = "away"
    GONE_FOOD = "gone-food"
    GONE_COOK = "gone-cook"


OF_A_MEAL = frozenset({Kind.WANTED, Kind.UNWANTED, Kind.EXCHANGE, Kind.AWAY})
OF_A_DISH = OF_A_MEAL - {Kind.AWAY}
LASTING = frozenset({Kind.AWAY, Kind.UNWANTED, Kind.GONE_FOOD, Kind.GONE_COOK})
"""What goes on holding in every later revision of the week; the rest is done once it is done."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing asked for. ``meal`` and ``other`` are exchanged; ``eaters`` are away, none named means all.

    A gone ``food`` cannot be cooked with from ``day`` on, a gone ``cook`` not be eaten from. ``back`` takes a lasting
    change of an earlier revision back.
    """

    kind: Kind
    meal: Meal | None = None
    other: Meal | None = None
    recipe: str = ""
    eaters: tuple[str, ...] = ()
    food: str = ""
    cook: str = ""
    day: int = 0
    back: bool = False

    @property
    def meals(self) -> tuple[Meal, ...]:
        """The meals it is about."""
        return tuple(meal for meal in (self.meal, self.other) if meal is not None)

    def is_over(self, past: Past) -> bool:
        """Whether it has no meaning any more, since one of its meals is eaten. What concerns all days from one on never
        is."""
        return any(meal in past for meal in self.meals)


def meal_text(meal: Meal) -> str:
    """A meal as forms and addresses carry it: ``2-evening``."""
    return f"{meal[0]}-{meal[1].value}"


def meal_of(text: str) -> Meal:
    """The meal a form names. Raises ValueError for a text that names none."""
    day, _, slot = text.partition("-")
    if not (day.isascii() and day.isdigit() and len(day) < 3):
        raise ValueError(f"no meal: {text}")
    return int(day), Slot(slot)


def change_record(change: Change) -> dict[str, Any]:
    """A change as a record of JSON's own types; what it does not need is left out."""
    record: dict[str, Any] = {"kind": change.kind.value}
    for name in ("meal", "other"):
        meal = getattr(change, name)
        if meal is not None:
            record[name] = [meal[0], meal[1].value]
    for name in ("recipe", "food", "cook", "day", "back"):
        if getattr(change, name):
            record[name] = getattr(change, name)
    if change.eaters:
        record["eaters"] = list(change.eaters)
    return record


def change_from_record(record: Mapping[str, Any]) -> Change:
    """The change a record holds. Raises KeyError or ValueError for a record that is none."""
    return Change(
        kind=Kind(record["kind"]),
        meal=_meal(record.get("meal")),
        other=_meal(record.get("other")),
        recipe=record.get("recipe", ""),
        eaters=tuple(record.get("eaters", ())),
        food=record.get("food", ""),
        cook=record.get("cook", ""),
        day=record.get("day", 0),
        back=record.get("back", False),
    )


def _meal(row: Sequence[Any] | None) -> Meal | None:
    return None if row is None else (row[0], Slot(row[1]))


def added(changes: Iterable[Change], new: Change) -> tuple[Change, ...]:
    """The changes with one more; those it overrules are gone."""
    return (*(one for one in changes if not overrules(new, one)), new)


def overrules(new: Change, old: Change) -> bool:
    """Whether an earlier change cannot stand beside a later one."""
    if new.kind in (Kind.GONE_FOOD, Kind.GONE_COOK):
        return (new.kind, new.food, new.cook) == (old.kind, old.food, old.cook)
    if not set(new.meals) & set(old.meals):
        return False
    if new.kind is Kind.AWAY or old.kind is Kind.AWAY:
        # Who is away says nothing about the dish, unless nobody is left to eat it.
        everyone = not new.eaters if new.kind is Kind.AWAY else not old.eaters
        return new.kind is old.kind or (everyone and not new.back and not old.back)
    if new.kind is Kind.UNWANTED:
        return old.kind is not Kind.UNWANTED or old.recipe == new.recipe
    return True


def together(earlier: Iterable[Change], new: Iterable[Change]) -> tuple[Change, ...]:
    """What holds when ``new`` changes come to the lasting ones of earlier revisions."""
    held = tuple(change for change in earlier if change.kind in LASTING)
    for change in new:
        held = tuple(one for one in held if not overrules(change, one))
        if not change.back:
            held += (change,)
    return held


def dish_at(week: Week, meal: Meal) -> str | None:
    """The recipe most eaters have at a meal; None when nobody eats."""
    cooks = {cook.key: cook.recipe for cook in week.cooks}
    on = week.start + timedelta(days=meal[0])
    counted = Counter(cooks[plate.cook] for plate in week.plates if (plate.on, plate.slot) == (on, meal[1]))
    return min(counted, key=lambda recipe: (-counted[recipe], recipe), default=None)


def dishes_at(week: Week, meal: Meal) -> frozenset[str]:
    """All recipes on the table at a meal."""
    cooks = {cook.key: cook.recipe for cook in week.cooks}
    on = week.start + timedelta(days=meal[0])
    return frozenset(cooks[plate.cook] for plate in week.plates if (plate.on, plate.slot) == (on, meal[1]))


def away_of(changes: Iterable[Change], everyone: Iterable[str]) -> dict[str, frozenset[Meal]]:
    """The meals each eater is away from by these changes."""
    changes = [change for change in changes if change.kind is Kind.AWAY]
    return {
        eater: frozenset(change.meal for change in changes if not change.eaters or eater in change.eaters)
        for eater in everyone
    }


def revision_of(changes: Iterable[Change], shown: Week, *, past: Past, locks: Iterable[Meal]) -> Revision:
    """What the planner is told: only what concerns meals that are not eaten yet."""
    ahead = [change for change in changes if not change.is_over(past)]
    cooks = {cook.key for cook in shown.cooks}
    return Revision(
        shown=shown,
        from_day=past.day,
        eaten=past.slots,
        locked=frozenset(meal for meal in locks if meal not in past),
        wanted=tuple(choice for change in ahead for choice in _wanted(change, shown)),
        unwanted=tuple(
            Choice(change.meal, change.recipe) for change in ahead if change.kind is Kind.UNWANTED
        ),
        gone_foods={change.food: change.day for change in ahead if change.kind is Kind.GONE_FOOD},
        gone_cooks={
            change.cook: change.day
            for change in ahead
            if change.kind is Kind.GONE_COOK and change.cook in cooks
        },
    )


def _wanted(change: Change, shown: Week) -> Iterable[Choice]:
    if change.kind is Kind.WANTED:
        yield Choice(change.meal, change.recipe)
    if change.kind is Kind.EXCHANGE:
        for meal, other in ((change.meal, change.other), (change.other, change.meal)):
            recipe = dish_at(shown, other)
            if recipe is not None:
                yield Choice(meal, recipe)


class Wrong(StrEnum):
    """Why a change cannot be asked for."""

    NO_SUCH_MEAL = "no-such-meal"
    EATEN = "eaten"
    LOCKED = "locked"
    NOT_FOR_SLOT = "not-for-slot"
    NO_SUCH_DISH = "no-such-dish"
    SAME_MEAL = "same-meal"
    SAME_DISH = "same-dish"
    EMPTY_MEAL = "empty-meal"
    NO_SUCH_EATER = "no-such-eater"
    NO_SUCH_FOOD = "no-such-food"
    NO_SUCH_POT = "no-such-pot"
    NO_SUCH_DAY = "no-such-day"


def wrong_with(
    change: Change, brief: Brief, week: Week, *, past: Past, locks: Iterable[Meal]
) -> tuple[Wrong, Meal | None] | None:
    """What is wrong with a change of this week and at which meal; None when it may be asked for."""
    locked = set(locks)
    for meal in change.meals:
        found = _wrong_meal(meal, brief, past) or (Wrong.LOCKED if meal in locked else None)
        if found:
            return found, meal
    found = _WRONG[change.kind](change, brief, week, past)
    return (found, change.meal) if found else None


def _wrong_meal(meal: Meal, brief: Brief, past: Past) -> Wrong | None:
    if meal[0] not in range(brief.days) or meal[1] not in brief.slots:
        return Wrong.NO_SUCH_MEAL
    return Wrong.EATEN if meal in past else None


def wrong_lock(meal: Meal, brief: Brief, past: Past) -> Wrong | None:
    """What is wrong with locking a meal."""
    return _wrong_meal(meal, brief, past)


def _wrong_wanted(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    recipe = next((one for one in brief.recipes if one.key == change.recipe), None)
    if recipe is None:
        return Wrong.NO_SUCH_DISH
    if change.meal[1] not in recipe.slots:
        return Wrong.NOT_FOR_SLOT
    return Wrong.SAME_DISH if dishes_at(week, change.meal) == {recipe.key} else None


def _wrong_unwanted(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    return None if change.recipe in dishes_at(week, change.meal) or change.back else Wrong.NO_SUCH_DISH


def _wrong_exchange(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    if change.meal == change.other:
        return Wrong.SAME_MEAL
    dishes = dish_at(week, change.meal), dish_at(week, change.other)
    if None in dishes:
        return Wrong.EMPTY_MEAL
    if dishes[0] == dishes[1]:
        return Wrong.SAME_DISH
    slots = {recipe.key: recipe.slots for recipe in brief.recipes}
    fits = change.other[1] in slots[dishes[0]] and change.meal[1] in slots[dishes[1]]
    return None if fits else Wrong.NOT_FOR_SLOT


def _wrong_away(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    known = {eater.key for eater in brief.eaters}
    return None if set(change.eaters) <= known else Wrong.NO_SUCH_EATER


def _wrong_day(change: Change, brief: Brief, past: Past) -> Wrong | None:
    if change.back:
        return None
    return None if max(0, past.day) <= change.day < brief.days else Wrong.NO_SUCH_DAY


def _wrong_food(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    return Wrong.NO_SUCH_FOOD if change.food not in brief.foods else _wrong_day(change, brief, past)


def _wrong_cook(change: Change, brief: Brief, week: Week, past: Past) -> Wrong | None:
    known = {cook.key for cook in week.cooks}
    return Wrong.NO_SUCH_POT if change.cook not in known else _wrong_day(change, brief, past)


_WRONG = {
    Kind.WANTED: _wrong_wanted,
    Kind.UNWANTED: _wrong_unwanted,
    Kind.EXCHANGE: _wrong_exchange,
    Kind.AWAY: _wrong_away,
    Kind.GONE_FOOD: _wrong_food,
    Kind.GONE_COOK: _wrong_cook,
}
