"""The shopping list with its ticks: what is in the basket, what is still to get, and what nobody needs any more.

A tick says how much of a food is bought. It outlives a change of the week: when more is needed than was ticked, only
the difference is still to get.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.packs import weighed_out
from plans.domain.shopping import Line, ShoppingList, packs_for

KEPT_TO = Decimal("0.01")
"""Ticks are kept to a hundredth of a gram, upwards, so that a tick is never short of its own line."""


class State(StrEnum):
    """How far a line is: nothing ticked yet, ticked but more is needed, all in the basket."""

    OPEN = "open"
    MORE = "more"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class BasketLine:
    """One food to buy: ``get_g`` as a shop hands it over, in ``packs`` if it is sold so; ``tick_to_g`` is what a tick
    writes down."""

    line: Line
    state: State
    ticked_g: Decimal
    get_g: Decimal
    packs: tuple[tuple[Decimal, int], ...]
    tick_to_g: Decimal


@dataclass(frozen=True, slots=True)
class Basket:
    """``aisles`` are what is to buy, ``in_house`` what the house has enough of, ``make`` what is made at home, and
    ``not_needed`` what is bought (grams by food) though this week does not ask for it any more."""

    aisles: tuple[tuple[str, tuple[BasketLine, ...]], ...]
    in_house: tuple[Line, ...]
    make: tuple[Line, ...]
    not_needed: tuple[tuple[str, Decimal], ...]

    @property
    def total(self) -> int:
        """How many foods are to buy, bought ones too."""
        return sum(len(lines) for _, lines in self.aisles)

    @property
    def done(self) -> int:
        """How many of them are in the basket."""
        return sum(line.state is State.DONE for _, lines in self.aisles for line in lines)


def basket(
    bought: ShoppingList,
    ticks: Mapping[str, Decimal],
    foods: Mapping[str, Food],
    system: System,
    *,
    of_the_week: Collection[str],
) -> Basket:
    """A list with its ticks (grams by food). ``of_the_week`` are the foods of the whole week, cooked pots too: what is
    ticked of them was needed."""
    aisles = tuple(
        (
            aisle,
            tuple(
                _basket_line(line, ticks.get(line.food, Decimal(0)), foods[line.food], system)
                for line in lines
                if line.buy_g
            ),
        )
        for aisle, lines in bought.aisles
    )
    lines = tuple(bought.lines())
    return Basket(
        aisles=tuple((aisle, found) for aisle, found in aisles if found),
        in_house=tuple(line for line in lines if not line.buy_g and not line.make_g),
        make=tuple(line for line in lines if line.make_g),
        not_needed=tuple((food, ticks[food]) for food in sorted(ticks) if food not in of_the_week),
    )


def _basket_line(line: Line, ticked_g: Decimal, food: Food, system: System) -> BasketLine:
    rest_g = line.short_g - ticked_g
    if rest_g <= 0:
        return BasketLine(line, State.DONE, ticked_g, line.buy_g, line.packs, ticked_g)
    packs = packs_for(rest_g, food)
    get_g = (
        sum((size * count for size, count in packs), Decimal(0))
        if packs
        else weighed_out(rest_g, food, system)
    )
    tick_to_g = (ticked_g + get_g).quantize(KEPT_TO, ROUND_CEILING)
    return BasketLine(line, State.MORE if ticked_g else State.OPEN, ticked_g, get_g, packs, tick_to_g)
