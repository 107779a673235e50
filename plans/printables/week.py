"""The week as a table of days and meals, and the work at the stove that goes with it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import timedelta
from fractions import Fraction

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System
from plans.domain.book import Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.day import Cooking, Day, Frozen, day_of
from plans.domain.fit import OUT_OF_THE_POT
from plans.domain.quantities import room_ml
from plans.domain.takings import decimal_of
from plans.printables.facts import Meal, SlotMeals, WeekDay, WeekSheet
from plans.printables.words import (
    amount_words,
    listed,
    period_words,
    portions_words,
    short_day_words,
    short_names,
)
from plans.wording import SLOT

SOURCE = {
    "fresh": "",
    "kept": gettext_lazy("kept"),
    "thawed": gettext_lazy("thawed"),
}


def week_sheet(*, week: Week, brief: Brief, system: System) -> WeekSheet:
    """The sheet of a planned week. What is cooked, frozen and taken out on a day, ``plans.domain.day`` says."""
    view = _View(week, brief, system)
    first = week.start
    eve = view.day(day_of(week, brief, first - timedelta(days=1)))
    days = tuple(view.day(day_of(week, brief, first + timedelta(days=day))) for day in range(week.days))
    return WeekSheet(
        period=period_words(first, first + timedelta(days=week.days - 1)),
        slots=tuple(str(SLOT[slot]) for slot in brief.slots),
        days=days,
        before=eve if eve.cooks or eve.freezer else None,
        has_freezer=any(day.freezer for day in (eve, *days)),
    )


class _View:
    """A week looked up by cook and by eater."""

    def __init__(self, week: Week, brief: Brief, system: System) -> None:
        self.brief = brief
        self.system = system
        self.recipes = {recipe.key: recipe for recipe in brief.recipes}
        self.cooks = {cook.key: cook for cook in week.cooks}
        self.eaters = {eater.key: eater.name for eater in brief.eaters}
        self.names = short_names(brief.foods.values())
        self.plates_of: dict[str, list[Plate]] = defaultdict(list)
        for plate in week.plates:
            self.plates_of[plate.cook].append(plate)

    def day(self, day: Day) -> WeekDay:
        eaten = dict(day.meals)
        frozen = {one.cook.key: one for one in day.freeze}
        return WeekDay(
            name=date_format(day.on, "l"),
            date=date_format(day.on, _("j M")),
            slots=tuple(
                SlotMeals(str(SLOT[slot]), self._meals(one.plate for one in eaten.get(slot, ())))
                for slot in self.brief.slots
            ),
            cooks=tuple(self._cook(cooking, frozen.get(cooking.cook.key)) for cooking in day.cooks),
            freezer=tuple(self._take_out(one, day.take_out) for one in day.take_out),
        )

    def title(self, cook: str) -> str:
        return self.recipes[self.cooks[cook].recipe].title

    def _meals(self, plates: Iterable[Plate]) -> tuple[Meal, ...]:
        together: dict[tuple[str, str], list[Plate]] = defaultdict(list)
        for plate in plates:
            together[plate.cook, plate.source].append(plate)
        return tuple(self._meal(cook, source, alike) for (cook, source), alike in together.items())

    def _meal(self, cook: str, source: str, plates: list[Plate]) -> Meal:
        pot = self.cooks[cook]
        left_out = whole_pot_without(pot, self.recipes[pot.recipe], self.plates_of[cook])
        notes: dict[tuple[str, ...], list[str]] = defaultdict(list)
        for plate in plates:
            own = tuple(food for food in plate.without if food not in left_out)
            if own:
                notes[own].append(self.eaters[plate.eater])
        return Meal(
            dish=self._dish(cook, left_out),
            source=str(SOURCE[source]),
            eaters=""
            if len(plates) == len(self.eaters)
            else listed([self.eaters[plate.eater] for plate in plates]),
            plate_notes=tuple(
                without_words(listed(eaters), foods, self.names) for foods, eaters in notes.items()
            ),
        )

    def _dish(self, cook: str, left_out: frozenset[str]) -> str:
        if not left_out:
            return self.title(cook)
        foods = listed([self.names.get(food, food) for food in sorted(left_out)])
        return _("%(dish)s, without %(foods)s") % {"dish": self.title(cook), "foods": foods}

    def _cook(self, cooking: Cooking, frozen: Frozen | None) -> str:
        """How much of what, for which days if not only for its own, and what of it to freeze."""
        recipe, cook = cooking.recipe, cooking.cook
        size = amount_words(recipe.portion[0] * cook.portions, recipe.portion[1], None, self.system)
        if recipe.makes:
            words = _("%(dish)s: %(size)s.") % {"dish": recipe.title, "size": size}
        else:
            words = _("%(dish)s: %(portions)s, %(size)s.") % {
                "dish": recipe.title,
                "portions": portions_words(cook.portions),
                "size": size,
            }
        days = sorted({part.on for part in (*cooking.today, *cooking.later, *cooking.for_dishes)})
        if days not in ([], [cook.on]):
            words += " " + _("For %(days)s.") % {"days": listed([date_format(on, "D") for on in days])}
        if frozen is not None:
            words += " " + _("Freeze %(amount)s.") % {"amount": frozen_words(frozen, recipe, self.system)}
        return words

    def _take_out(self, frozen: Frozen, together: Iterable[Frozen]) -> str:
        """What to move to the refrigerator on the day before; the dishes it goes into are named."""
        key = frozen.cook.key
        dish = self.title(key)
        if any(other.cook.key != key and self.title(other.cook.key) == dish for other in together):
            dish = _("%(dish)s of %(day)s") % {"dish": dish, "day": short_day_words(frozen.cook.on)}
        facts = {"amount": frozen_words(frozen, self.recipes[frozen.cook.recipe], self.system), "dish": dish}
        if not frozen.draws:
            return _("Move %(amount)s of %(dish)s to the refrigerator, for tomorrow.") % facts
        return _("Move %(amount)s of %(dish)s to the refrigerator, for tomorrow: %(meals)s.") % {
            **facts,
            "meals": listed(meals_words(frozen, self.title)),
        }


def frozen_words(frozen: Frozen, recipe: Recipe, system: System) -> str:
    """How much is frozen or taken out: portions of a dish, of a stock the volume of its mugs and what dishes draw."""
    mug_ml = room_ml(recipe)
    if not recipe.makes or mug_ml is None:
        return portions_words(frozen.portions)
    drawn_ml = sum((draw.ml for draw in frozen.draws), Fraction(0))
    return amount_words(
        decimal_of(Fraction(frozen.portions) * Fraction(mug_ml) + drawn_ml), "ml", None, system
    )


def meals_words(frozen: Frozen, title: Callable[[str], str]) -> list[str]:
    """The meals at which something frozen is eaten as it is, then the dishes it goes into, each once."""
    meals = [str(SLOT[plate.slot]).lower() for plate in frozen.plates]
    return list(dict.fromkeys([*meals, *(title(draw.cook) for draw in frozen.draws)]))


def whole_pot_without(cook: Cook, recipe: Recipe, plates: Iterable[Plate]) -> frozenset[str]:
    """Optional foods and flavours that someone who gets of this pot leaves out: they stay out of the whole pot."""
    leavable = {line.food for line in recipe.ingredients if line.use in OUT_OF_THE_POT}
    missed = {food for plate in plates for food in plate.without if food in leavable}
    return frozenset(cook.without) | missed


def without_words(eater: str, without: Iterable[str], names: Mapping[str, str]) -> str:
    """``Ivo: without onion and garlic``."""
    foods = listed([names.get(food, food) for food in without])
    return _("%(eater)s: without %(foods)s") % {"eater": eater, "foods": foods}
