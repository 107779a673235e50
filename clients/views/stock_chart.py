"""The stock through a week as a drawing: what stands in the refrigerator on top of what lies in the freezer.

Everything is laid out here, in the units of the drawing, so that the template only writes it down. All stocks of a week
share one scale. The same figures stand in a table below each drawing.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System, millilitres_per, shown_volume
from plans.domain.brief import Brief, Week
from plans.domain.stock_draws import StockPot
from plans.domain.stock_level import (
    DISH,
    FREEZE,
    LOST,
    MADE,
    MUG,
    THAW,
    Level,
    Move,
    Part,
    StockLevel,
    stock_level,
)
from plans.domain.vocabulary import Slot
from plans.printables.words import listed, number_words, sentence_case, shown_words
from plans.wording import SLOT

WIDTH, HEIGHT = 720, 330
LEFT, RIGHT, TOP, BOTTOM = 62, 708, 44, 284
"""The edges of the drawing's plot, in its own units."""
ROOM = 170
"""What the words of a mark take."""
MOST_TICKS = 5
STEPS = (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2), Fraction(5), Fraction(10))
"""Litres or quarts between two lines of the scale."""
UNIT_ML = {System.METRIC: Fraction(1000), System.US: Fraction(millilitres_per("quart"))}
UNIT = {System.METRIC: gettext_lazy("litres"), System.US: gettext_lazy("quarts")}
PART = {
    Part.MORNING: gettext_lazy("Morning"),
    **{Part.of(slot): SLOT[slot] for slot in Slot},
    Part.NIGHT: gettext_lazy("Night"),
}
COLUMNS = (
    gettext_lazy("When"),
    gettext_lazy("What happens"),
    gettext_lazy("In the refrigerator"),
    gettext_lazy("In the freezer"),
)
MOVE = {
    MADE: gettext_lazy("%(amount)s cooked"),
    MUG: gettext_lazy("%(amount)s drunk by the mug"),
    DISH: gettext_lazy("%(amount)s into %(dish)s"),
    FREEZE: gettext_lazy("%(amount)s into the freezer"),
    THAW: gettext_lazy("%(amount)s out of the freezer, to thaw"),
    LOST: gettext_lazy("%(amount)s kept too long"),
}


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in the drawing with its words, which stand before it where there is no room after it."""

    x: int
    y: int
    words: str

    @property
    def is_far(self) -> bool:
        """It is near the right edge."""
        return self.x > RIGHT - ROOM


@dataclass(frozen=True, slots=True)
class Chart:
    """One stock. ``line`` is the path of the level, ``fridge`` and ``frozen`` the areas below it; ``days`` are the
    names under the line, ``ticks`` the scale. ``columns`` and ``rows`` are those of the table of the same."""

    number: int
    title: str
    says: str
    facts: tuple[str, ...]
    line: str
    fridge: str
    frozen: str
    days: tuple[Mark, ...]
    ticks: tuple[Mark, ...]
    made: tuple[Mark, ...]
    lost: tuple[Mark, ...]
    unit: str
    columns: tuple[dict[str, Any], ...]
    rows: tuple[tuple[dict[str, Any], ...], ...]

    @property
    def table_id(self) -> str:
        """What the table is called on the page."""
        return f"stock-table-{self.number}"


def stock_chart(week: Week, brief: Brief, system: System) -> tuple[Chart, ...]:
    """A drawing of each stock that the week makes; none for a week without stock."""
    levels = stock_level(week, brief)
    top_ml = max((one.all_ml for level in levels for one in level.levels), default=Fraction(0))
    view = _View(week, brief, system, top_ml)
    return tuple(view.chart(number, level) for number, level in enumerate(levels, start=1))


class _View:
    """A week's stocks on one scale."""

    def __init__(self, week: Week, brief: Brief, system: System, top_ml: Fraction) -> None:
        self.week, self.system = week, system
        self.foods = brief.foods
        self.titles = {recipe.key: recipe.title for recipe in brief.recipes}
        self.dishes = {cook.key: cook.recipe for cook in week.cooks}
        top = top_ml / UNIT_ML[system]
        self.step = next((step for step in STEPS if top <= MOST_TICKS * step), STEPS[-1])
        self.steps = max(1, ceil(top / self.step))

    def chart(self, number: int, level: StockLevel) -> Chart:
        food = self.foods.get(level.food)
        levels = level.levels
        return Chart(
            number=number,
            title=food.name if food else sentence_case(level.food),
            says=self._says(level),
            facts=tuple(self._facts(level)),
            line=_path(self._steps(levels, [one.all_ml for one in levels])),
            fridge=self._area(levels, [one.all_ml for one in levels]),
            frozen=self._area(levels, [one.freezer_ml for one in levels]) if level.total_ml(FREEZE) else "",
            days=tuple(self._days(levels)),
            ticks=tuple(self._ticks()),
            made=tuple(self._marks(level, MADE, _("+%(amount)s"))),
            lost=tuple(self._marks(level, LOST, _("%(amount)s too old"))),
            unit=str(UNIT[self.system]),
            columns=tuple(
                {"label": label, "num": place > 1} for place, label in enumerate(map(str, COLUMNS))
            ),
            rows=tuple(self._rows(level)),
        )

    def _x(self, levels: tuple[Level, ...], on: date, part: Part) -> int:
        first, last = levels[0].on, levels[-1].on
        place = (on - first).days * len(Part) + part
        return LEFT + (RIGHT - LEFT) * place // (((last - first).days + 1) * len(Part))

    def _y(self, ml: Fraction) -> int:
        share = ml / UNIT_ML[self.system] / (self.step * self.steps)
        return round(BOTTOM - (BOTTOM - TOP) * share)

    def _steps(self, levels: tuple[Level, ...], heights_ml: list[Fraction]) -> list[tuple[int, int]]:
        """Corners of a line that stays level from one moment to the next."""
        corners = [(LEFT, BOTTOM)]
        for one, ml in zip(levels, heights_ml, strict=True):
            x, y = self._x(levels, one.on, one.part), self._y(ml)
            if y != corners[-1][1]:
                corners += [(x, corners[-1][1]), (x, y)]
        return [*corners, (RIGHT, corners[-1][1])]

    def _area(self, levels: tuple[Level, ...], heights_ml: list[Fraction]) -> str:
        return _path([*self._steps(levels, heights_ml), (RIGHT, BOTTOM)]) + "Z"

    def _days(self, levels: tuple[Level, ...]) -> Iterator[Mark]:
        for on in dict.fromkeys(one.on for one in levels):
            yield Mark(self._x(levels, on, Part.MORNING), BOTTOM, date_format(on, "D"))

    def _ticks(self) -> Iterator[Mark]:
        for count in range(self.steps + 1):
            amount = self.step * count
            number = amount if self.system == System.US else Decimal(amount.numerator) / amount.denominator
            yield Mark(LEFT, self._y(amount * UNIT_ML[self.system]), number_words(number))

    def _marks(self, level: StockLevel, kind: str, words: str) -> Iterator[Mark]:
        """Where stock is made or lost: at the top of the step."""
        before = Fraction(0)
        for one in level.levels:
            here = [
                move.ml for move in level.moves if (move.on, move.part, move.kind) == (one.on, one.part, kind)
            ]
            if here:
                top = max(before, one.all_ml)
                yield Mark(
                    self._x(level.levels, one.on, one.part),
                    self._y(top),
                    words % {"amount": self._ml(sum(here))},
                )
            before = one.all_ml

    def _says(self, level: StockLevel) -> str:
        """The whole drawing in a sentence."""
        parts = [
            (MUG, _("%(amount)s are drunk by the mug")),
            (DISH, _("%(amount)s go into dishes")),
            (LOST, _("%(amount)s are kept too long")),
        ]
        said = [words % {"amount": self._ml(ml)} for kind, words in parts if (ml := level.total_ml(kind))]
        left = sum((one.ml for one in level.left), Fraction(0))
        if left:
            said.append(_("%(amount)s are left at the end") % {"amount": self._ml(left)})
        return _("Of %(made)s, %(parts)s.") % {
            "made": self._ml(level.total_ml(MADE)),
            "parts": listed(said) if said else _("nothing is taken"),
        }

    def _facts(self, level: StockLevel) -> Iterator[str]:
        """What to know and what to do: how long each pot is good, what is frozen, lost, left or missing."""
        pots = {pot.key: pot for pot in level.pots}
        for pot in level.pots:
            yield _("Cooked %(day)s, good in the refrigerator to the end of %(by)s.") % {
                "day": _day(pot.on),
                "by": _day(pot.use_by),
            }
        for move in level.moves:
            if move.kind == FREEZE:
                yield _("Freeze %(amount)s on %(day)s in the evening.") % {
                    "amount": self._ml(move.ml),
                    "day": _day(move.on),
                }
            elif move.kind == LOST:
                yield self._lost(move, pots[move.pot])
        for one in level.left:
            yield _("%(amount)s of the pot of %(day)s are left: use them by %(by)s.") % {
                "amount": self._ml(one.ml),
                "day": _day(pots[one.pot].on),
                "by": _day(one.use_by),
            }
        if level.short_ml:
            yield _("%(amount)s are asked for that no pot of this week gives.") % {
                "amount": self._ml(level.short_ml)
            }

    def _lost(self, move: Move, pot: StockPot) -> str:
        words = (
            _(
                "%(amount)s of the pot of %(day)s are too old on %(on)s: cook less, or freeze them the day they are "
                "cooked."
            )
            if pot.frozen_until > pot.use_by
            else _("%(amount)s of the pot of %(day)s are too old on %(on)s: cook less, or drink them before.")
        )
        return words % {"amount": self._ml(move.ml), "day": _day(pot.on), "on": _day(move.on)}

    def _rows(self, level: StockLevel) -> Iterator[tuple[dict[str, Any], ...]]:
        """A row for each moment at which something happens."""
        for one in level.levels:
            here = [move for move in level.moves if (move.on, move.part) == (one.on, one.part)]
            if here:
                cells = (
                    _("%(day)s, %(part)s")
                    % {"day": date_format(one.on, "D j M"), "part": str(PART[one.part]).lower()},
                    "; ".join(self._moves(here)),
                    self._ml(one.fridge_ml),
                    self._ml(one.freezer_ml),
                )
                yield tuple(
                    {"text": text, "label": str(label), "num": place > 1}
                    for place, (text, label) in enumerate(zip(cells, COLUMNS, strict=True))
                )

    def _moves(self, moves: Iterable[Move]) -> Iterator[str]:
        """What happens at a moment, mugs together and each dish by itself."""
        sums: dict[tuple[str, str], Fraction] = {}
        for move in moves:
            dish = self.titles[self.dishes[move.cook]] if move.cook else ""
            sums[move.kind, dish] = sums.get((move.kind, dish), Fraction(0)) + move.ml
        for (kind, dish), ml in sums.items():
            yield str(MOVE[kind]) % {"amount": self._ml(ml), "dish": dish}

    def _ml(self, ml: Fraction) -> str:
        if not ml:
            return "0"
        return shown_words(shown_volume(Decimal(ml.numerator) / Decimal(ml.denominator), self.system))


def _day(on: date) -> str:
    return date_format(on, "l")


def _path(corners: Iterable[tuple[int, int]]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in corners)
