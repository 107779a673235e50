"""The book as values: foods, recipes and protocols, immutable and free of storage.

All masses are grams, all volumes millilitres, all times minutes, all spans whole days, unless a name says otherwise.
Quantities are ``Decimal`` where a person typed them and ``float`` where they only feed the solver.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from plans.domain.vocabulary import Allowance, Slot, Use

Form = frozenset[str]
"""A preparation: a set of words from ``vocabulary.FORM_WORDS``. More words mean more care taken."""


@dataclass(frozen=True, slots=True)
class Food:
    """Something eaten. ``edible_share`` is edible grams per gram bought; ``packs`` are grams, smallest first.

    ``nutrients`` are figures a practice gave itself, per 100 g, from ``nutrients_source``; ``nutrients_like`` names the
    food whose figures in the nutrient table stand for this one.
    """

    key: str
    name: str
    group: str
    aisle: str
    names: tuple[str, ...] = ()
    families: frozenset[str] = frozenset()
    contains: tuple[str, ...] = ()
    unit_weights_g: Mapping[str, Decimal] = field(default_factory=dict)
    density_g_per_ml: Decimal | None = None
    edible_share: Decimal = Decimal(1)
    packs_g: tuple[Decimal, ...] = ()
    fridge_days: int | None = None
    freezer_days: int | None = None
    home_made: bool = False
    limits: frozenset[str] = frozenset()
    nutrients: Mapping[str, Decimal] = field(default_factory=dict)
    nutrients_source: str = ""
    nutrients_like: str = ""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One line of a recipe, for its stated servings."""

    quantity: Decimal
    unit: str
    food: str
    form: Form
    use: Use = Use.BASE
    size: str = ""


@dataclass(frozen=True, slots=True)
class Recipe:
    """A dish for ``servings`` adult portions. ``main`` names the dish for counting repeats."""

    key: str
    title: str
    kind: str
    slots: tuple[Slot, ...]
    main: str
    servings: Decimal
    portion: tuple[Decimal, str]
    ingredients: tuple[Ingredient, ...]
    steps: tuple[str, ...]
    hands_on_min: int
    elapsed_min: int
    fridge_days: int
    freezer_days: int
    batch: bool
    core_temp_f: int | None = None
    makes: str = ""
    child_note: str = ""


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a protocol. Days count from the first day in the stage."""

    key: str
    number: int
    title: str
    aim: str
    least_days: int
    usual_days: int
    most_days: int | None = None
    moving_on: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the rules table: from ``stage`` on, ``allowance`` for a food or for a group."""

    stage: str
    allowance: Allowance
    food: str = ""
    group: str = ""
    forms: tuple[Form, ...] = ()
    start: tuple[Decimal, str] | None = None
    step: tuple[Decimal, str] | None = None
    every_days: int | None = None
    most: tuple[Decimal, str] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Modifier:
    """While condition ``when`` holds: demand more preparation of, or a stricter allowance for, a target."""

    when: str
    food: str = ""
    group: str = ""
    all: bool = False
    require: Form = frozenset()
    allowance: Allowance | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Challenge:
    """One planned introduction: a dose a day for ``dose_days``, then ``washout_days`` without it."""

    key: str
    title: str
    food: str
    form: Form
    stage: str
    doses: tuple[tuple[Decimal, str], ...]
    dose_days: int
    washout_days: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class LeadInTask:
    """Work before day one, ``days_before`` it, and no later than ``at_least_days`` before it.

    ``after`` are the keys of tasks that come first. What the work makes is ready once it has waited ``wait_least_h``
    hours and should not wait longer than ``wait_most_h``; then it keeps ``keeps_days`` in the refrigerator and
    ``freezer_days`` in the freezer. ``needs`` and ``makes`` are food keys. Where ``makes`` names a food that opens in a
    later stage, the days count back from there. ``buy_instead`` says what can be bought in its place.
    """

    key: str
    title: str
    kind: str
    days_before: int
    at_least_days: int = 0
    keeps_days: int | None = None
    hands_on_min: int = 0
    food: str = ""
    note: str = ""
    source: str = ""
    after: tuple[str, ...] = ()
    wait_least_h: int = 0
    wait_most_h: int | None = None
    freezer_days: int | None = None
    needs: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    buy_instead: str = ""


@dataclass(frozen=True, slots=True)
class Protocol:
    """An ordered set of stages with their rules, as one published version."""

    key: str
    title: str
    summary: str
    source: str
    stages: tuple[Stage, ...]
    rules: tuple[Rule, ...]
    dietitian: bool = False
    caution: str = ""
    modifiers: tuple[Modifier, ...] = ()
    challenges: tuple[Challenge, ...] = ()
    lead_in: tuple[LeadInTask, ...] = ()

    def stage(self, key: str) -> Stage:
        """The stage with this key. Raises KeyError."""
        for stage in self.stages:
            if stage.key == key:
                return stage
        raise KeyError(key)
