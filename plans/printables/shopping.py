"""The shopping list: whole packs by aisle, with boxes to tick, in both systems of units."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.utils.translation import gettext as _

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Brief, Week
from plans.domain.shopping import Line, Lot, shopping_list, shops_on
from plans.printables.facts import Aisle, Purchase, Shopping
from plans.printables.shop_words import buy_words, house_words, needed_words, spoils_words
from plans.printables.words import by_name, period_words, weight_words
from plans.wording import AISLE


def shopping(*, week: Week, brief: Brief, system: System, house: Iterable[Lot] = ()) -> Shopping:
    """The list of a planned week, bought in one go the day before it is first cooked, less what is in the house."""
    bought = shopping_list(week, brief, house)
    view = _View(brief, system, shops_on(week))
    return Shopping(
        period=period_words(week.start, week.start + timedelta(days=week.days - 1)),
        aisles=tuple(
            Aisle(str(AISLE[aisle]), view.purchases(lines))
            for aisle, lines in bought.aisles
            if any(line.buy_g for line in lines)
        ),
        at_hand=tuple(view.at_hand(line) for line in bought.lines() if line.make_g),
        in_house=tuple(view.in_house(line) for line in bought.lines() if not line.buy_g and not line.make_g),
        unweighed=tuple(food.name for food in by_name(brief.foods[key] for key in bought.unweighed)),
    )


class _View:
    """How lines are said in one kitchen that shops on one day."""

    def __init__(self, brief: Brief, system: System, on: date) -> None:
        self.brief = brief
        self.system = system
        self.on = on
        self.dishes = {recipe.key: recipe.title for recipe in brief.recipes}

    def food(self, line: Line) -> Food:
        return self.brief.foods[line.food]

    def purchases(self, lines: Iterable[Line]) -> tuple[Purchase, ...]:
        wanted = [line for line in lines if line.buy_g]
        return tuple(
            self._purchase(line, self.food(line))
            for line in sorted(wanted, key=lambda line: (self.food(line).name.casefold(), line.food))
        )

    def _purchase(self, line: Line, food: Food) -> Purchase:
        return Purchase(
            food=food.name,
            buy=buy_words(line.short_g, line.packs, food, self.system),
            needed=needed_words(line, food, self.system),
            note=spoils_words(line, food, shops_on=self.on, freezer=self.brief.kitchen.freezer),
            house=house_words(line, food, self.system),
        )

    def at_hand(self, line: Line) -> Purchase:
        """Something the kitchen makes itself, of which no pot of this week is made."""
        food = self.food(line)
        note = ""
        if line.maker:
            note = _("if you have none, cook %(dish)s first: what it takes is on this list") % {
                "dish": self.dishes[line.maker]
            }
        return Purchase(
            food=food.name,
            buy="",
            needed=weight_words(line.make_g, food, self.system),
            note=note,
            house=house_words(line, food, self.system),
        )

    def in_house(self, line: Line) -> Purchase:
        """Something of which there is enough in the house."""
        food = self.food(line)
        return Purchase(food=food.name, buy="", needed=weight_words(line.from_house_g, food, self.system))
