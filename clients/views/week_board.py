"""The board of a week, in words: the work at the stove day by day, and who eats what from which pot."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from clients.domain.revising import Change, meal_text
from clients.wording.revising import ChangeWords, meal_words
from clients.wording.weeks import reason_words
from coaching.domain.units import System
from plans.domain.brief import Brief, Cook, Meal, Plate, Week
from plans.domain.day import Cooking, Frozen, day_of
from plans.domain.eaten import Past
from plans.domain.vocabulary import Slot
from plans.printables.week import SOURCE, frozen_words, whole_pot_without, without_words
from plans.printables.words import amount_words, listed, portions_words, short_names
from plans.wording import SLOT

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Pot:
    """One pot: its mark, what and how much of it, when it is eaten, and why it is cooked. ``note``: what is new."""

    key: str
    mark: str
    dish: str
    size: str
    minutes: int
    uses: str
    why: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Dish:
    """What some or all eat at a meal, from the pot with this mark. ``eaters`` is empty when all have it."""

    mark: str
    dish: str
    source: str
    eaters: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MealCell:
    """One meal of one day: ``asked`` is what waits for it, ``was`` what it was before a revision.

    Of today some meals may be eaten and some not.
    """

    key: str
    slot: str
    words: str
    dishes: tuple[Dish, ...]
    is_locked: bool
    is_eaten: bool
    asked: tuple[str, ...] = ()
    was: tuple[str, ...] = ()
    away: str = ""


@dataclass(frozen=True, slots=True)
class BoardDay:
    """One day: pots and thawing above, meals below. ``there`` are the hands-on minutes it has, None for the eve."""

    name: str
    date: str
    is_today: bool
    is_eaten: bool
    used: int
    there: int | None
    pots: tuple[Pot, ...]
    thaw: tuple[str, ...]
    meals: tuple[MealCell, ...]

    @property
    def is_over(self) -> bool:
        """Whether its pots take longer than there is time."""
        return self.there is not None and self.used > self.there


@dataclass(frozen=True, slots=True)
class Board:
    """A week's days; ``before`` is the day before them, if anything is cooked or thawed then."""

    slots: tuple[str, ...]
    days: tuple[BoardDay, ...]
    before: BoardDay | None


@dataclass(frozen=True, slots=True)
class Marks:
    """What time, the coach and a revision add to a week: what is eaten, locks, waiting changes, and what is new."""

    today: date
    past: Past
    locks: frozenset[Meal] = frozenset()
    waiting: tuple[Change, ...] = ()
    was: Mapping[Meal, tuple[str, ...]] = field(default_factory=dict)
    pots: Mapping[str, str] = field(default_factory=dict)


def week_board(week: Week, brief: Brief, system: System, marks: Marks) -> Board:
    """The board of a planned week."""
    view = _View(week, brief, system, marks)
    before = view.day(-1)
    return Board(
        slots=tuple(str(SLOT[slot]) for slot in brief.slots),
        days=tuple(view.day(day) for day in range(week.days)),
        before=before if before.pots or before.thaw else None,
    )


class _View:
    """A week looked up by day and by pot; every pot has a letter, in the order of cooking."""

    def __init__(self, week: Week, brief: Brief, system: System, marks: Marks) -> None:
        self.week, self.brief, self.system, self.marks = week, brief, system, marks
        self.recipes = {recipe.key: recipe for recipe in brief.recipes}
        self.eaters = {eater.key: eater.name for eater in brief.eaters}
        self.names = short_names(brief.foods.values())
        self.cooks = sorted(week.cooks, key=lambda cook: (cook.on, cook.key))
        self.by_key = {cook.key: cook for cook in self.cooks}
        self.letters = {cook.key: _letter(place) for place, cook in enumerate(self.cooks)}
        self.words = ChangeWords(week, brief)
        self.plates_of: dict[str, list[Plate]] = defaultdict(list)
        self.plates_at: dict[tuple[date, Slot], list[Plate]] = defaultdict(list)
        place = {key: number for number, key in enumerate(self.eaters)}
        for plate in sorted(week.plates, key=lambda plate: place[plate.eater]):
            self.plates_of[plate.cook].append(plate)
            self.plates_at[plate.on, plate.slot].append(plate)

    def day(self, day: int) -> BoardDay:
        on = self.week.start + timedelta(days=day)
        kitchen = day_of(self.week, self.brief, on)
        cooked = sorted(kitchen.cooks, key=lambda one: one.cook.key)
        frozen = {one.cook.key: one for one in kitchen.freeze}
        return BoardDay(
            name=date_format(on, "l"),
            date=date_format(on, _("j M")),
            is_today=on == self.marks.today,
            is_eaten=on < self.marks.today,
            used=kitchen.hands_on_min,
            there=self.brief.kitchen.hands_on_min[day] if day >= 0 else None,
            pots=tuple(self._pot(cooking, frozen.get(cooking.cook.key)) for cooking in cooked),
            thaw=tuple(self._thaw(one) for one in kitchen.take_out),
            meals=tuple(self._meal((day, slot)) for slot in self.brief.slots) if day >= 0 else (),
        )

    def _pot(self, cooking: Cooking, frozen: Frozen | None) -> Pot:
        recipe, cook = cooking.recipe, cooking.cook
        size = amount_words(recipe.portion[0] * cook.portions, recipe.portion[1], None, self.system)
        return Pot(
            key=cook.key,
            mark=self.letters[cook.key],
            dish=self._dish(cook),
            size=size if recipe.makes else f"{portions_words(cook.portions)}, {size}",
            minutes=recipe.hands_on_min,
            uses=self._uses(cooking, frozen),
            why=tuple(reason_words(reason) for reason in cook.why),
            note=self.marks.pots.get(cook.key, ""),
        )

    def _uses(self, cooking: Cooking, frozen: Frozen | None) -> str:
        days = sorted({part.on for part in (*cooking.today, *cooking.later, *cooking.for_dishes)})
        words = []
        if days and days != [cooking.cook.on]:
            words.append(_("For %(days)s.") % {"days": listed([date_format(on, "D") for on in days])})
        if frozen is not None:
            words.append(_("Freeze %(amount)s.") % {"amount": self._amount(frozen)})
        return " ".join(words)

    def _amount(self, frozen: Frozen) -> str:
        return frozen_words(frozen, self.recipes[frozen.cook.recipe], self.system)

    def _dish(self, cook: Cook) -> str:
        recipe = self.recipes[cook.recipe]
        left_out = whole_pot_without(cook, recipe, self.plates_of[cook.key])
        if not left_out:
            return recipe.title
        foods = listed([self.names.get(food, food) for food in sorted(left_out)])
        return _("%(dish)s, without %(foods)s") % {"dish": recipe.title, "foods": foods}

    def _thaw(self, frozen: Frozen) -> str:
        return _("Thaw %(amount)s of %(mark)s for tomorrow.") % {
            "amount": self._amount(frozen),
            "mark": self.letters[frozen.cook.key],
        }

    def _meal(self, meal: Meal) -> MealCell:
        on = self.week.start + timedelta(days=meal[0])
        plates = self.plates_at[on, meal[1]]
        together: dict[tuple[str, str], list[Plate]] = defaultdict(list)
        for plate in plates:
            together[plate.cook, plate.source].append(plate)
        return MealCell(
            key=meal_text(meal),
            slot=str(SLOT[meal[1]]),
            words=meal_words(self.week.start, meal),
            dishes=tuple(self._served(*of, alike) for of, alike in together.items()),
            is_locked=meal in self.marks.locks,
            is_eaten=meal in self.marks.past,
            asked=tuple(self.words.at(change, meal) for change in self.marks.waiting if meal in change.meals),
            was=self.marks.was.get(meal, ()),
            away=listed([eater.name for eater in self.brief.eaters if meal in eater.away]),
        )

    def _served(self, key: str, source: str, plates: list[Plate]) -> Dish:
        cook = self.by_key[key]
        left_out = whole_pot_without(cook, self.recipes[cook.recipe], self.plates_of[key])
        notes: dict[tuple[str, ...], list[str]] = defaultdict(list)
        for plate in plates:
            own = tuple(food for food in plate.without if food not in left_out)
            if own:
                notes[own].append(self.eaters[plate.eater])
        everyone = len({plate.eater for plate in plates}) == len(self.eaters)
        return Dish(
            mark=self.letters[key],
            dish=self.recipes[cook.recipe].title,
            source=str(SOURCE[source]),
            eaters="" if everyone else listed([self.eaters[plate.eater] for plate in plates]),
            notes=tuple(without_words(listed(eaters), foods, self.names) for foods, eaters in notes.items()),
        )


def _letter(place: int) -> str:
    """A, B, … Z, AA, AB, …"""
    high, low = divmod(place, len(LETTERS))
    return (LETTERS[high - 1] if high else "") + LETTERS[low]
