"""What opens next for an eater, and when at the earliest: the engine asked ahead.

The road is the earliest there can be: the eater moves on as soon as each stage's least days are over, today where they
are over already, and conditions such as loose stools have settled. Left-out days, watch days and birthdays come as the
calendar has them. What an allergy, an exclusion, a clinician or a lasting reaction bars does not open on that road and
is not listed. Nothing opens by itself: the coach decides, and a date here is only the earliest.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from plans.domain.allowance import EaterRules, allowance, day_allowances
from plans.domain.book import Protocol
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.limits import MILK_ONLY_BELOW_MONTHS, birthday
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance

OF_THE_STAGE = frozenset(("opens-at", "not-in-protocol"))
"""Codes of a food that waits for its stage alone."""

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class FoodOpening:
    """One food to come: the earliest day, what is given on it, and what else than its stage holds it up till then.

    ``on`` is None for a food that only a condition closes: it is open again once the condition is over.
    """

    food: str
    on: date | None
    given: FoodAllowance
    held: Reason | None = None


@dataclass(frozen=True, slots=True)
class StageAhead:
    """A stage that may begin ``on`` at the earliest, with the foods that need it.

    An empty ``stage`` holds what needs no other stage than the one that runs.
    """

    stage: str
    on: date
    foods: tuple[FoodOpening, ...]


def earliest_moves(protocol: Protocol | None, rules: EaterRules, today: date) -> tuple[tuple[date, str], ...]:
    """(earliest first day, stage) of every stage still ahead, in order: the day the least days before it are over.

    Nothing is moved in the past, so that day is today at the earliest. Raises KeyError for a stage that is not in the
    protocol.
    """
    if protocol is None or not rules.stages or not rules.stages[-1][1]:
        return ()
    begins, key = rules.stages[-1]
    ahead = [stage for stage in protocol.stages if stage.number >= protocol.stage(key).number]
    moves = []
    for stage, following in pairwise(ahead):
        begins = max(begins + stage.least_days * _DAY, today)
        moves.append((begins, following.key))
    return tuple(moves)


def what_opens(
    book: RuleBook, protocol: Protocol | None, rules: EaterRules, today: date
) -> tuple[StageAhead, ...]:
    """Every food that is *not yet* now and opens one day, by the stage it needs; stages in order, foods by date and
    name.

    Before day one, "now" is day one. A stage that opens nothing is listed too, so that its date is known. Raises
    KeyError for a stage that is not in the book.
    """
    now = max(today, rules.stages[-1][0]) if rules.stages else today
    moves = earliest_moves(protocol, rules, today)
    road = _Road(book, rules, moves, now)
    found: dict[str, list[FoodOpening]] = {"": [], **{stage: [] for _begins, stage in moves}}
    for stage, opening in road.openings():
        found[stage].append(opening)
    begins = {"": now, **{stage: on for on, stage in moves}}
    return tuple(
        StageAhead(stage, begins[stage], tuple(sorted(foods, key=road.order)))
        for stage, foods in found.items()
        if stage or foods
    )


def by_food(ahead: Iterable[StageAhead]) -> dict[str, tuple[str, FoodOpening]]:
    """For each food to come the stage it needs, empty for none, and its opening."""
    return {opening.food: (stage.stage, opening) for stage in ahead for opening in stage.foods}


def next_step(book: RuleBook, rules: EaterRules, food: str, on: date) -> tuple[date, Decimal] | None:
    """The day on which a first taste that has begun may grow next, and to how many grams; None when it does not grow
    while the rules stay as they are."""
    given = allowance(book, rules, food, None, on)
    row = book.stages.get(rules.stage_on(on), {}).get(food)
    if given.most_g is None or given.untried or row is None or row.steps is None:
        return None
    for days in range(1, row.steps.every_days + 1):
        later = allowance(book, rules, food, None, on + days * _DAY)
        if later.most_g is not None and not later.untried and later.most_g > given.most_g:
            return on + days * _DAY, later.most_g
    return None


class _Road:
    """One eater's earliest way through what is left of a protocol."""

    def __init__(
        self, book: RuleBook, rules: EaterRules, moves: tuple[tuple[date, str], ...], now: date
    ) -> None:
        self.book = book
        self.now = now
        self.moves = moves
        self.calm = replace(rules, conditions=frozenset())
        self.closed = {
            food: given
            for food, given in day_allowances(book, rules, now).items()
            if given.allowance is Allowance.NOT_YET
        }
        self._tables: dict[tuple[date, int], Mapping[str, FoodAllowance]] = {}

    def openings(self) -> Iterable[tuple[str, FoodOpening]]:
        """Each food that opens, with the stage it needs."""
        waiting = dict(self.closed)
        for on in self._turning_days():
            opened = [food for food in waiting if self._table(on)[food].allowance]
            for food in opened:
                yield self._opening(food, on)
                del waiting[food]

    def order(self, opening: FoodOpening) -> tuple[date, str, str]:
        return opening.on or self.now, self.book.foods[opening.food].name.casefold(), opening.food

    def _opening(self, food: str, on: date) -> tuple[str, FoodOpening]:
        needed = next(count for count in range(len(self.moves) + 1) if self._table(on, count)[food].allowance)
        before = self.closed[food] if on == self.now else self._table(on - _DAY)[food]
        held = None if before.reasons[0].code in OF_THE_STAGE else before.reasons[0]
        stage = self.moves[needed - 1][1] if needed else ""
        only_settles = on == self.now and not needed
        return stage, FoodOpening(food, None if only_settles else on, self._table(on)[food], held)

    def _table(self, on: date, count: int | None = None) -> Mapping[str, FoodAllowance]:
        """What a day gives after so many moves, all of them unless said otherwise."""
        count = len(self.moves) if count is None else count
        if (on, count) not in self._tables:
            rules = replace(self.calm, stages=(*self.calm.stages, *self.moves[:count]))
            self._tables[on, count] = day_allowances(self.book, rules, on)
        return self._tables[on, count]

    def _turning_days(self) -> list[date]:
        """The days from now on on which something can open."""
        days = {self.now, *(begins for begins, _stage in self.moves)}
        for tried in self.calm.introductions:
            days |= {tried.first_day, tried.watch_until + _DAY}
            if tried.left_out_until is not None:
                days.add(tried.left_out_until)
        ages = {limit.below_months for limit in self.book.limited if limit.below_months}
        days |= {birthday(self.calm.born, months=months) for months in ages | {MILK_ONLY_BELOW_MONTHS}}
        return sorted(day for day in days if day >= self.now)
