"""The shopping list: whole packs by aisle, with boxes to tick, in both systems of units."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import ROUND_CEILING

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Brief, Week
from plans.domain.quantities import shown
from plans.domain.shopping import Line, shopping_list
from plans.printables.facts import Aisle, Purchase, Shopping
from plans.printables.words import by_name, listed, period_words, shown_words, weight_words
from plans.wording import AISLE

SPOILS_SOON = ("meat", "fish")
"""Aisles whose raw food keeps only days (foodsafety.gov, Cold Food Storage Chart)."""


def shopping(*, week: Week, brief: Brief, system: System) -> Shopping:
    """The list of a planned week, bought in one go on the day before it is first cooked."""
    bought = shopping_list(week, brief)
    first = min((cook.on for cook in week.cooks), default=week.start)
    view = _View(brief, system, min(first, week.start) - timedelta(days=1))
    return Shopping(
        period=period_words(week.start, week.start + timedelta(days=week.days - 1)),
        aisles=tuple(
            Aisle(str(AISLE[aisle]), view.purchases(lines, aisle))
            for aisle, lines in bought.aisles
            if any(not view.is_home_made(line) for line in lines)
        ),
        at_hand=tuple(view.at_hand(line) for line in bought.lines() if view.is_home_made(line)),
        unweighed=tuple(food.name for food in by_name(brief.foods[key] for key in bought.unweighed)),
    )


class _View:
    """How lines are said in one kitchen that shops on one day."""

    def __init__(self, brief: Brief, system: System, shops_on: date) -> None:
        self.brief = brief
        self.system = system
        self.shops_on = shops_on

    def food(self, line: Line) -> Food:
        return self.brief.foods[line.food]

    def is_home_made(self, line: Line) -> bool:
        return self.food(line).home_made

    def purchases(self, lines: Iterable[Line], aisle: str) -> tuple[Purchase, ...]:
        wanted = [line for line in lines if not self.is_home_made(line)]
        return tuple(
            Purchase(
                food=self.food(line).name,
                buy=self._buy(line),
                needed=self._needed(line),
                note=self._note(line) if aisle in SPOILS_SOON else "",
            )
            for line in sorted(wanted, key=lambda line: (self.food(line).name.casefold(), line.food))
        )

    def at_hand(self, line: Line) -> Purchase:
        """Something the kitchen makes itself, of which no pot of this week is made."""
        food = self.food(line)
        return Purchase(food=food.name, buy="", needed=weight_words(line.gross_g, food, self.system))

    def _buy(self, line: Line) -> str:
        food = self.food(line)
        if not line.packs:
            return weight_words(line.buy_g, food, self.system)
        return " + ".join(
            _("%(count)d × %(size)s") % {"count": count, "size": weight_words(size, food, self.system)}
            for size, count in line.packs
        )

    def _needed(self, line: Line) -> str:
        food = self.food(line)
        words = shown_words(shown(line.gross_g, "g", food, self.system))
        piece_g = food.unit_weights_g.get("piece")
        if piece_g is None or food.aisle not in ("vegetables", "fruit"):
            return words
        pieces = int((line.need_g / piece_g).to_integral_value(ROUND_CEILING))
        return f"{words}, " + ngettext("about %(count)d", "about %(count)d", pieces) % {"count": pieces}

    def _note(self, line: Line) -> str:
        """When raw meat and fish are cooked, and what to do with what would wait too long in the refrigerator."""
        days = sorted({taking.on for taking in line.takings})
        words = _("for %(days)s") % {"days": listed([date_format(on, "D") for on in days])}
        keeps = self.food(line).fridge_days
        if keeps is None or (days[-1] - self.shops_on).days <= keeps:
            return words
        advice = (
            ngettext(
                "freeze at once what waits more than %(days)d day",
                "freeze at once what waits more than %(days)d days",
                keeps,
            )
            if self.brief.kitchen.freezer
            else ngettext(
                "buy it no more than %(days)d day before", "buy it no more than %(days)d days before", keeps
            )
        )
        return f"{words}; {advice % {'days': keeps}}"
