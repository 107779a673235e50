"""What the lead-in of a household is worked out from, and what it answers.

All spans are whole days, all dates the household's own, all work minutes, all masses grams.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from plans.domain.book import Food, LeadInTask, Recipe
from plans.domain.brief import Reason, Stored
from plans.domain.vocabulary import Slot


@dataclass(frozen=True, slots=True)
class Starter:
    """An eater whose day one lies ahead.

    ``kept_out`` are foods they do not eat whatever the stage, with why; ``opens`` the earliest day a food may open.
    """

    key: str
    name: str
    day_one: date
    tasks: tuple[LeadInTask, ...]
    kept_out: Mapping[str, Reason] = field(default_factory=dict)
    opens: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tick:
    """Somebody said of a task that it is done on a day, or (``needed`` False) that it is not needed."""

    on: date
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Ask:
    """The question. ``free_min`` are the free minutes of Monday to Sunday; None: nobody said.

    ``closed`` are the foods that nobody at the table may have from the last day one on, each with the day it may open
    again if there is one; ``table_kept_out`` what some eater at the table does not eat before it. ``ticks`` are by the
    name of a task.
    """

    today: date
    starters: tuple[Starter, ...]
    foods: Mapping[str, Food] = field(default_factory=dict)
    free_min: tuple[int, ...] | None = None
    freezer: bool = True
    stores: tuple[Stored, ...] = ()
    closed: Mapping[str, date | None] = field(default_factory=dict)
    table_kept_out: frozenset[str] = frozenset()
    recipes: tuple[Recipe, ...] = ()
    portions: Decimal = Decimal(1)
    ticks: Mapping[str, Tick] = field(default_factory=dict)

    def free_on(self, on: date) -> int | None:
        """The free minutes of a day; None where nobody said."""
        return None if self.free_min is None else self.free_min[on.weekday()]


@dataclass(frozen=True, slots=True)
class Meal:
    """A dish of the book that uses something up: how often a household of this size cooks it, and whether that is
    enough for all there is."""

    recipe: str
    title: str
    slot: Slot
    times: int
    enough: bool = True


@dataclass(frozen=True, slots=True)
class UsingUp:
    """Something in the house nobody may have from day one. ``keeps_until_open``: it may as well be put away."""

    food: str
    amount_g: Decimal
    place: str
    by: date
    best_by: date | None = None
    meal: Meal | None = None
    opens: date | None = None
    keeps_until_open: bool = False


@dataclass(frozen=True, slots=True)
class Task:
    """One dated task. It can be done from ``earliest`` to ``latest`` without harm; ``on`` is its day in the plan.

    ``late``: it cannot be done in time, or what it needs would not keep. ``done`` is when somebody ticked it off.
    ``eaters`` are the keys of those it is for, ``not_for`` those it is not for, with why. ``ready_from`` is the day
    what it makes is ready. ``again`` is when it was done for a result that no longer keeps until it is needed.
    """

    name: str
    key: str
    title: str
    kind: str
    on: date
    earliest: date
    latest: date
    late: bool = False
    hands_on_min: int = 0
    food: str = ""
    note: str = ""
    source: str = ""
    buy_instead: str = ""
    needs: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    waits_h: tuple[int, int | None] = (0, None)
    ready_from: date | None = None
    eaters: tuple[str, ...] = ()
    not_for: tuple[tuple[str, Reason], ...] = ()
    using_up: UsingUp | None = None
    buys: tuple[str, ...] = ()
    again: date | None = None

    @property
    def slack(self) -> int:
        """Whole days it can wait beyond its day; negative when it is late."""
        return (self.latest - self.on).days


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A task that is for nobody: each eater with the food and why, or the task it cannot do without."""

    name: str
    title: str
    why: tuple[tuple[str, str, Reason], ...] = ()
    without: str = ""


@dataclass(frozen=True, slots=True)
class Ticked:
    """A task that is settled: done on a day, or not needed. ``task`` is None where the plan has no use for it now."""

    name: str
    title: str
    tick: Tick
    task: Task | None = None


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the plan with its tasks and the free minutes of the household; ``free_min`` None: nobody said."""

    on: date
    tasks: tuple[Task, ...]
    free_min: int | None = None

    @property
    def hands_on_min(self) -> int:
        """The minutes of work of the day."""
        return sum(task.hands_on_min for task in self.tasks)

    @property
    def is_overfull(self) -> bool:
        """There is more work than free minutes."""
        return self.free_min is not None and self.hands_on_min > self.free_min


@dataclass(frozen=True, slots=True)
class Plan:
    """The lead-in of a household. ``day_one`` is the first day one ahead.

    ``honest_day_one`` is the first that all the work fits before, if every day one moves with it; None when none was
    found. ``proven``: the search ruled out every sooner one; otherwise it was cut off for some and found none.
    ``trips`` are the days to go to the shop.
    """

    day_one: date
    tasks: tuple[Task, ...]
    days: tuple[Day, ...]
    left_out: tuple[LeftOut, ...] = ()
    ticked: tuple[Ticked, ...] = ()
    trips: tuple[date, ...] = ()
    honest_day_one: date | None = None
    proven: bool = True

    @property
    def late(self) -> tuple[Task, ...]:
        """The tasks that cannot be done in time."""
        return tuple(task for task in self.tasks if task.late)

    @property
    def hands_on_min(self) -> int:
        """All the work that is left."""
        return sum(task.hands_on_min for task in self.tasks)
