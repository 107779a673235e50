"""How much of each stock there is through a week: in the refrigerator, in the freezer, and what was kept too long.

A ledger of moves, from which the levels follow. A pot counts from the morning of the day it is cooked. What it gives on
days past its use-by is frozen that night and moved back to the refrigerator on the night before. What nobody takes
stays in the refrigerator, and on the morning after its last day it is lost. Amounts are millilitres, exact.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum
from fractions import Fraction

from plans.domain.brief import Brief, Week
from plans.domain.planner.setting import THAWED
from plans.domain.stock_draws import ORDER, Draw, StockPot, stock_draws, stock_pots
from plans.domain.vocabulary import Slot

NOTHING = Fraction(0)
MADE, MUG, DISH, FREEZE, THAW, LOST = "made", "mug", "dish", "freeze", "thaw", "lost"
ONE_DAY = timedelta(days=1)


class Part(IntEnum):
    """A part of the day, in order. The meals are those of ``Slot``."""

    MORNING = 0
    BREAKFAST = 1
    MUG = 2
    MIDDAY = 3
    EVENING = 4
    NIGHT = 5

    @classmethod
    def of(cls, slot: Slot) -> "Part":
        """The part of the day a meal is in."""
        return cls(1 + ORDER[slot])


@dataclass(frozen=True, slots=True)
class Move:
    """Some of a pot: made, drunk (``mug``), cooked with (``dish``, by the pot ``cook``), frozen, thawed or lost."""

    on: date
    part: Part
    kind: str
    ml: Fraction
    pot: str
    cook: str = ""


@dataclass(frozen=True, slots=True)
class Level:
    """What there is once everything of a part of a day has happened."""

    on: date
    part: Part
    fridge_ml: Fraction
    freezer_ml: Fraction

    @property
    def all_ml(self) -> Fraction:
        """In the refrigerator and in the freezer."""
        return self.fridge_ml + self.freezer_ml


@dataclass(frozen=True, slots=True)
class Left:
    """What the week leaves of a pot, and to which day it is good."""

    pot: str
    ml: Fraction
    use_by: date


@dataclass(frozen=True, slots=True)
class StockLevel:
    """One stock through a week. ``short_ml`` is what mugs and dishes ask for that no pot of the week can give."""

    food: str
    pots: tuple[StockPot, ...]
    moves: tuple[Move, ...]
    levels: tuple[Level, ...]
    left: tuple[Left, ...]
    short_ml: Fraction

    def total_ml(self, kind: str) -> Fraction:
        """All that is made, drunk, cooked with, frozen, thawed or lost in the week."""
        return sum((move.ml for move in self.moves if move.kind == kind), NOTHING)


@dataclass(frozen=True, slots=True)
class _Use:
    """Some of a pot at a meal."""

    on: date
    slot: Slot
    kind: str
    ml: Fraction
    cook: str = ""
    is_thawed: bool = False


def stock_level(week: Week, brief: Brief) -> tuple[StockLevel, ...]:
    """Each stock that a pot of the week makes and whose portion can be measured, by its food.

    The levels of all begin on one day: the week's first, or the eve if any stock is cooked then.
    """
    draws = stock_draws(week, brief)
    made = stock_pots(week, brief)
    first = min([week.start, *(pot.on for pots in made.values() for pot in pots)])
    found = []
    for food, pots in made.items():
        short = sum((draw.ml for draw in draws if draw.food == food and not draw.pot), NOTHING)
        moves: list[Move] = []
        left: list[Left] = []
        for pot in pots:
            wanted = [*_mugs(week, pot), *_dishes(draws, pot.key)]
            uses = list(_served(wanted, pot))
            short += sum((use.ml for use in wanted), NOTHING) - sum((use.ml for use in uses), NOTHING)
            rest = pot.made_ml - sum((use.ml for use in uses), NOTHING)
            lost_on = pot.use_by + ONE_DAY
            moves += _moves(pot, uses)
            if rest and lost_on < week.start + week.days * ONE_DAY:
                moves.append(Move(lost_on, Part.MORNING, LOST, rest, pot.key))
            elif rest:
                left.append(Left(pot.key, rest, pot.use_by))
        ordered = tuple(
            sorted(moves, key=lambda move: (move.on, move.part, _FIRST[move.kind], move.pot, move.cook))
        )
        found.append(
            StockLevel(food, pots, ordered, tuple(_levels(week, first, ordered)), tuple(left), short)
        )
    return tuple(found)


_FIRST = {kind: place for place, kind in enumerate((LOST, MADE, MUG, DISH, FREEZE, THAW))}
_FRIDGE = {MADE: 1, MUG: -1, DISH: -1, FREEZE: -1, THAW: 1, LOST: -1}
_FREEZER = {FREEZE: 1, THAW: -1}


def _mugs(week: Week, pot: StockPot) -> Iterator[_Use]:
    for plate in week.plates:
        if plate.cook == pot.key:
            thawed = plate.source == THAWED and plate.on > pot.on
            yield _Use(plate.on, plate.slot, MUG, Fraction(plate.portions) * pot.portion_ml, is_thawed=thawed)


def _dishes(draws: Iterable[Draw], pot: str) -> Iterator[_Use]:
    for draw in draws:
        if draw.pot == pot:
            yield _Use(draw.on, draw.slot, DISH, draw.ml, draw.cook, draw.source == THAWED)


def _served(wanted: list[_Use], pot: StockPot) -> Iterator[_Use]:
    """What the pot can give of what is asked for, mugs before dishes and the earlier days first."""
    rest = pot.made_ml
    for use in sorted(wanted, key=lambda use: (use.kind != MUG, use.on, ORDER[use.slot], use.cook)):
        keeps = use.is_thawed or pot.on <= use.on <= pot.use_by
        given = min(use.ml, rest) if keeps else NOTHING
        rest -= given
        if given:
            yield _Use(use.on, use.slot, use.kind, given, use.cook, use.is_thawed)


def _moves(pot: StockPot, uses: list[_Use]) -> Iterator[Move]:
    yield Move(pot.on, Part.MORNING, MADE, pot.made_ml, pot.key)
    thawed: dict[date, Fraction] = {}
    for use in uses:
        yield Move(use.on, Part.of(use.slot), use.kind, use.ml, pot.key, use.cook)
        if use.is_thawed:
            eve = use.on - ONE_DAY
            thawed[eve] = thawed.get(eve, NOTHING) + use.ml
    if thawed:
        yield Move(pot.on, Part.NIGHT, FREEZE, sum(thawed.values(), NOTHING), pot.key)
    for eve, ml in thawed.items():
        yield Move(eve, Part.NIGHT, THAW, ml, pot.key)


def _levels(week: Week, first: date, moves: tuple[Move, ...]) -> Iterator[Level]:
    """The level after each part of each day, from the first day to the week's end."""
    fridge = freezer = NOTHING
    for day in range((week.start - first).days + week.days):
        on = first + timedelta(days=day)
        for part in Part:
            for move in moves:
                if (move.on, move.part) == (on, part):
                    fridge += _FRIDGE[move.kind] * move.ml
                    freezer += _FREEZER.get(move.kind, 0) * move.ml
            yield Level(on, part, fridge, freezer)
