"""What the planner is asked (a brief) and what it answers (a week), as JSON-able values.

A brief is complete: it holds every food, recipe and allowance the planner may use, so a week can be planned, checked
and timed from a file, without a database. Dates are the household's own local dates.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from plans.domain.book import Food, Form, Recipe
from plans.domain.vocabulary import Allowance, Slot


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
    """One eater: ``days[i]`` maps food keys to allowances on day ``i``; a food that is absent is *not yet*."""

    key: str
    name: str
    appetite: Decimal
    born: date
    days: tuple[Mapping[str, FoodAllowance], ...]
    leaning: str = "none"
    dislikes: frozenset[str] = frozenset()
    follows: str = ""


@dataclass(frozen=True, slots=True)
class Kitchen:
    """``hands_on_min[i]`` is the most hands-on minutes on day ``i``; ``pots_ml`` are usable pot volumes."""

    hands_on_min: tuple[int, ...]
    pots_ml: tuple[int, ...]
    jars: int = 0
    freezer: bool = True


@dataclass(frozen=True, slots=True)
class Brief:
    """A question to the planner: ``days`` consecutive days from ``start``."""

    start: date
    days: int
    eaters: tuple[BriefEater, ...]
    foods: Mapping[str, Food]
    recipes: tuple[Recipe, ...]
    kitchen: Kitchen
    slots: tuple[Slot, ...] = tuple(Slot)
    most_repeats: int = 3


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
    """A planned week with the cost of its parts, the proven bound and the relative gap."""

    start: date
    days: int
    cooks: tuple[Cook, ...]
    plates: tuple[Plate, ...]
    objective: Mapping[str, int]
    bound: float
    gap: float


@dataclass(frozen=True, slots=True)
class NoWeek:
    """There is no week: the facts that collide, and what to relax, cheapest first."""

    conflicts: tuple[Reason, ...]
    relaxations: tuple[Reason, ...]
