"""What is different between two weeks of a household: for the look at a change before it is kept.

A page may load this: it never asks the solver.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from plans.domain.brief import Brief, Cook, Week
from plans.domain.vocabulary import Slot


class PotChangeKind(StrEnum):
    """What becomes of a pot."""

    ADDED = "added"
    DROPPED = "dropped"
    MOVED = "moved"
    RESIZED = "resized"


@dataclass(frozen=True, slots=True)
class MealChange:
    """A meal with another dish for some: ``eaters`` by key, ``before`` and ``after`` recipe keys. No key means that
    they have no plate there, since they are away."""

    on: date
    slot: Slot
    eaters: tuple[str, ...]
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PotChange:
    """A pot that is added, dropped, moved to another day, or cooked in other portions."""

    kind: PotChangeKind
    recipe: str
    before: Cook | None
    after: Cook | None


@dataclass(frozen=True, slots=True)
class MinutesChange:
    """The hands-on minutes of a day."""

    on: date
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class CostChange:
    """What a part of the objective costs; 0 where a week does not have the part."""

    part: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class WeekChanges:
    """Every difference: meals by time, pots by day, minutes for every day, costs for every part."""

    meals: tuple[MealChange, ...]
    pots: tuple[PotChange, ...]
    minutes: tuple[MinutesChange, ...]
    costs: tuple[CostChange, ...]

    @property
    def none(self) -> bool:
        """Whether every meal and every pot is as it was."""
        return not self.meals and not self.pots


def differences(before: Week, after: Week, brief: Brief) -> WeekChanges:
    """What is different in ``after``. A dish that only comes out of another pot is no other meal.

    Raises KeyError when a week has a recipe the brief does not know.
    """
    return WeekChanges(
        meals=tuple(_meals(before, after, brief)),
        pots=tuple(sorted(_pots(before, after), key=_by_day)),
        minutes=tuple(_minutes(before, after, brief)),
        costs=tuple(
            CostChange(part, before.objective.get(part, 0), after.objective.get(part, 0))
            for part in dict.fromkeys((*before.objective, *after.objective))
        ),
    )


def _meals(before: Week, after: Week, brief: Brief) -> Iterator[MealChange]:
    was, now = _dishes(before), _dishes(after)
    order = {slot: place for place, slot in enumerate(Slot)}
    places = {eater.key: place for place, eater in enumerate(brief.eaters)}
    changed: dict[tuple[date, Slot, str, str], list[str]] = {}
    for on, slot, eater in {**was, **now}:
        dishes = was.get((on, slot, eater), ""), now.get((on, slot, eater), "")
        if dishes[0] != dishes[1]:
            changed.setdefault((on, slot, *dishes), []).append(eater)
    for on, slot, old, new in sorted(changed, key=lambda key: (key[0], order[key[1]], key[2:])):
        eaters = sorted(
            changed[on, slot, old, new], key=lambda eater: (places.get(eater, len(places)), eater)
        )
        yield MealChange(on, slot, tuple(eaters), old, new)


def _dishes(week: Week) -> dict[tuple[date, Slot, str], str]:
    recipes = {cook.key: cook.recipe for cook in week.cooks}
    return {(plate.on, plate.slot, plate.eater): recipes[plate.cook] for plate in week.plates}


def _pots(before: Week, after: Week) -> Iterator[PotChange]:
    """Pots by recipe and day. A dropped and an added pot of one recipe are one that moved, the earliest first."""
    was, now = ({(cook.recipe, cook.on): cook for cook in week.cooks} for week in (before, after))
    for pot, cook in was.items():
        if pot in now and now[pot].portions != cook.portions:
            yield PotChange(PotChangeKind.RESIZED, cook.recipe, cook, now[pot])
    dropped, added = _apart(was, now), _apart(now, was)
    for recipe in sorted({*dropped, *added}):
        old, new = dropped.get(recipe, []), added.get(recipe, [])
        both = min(len(old), len(new))
        for one, other in zip(old[:both], new[:both], strict=True):
            yield PotChange(PotChangeKind.MOVED, recipe, one, other)
        for cook in old[both:]:
            yield PotChange(PotChangeKind.DROPPED, recipe, cook, None)
        for cook in new[both:]:
            yield PotChange(PotChangeKind.ADDED, recipe, None, cook)


def _apart(these: dict[tuple[str, date], Cook], those: Iterable[tuple[str, date]]) -> dict[str, list[Cook]]:
    apart: dict[str, list[Cook]] = {}
    for pot in sorted(these.keys() - set(those)):
        apart.setdefault(pot[0], []).append(these[pot])
    return apart


def _by_day(change: PotChange) -> tuple[date, str, str]:
    cook = change.after or change.before
    return (cook.on if cook else date.min), change.kind, change.recipe


def _minutes(before: Week, after: Week, brief: Brief) -> Iterator[MinutesChange]:
    """Every day of the week, and the day before it if something is cooked then."""
    hands_on = {recipe.key: recipe.hands_on_min for recipe in brief.recipes}
    was, now = (Counter[date](), Counter[date]())
    for week, work in ((before, was), (after, now)):
        for cook in week.cooks:
            work[cook.on] += hands_on[cook.recipe]
    days = {brief.start + timedelta(days=day) for day in range(brief.days)}
    for on in sorted(days | was.keys() | now.keys()):
        yield MinutesChange(on, was[on], now[on])
