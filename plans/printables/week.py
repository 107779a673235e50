"""The week as a table of days and meals, and the work at the stove that goes with it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System
from plans.domain.book import Recipe
from plans.domain.brief import Brief, Cook, Plate, Week
from plans.domain.fit import OUT_OF_THE_POT
from plans.domain.vocabulary import Slot
from plans.printables.facts import Meal, SlotMeals, WeekDay, WeekSheet
from plans.printables.words import (
    amount_words,
    listed,
    period_words,
    portions_words,
    short_names,
)
from plans.wording import SLOT

SOURCE = {
    "fresh": "",
    "kept": gettext_lazy("kept"),
    "thawed": gettext_lazy("thawed"),
}
THAWED = "thawed"


def week_sheet(*, week: Week, brief: Brief, system: System) -> WeekSheet:
    """The sheet of a planned week."""
    view = _View(week, brief, system)
    days = [week.start + timedelta(days=day) for day in range(week.days)]
    eve = view.day(week.start - timedelta(days=1))
    return WeekSheet(
        period=period_words(days[0], days[-1]),
        slots=tuple(str(SLOT[slot]) for slot in brief.slots),
        days=tuple(view.day(on) for on in days),
        before=eve if eve.cooks or eve.freezer else None,
        has_freezer=any(plate.source == THAWED for plate in week.plates),
    )


def cook_words(*, week: Week, brief: Brief, system: System) -> dict[str, str]:
    """Each pot of a week by its key: how much of what, for when, and what of it to freeze."""
    view = _View(week, brief, system)
    return {cook.key: view.cook(cook) for cook in week.cooks}


class _View:
    """A week looked up by day, by cook and by eater."""

    def __init__(self, week: Week, brief: Brief, system: System) -> None:
        self.brief = brief
        self.system = system
        self.recipes = {recipe.key: recipe for recipe in brief.recipes}
        self.cooks = {cook.key: cook for cook in week.cooks}
        self.eaters = {eater.key: eater.name for eater in brief.eaters}
        self.names = short_names(brief.foods.values())
        self.plates_of: dict[str, list[Plate]] = defaultdict(list)
        self.plates_at: dict[tuple[date, Slot], list[Plate]] = defaultdict(list)
        place = {key: number for number, key in enumerate(self.eaters)}
        for plate in sorted(week.plates, key=lambda plate: place[plate.eater]):
            self.plates_of[plate.cook].append(plate)
            self.plates_at[plate.on, plate.slot].append(plate)

    def day(self, on: date) -> WeekDay:
        cooked = [cook for cook in self.cooks.values() if cook.on == on]
        return WeekDay(
            name=date_format(on, "l"),
            date=date_format(on, _("j M")),
            slots=tuple(
                SlotMeals(str(SLOT[slot]), self._meals(self.plates_at[on, slot])) for slot in self.brief.slots
            ),
            cooks=tuple(self.cook(cook) for cook in cooked),
            freezer=self._thaw(on),
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

    def cook(self, cook: Cook) -> str:
        recipe = self.recipes[cook.recipe]
        size = amount_words(recipe.portion[0] * cook.portions, recipe.portion[1], None, self.system)
        if recipe.makes:
            words = _("%(dish)s: %(size)s.") % {"dish": recipe.title, "size": size}
        else:
            words = _("%(dish)s: %(portions)s, %(size)s.") % {
                "dish": recipe.title,
                "portions": portions_words(cook.portions),
                "size": size,
            }
        plates = self.plates_of[cook.key]
        days = sorted({plate.on for plate in plates})
        if len(days) > 1 or (days and days[0] != cook.on):
            words += " " + _("For %(days)s.") % {"days": listed([date_format(on, "D") for on in days])}
        frozen = sum((plate.portions for plate in plates if plate.source == THAWED), Decimal(0))
        if frozen:
            words += " " + _("Freeze %(portions)s.") % {"portions": portions_words(frozen)}
        return words

    def _thaw(self, on: date) -> tuple[str, ...]:
        """What to move to the refrigerator on the day before it is eaten."""
        tomorrow = on + timedelta(days=1)
        wanted: dict[str, Decimal] = defaultdict(Decimal)
        for slot in self.brief.slots:
            for plate in self.plates_at[tomorrow, slot]:
                if plate.source == THAWED:
                    wanted[self.title(plate.cook)] += plate.portions
        return tuple(
            _("Move %(portions)s of %(dish)s to the refrigerator, for tomorrow.")
            % {"portions": portions_words(portions), "dish": dish}
            for dish, portions in wanted.items()
        )


def whole_pot_without(cook: Cook, recipe: Recipe, plates: Iterable[Plate]) -> frozenset[str]:
    """Optional foods and flavours that someone who gets of this pot leaves out: they stay out of the whole pot."""
    leavable = {line.food for line in recipe.ingredients if line.use in OUT_OF_THE_POT}
    missed = {food for plate in plates for food in plate.without if food in leavable}
    return frozenset(cook.without) | missed


def without_words(eater: str, without: Iterable[str], names: Mapping[str, str]) -> str:
    """``Ivo: without onion and garlic``."""
    foods = listed([names.get(food, food) for food in without])
    return _("%(eater)s: without %(foods)s") % {"eater": eater, "foods": foods}
