"""What the planner is asked (a brief) and what it answers (a week), as JSON-able values.

A brief is complete: it holds every food, recipe and allowance the planner may use, so a week can be planned, checked
and timed from a file, without a database. Dates are the household's own local dates; in a brief a day is a number that
counts from its start.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from plans.domain.book import Food, Form, Recipe
from plans.domain.eaten import Past
from plans.domain.vocabulary import Allowance, Slot

Meal = tuple[int, Slot]
"""A day of the brief and a slot."""

WANTS = ("stores", "time", "variety", "likes", "nourishment", "leaning")
"""What a week is to do well, most wanted first, unless the coach puts it in another order."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is so: a code that has wording in every language, and the facts to fill in."""

    code: str
    facts: Mapping[str, str | int]


@dataclass(frozen=True, slots=True)
class FoodAllowance:
    """One food for one eater on one day. No ``forms`` means any form; ``most_g`` caps a first taste for the day.

    ``flavour_forms`` are forms that a flavour must have, too, though it is taken out again; none ask for nothing.
    ``untried``: a first taste that no introduction has begun. It may be introduced, but no dish is planned with it.
    """

    allowance: Allowance
    forms: tuple[Form, ...] = ()
    most_g: Decimal | None = None
    reasons: tuple[Reason, ...] = ()
    untried: bool = False
    flavour_forms: tuple[Form, ...] = ()


@dataclass(frozen=True, slots=True)
class BriefEater:
    """One eater: ``days[i]`` maps food keys to allowances on day ``i``; a food that is absent is *not yet*.

    ``appetite`` is their share of an adult portion, and so of the energy in a pot. They eat elsewhere at the meals they
    are ``away`` from. ``targets`` are amounts a day by nutrient key, in the units of the nutrient table.
    """

    key: str
    name: str
    appetite: Decimal
    born: date
    days: tuple[Mapping[str, FoodAllowance], ...]
    leaning: str = "none"
    dislikes: frozenset[str] = frozenset()
    follows: str = ""
    away: frozenset[Meal] = frozenset()
    targets: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Kitchen:
    """``hands_on_min[i]`` is the most hands-on minutes on day ``i``; ``pots_ml`` are usable pot volumes.

    ``at_home_min[i]`` is the longest time somebody is at home in one go on day ``i``: no pot takes longer. A day that
    is not named has no such limit. On days ``out`` nobody cooks at midday: that meal comes from a pot of another day.
    Only on the first day, before which no dishes are cooked, is it cooked before leaving.
    """

    hands_on_min: tuple[int, ...]
    pots_ml: tuple[int, ...]
    jars: int = 0
    freezer: bool = True
    at_home_min: tuple[int, ...] = ()
    out: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Stored:
    """Some of a food in the house, as bought, and the last day it is good; without one it lasts the week."""

    food: str
    amount_g: Decimal
    place: str
    best_by: date | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """A recipe at a meal."""

    meal: Meal
    recipe: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A week to change as little as possible: ``shown`` is how it stands.

    Meals and pots of the days before ``from_day`` are eaten and cooked, and so are of that day the meals at the slots
    ``eaten`` and the pots they came from. ``locked`` meals keep their plates. ``wanted`` and ``unwanted`` say what a
    meal is to be or not to be. ``gone_foods`` cannot be cooked with from a day on, and ``gone_cooks``, by the keys of
    the shown week, not eaten from.
    """

    shown: "Week"
    from_day: int = 0
    eaten: frozenset[Slot] = frozenset()
    locked: frozenset[Meal] = frozenset()
    wanted: tuple[Choice, ...] = ()
    unwanted: tuple[Choice, ...] = ()
    gone_foods: Mapping[str, int] = field(default_factory=dict)
    gone_cooks: Mapping[str, int] = field(default_factory=dict)

    @property
    def past(self) -> Past:
        """The meals that are eaten."""
        return Past(self.from_day, self.eaten)


@dataclass(frozen=True, slots=True)
class Brief:
    """A question to the planner: ``days`` consecutive days from ``start``.

    ``contents`` are the known nutrients of an adult portion by recipe. ``wants`` are those of ``WANTS``, most wanted
    first.
    """

    start: date
    days: int
    eaters: tuple[BriefEater, ...]
    foods: Mapping[str, Food]
    recipes: tuple[Recipe, ...]
    kitchen: Kitchen
    slots: tuple[Slot, ...] = tuple(Slot)
    most_repeats: int = 3
    stores: tuple[Stored, ...] = ()
    contents: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    wants: tuple[str, ...] = WANTS
    revision: Revision | None = None


@dataclass(frozen=True, slots=True)
class Cook:
    """One pot: ``portions`` adult portions of a recipe cooked on a day; day -1 is the day before the week.

    ``without`` are the foods of the recipe that stay out of the whole pot.
    """

    key: str
    recipe: str
    on: date
    portions: Decimal
    why: tuple[Reason, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plate:
    """What one eater eats at one meal: ``portions`` from a cook, leaving out ``without``.

    ``source`` is ``fresh`` (cooked that day), ``kept`` (from the refrigerator) or ``thawed``.
    """

    on: date
    slot: Slot
    eater: str
    cook: str
    portions: Decimal
    source: str = "fresh"
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Week:
    """A planned week with the cost of its parts, the proven bound and the relative gap. ``tight`` says where a little
    less would have meant another week or none."""

    start: date
    days: int
    cooks: tuple[Cook, ...]
    plates: tuple[Plate, ...]
    objective: Mapping[str, int]
    bound: float
    gap: float
    tight: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class NoWeek:
    """There is no week: the facts that collide, and what to relax, cheapest first.

    Reasons that collide with one another have a ``set`` in common, changes that are needed together an ``offer``.
    """

    conflicts: tuple[Reason, ...]
    relaxations: tuple[Reason, ...]
