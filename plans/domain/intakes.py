"""Reference intakes, and where an average intake lies against them.

The references are the Dietary Reference Intakes of the United States and Canada (Institute of Medicine 1997-2011,
National Academies 2019), for healthy people. The positions follow Institute of Medicine, Applications in Dietary
Assessment (2000), chapter 3 and page 57, and Health Canada's summary of it. They compare food with a published amount
and nothing more: food alone says nothing certain about anyone's status, which is for a clinician to judge.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from types import MappingProxyType

from plans.domain.body import Body, Condition, Sex
from plans.domain.nutrients import UNITS, NutrientTotal
from plans.domain.records import decimal_of

REFERENCE_SET = "dri-us-canada"
"""References differ by country; a report names this set."""

PROTEIN, PROTEIN_PER_KG = "protein_g", "protein_g_per_kg"
NUTRIENTS = (*UNITS, PROTEIN_PER_KG)

NOT_IN_TABLE = ("iodine", "phosphorus", "copper", "manganese", "biotin", "pantothenic-acid")
"""Nutrients with published references that the food table has no figures for: not known, and never short."""

NOT_FROM_FOOD: Mapping[str, str] = MappingProxyType(
    {
        "magnesium_mg": "supplements-only",
        "vit_e_mg": "supplements-only",
        "niacin_mg": "synthetic-only",
        "folate_ug": "synthetic-only",
    }
)
"""Upper levels that count no food. For magnesium it even lies below the recommended amount in some groups."""

PREFORMED_ONLY = "preformed-only"
"""The upper level of vitamin A counts retinol, as in liver, and not what the body makes from carrots."""

NOTES: Mapping[str, str] = MappingProxyType(
    {
        "niacin_mg": "preformed-niacin",  # the reference is in equivalents, which count tryptophan, too
        "folate_ug": "total-folate",  # the same as the equivalents of the reference in foods that are not fortified
        "vit_d_ug": "little-sun-assumed",
    }
)
AT_LEAST_ALWAYS = frozenset({"niacin_mg"})


class Band(StrEnum):
    """Where an intake lies, the most cautious first.

    The chance that an intake is enough is at most a half below the EAR, still uncertain up to the RDA, and high from
    the RDA or AI on. Below an AI nothing can be said. ``UNKNOWN_LOW``: what is known lies below, but not all is known.
    ``AT_LEAST_EAR``: the EAR is reached by what is known. ``BELOW_RDA``: below one that has no EAR beside it.
    """

    BELOW_EAR = "below-ear"
    UNKNOWN = "unknown"
    UNKNOWN_LOW = "unknown-low"
    BELOW_RDA = "below-rda"
    BELOW_AI = "below-ai"
    EAR_TO_RDA = "ear-to-rda"
    AT_LEAST_EAR = "at-least-ear"
    AT_OR_ABOVE_RDA = "at-or-above-rda"
    AT_OR_ABOVE_AI = "at-or-above-ai"
    NO_REFERENCE = "no-reference"


class Above(StrEnum):
    """Where an intake lies against an upper amount. ``UNKNOWN``: below by what is known, but not all is known."""

    NOT_SET = "not-set"
    NOT_COMPARED = "not-compared"
    UNKNOWN = "unknown"
    NOT_ABOVE = "not-above"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Reference:
    """The published amounts a day of one nutrient for one group; None where none is set, which is never zero.

    ``confirmed`` says for each amount how it was checked: on a page, in a data set, or from memory only.
    ``age_below`` is exclusive, None for no limit; ``sex`` is None for both.
    """

    nutrient: str
    group: str
    sex: Sex | None
    age_from: Decimal
    age_below: Decimal | None
    condition: Condition
    ear: Decimal | None
    rda: Decimal | None
    ai: Decimal | None
    ul: Decimal | None
    cdrr: Decimal | None
    source: str
    confirmed: str

    @property
    def goal(self) -> Decimal | None:
        """The RDA, or where there is none the AI."""
        return self.ai if self.rda is None else self.rda

    def holds_for(self, body: Body) -> bool:
        """Whether someone belongs to the group; with the sex not stated, to both sexes' groups."""
        return (
            self.condition is body.condition
            and (self.sex is None or self.sex in body.sexes)
            and self.age_from <= body.age
            and (self.age_below is None or body.age < self.age_below)
        )


ReferenceTable = Mapping[str, tuple[Reference, ...]]
"""References by nutrient: the names of ``UNITS``, and ``PROTEIN_PER_KG``."""


@dataclass(frozen=True, slots=True)
class Goal:
    """The amount a day to plan for: ``kind`` is rda or ai; ``least`` and ``most`` differ when two groups are shown."""

    kind: str
    least: Decimal
    most: Decimal


@dataclass(frozen=True, slots=True)
class Upper:
    """An upper amount a day: ``kind`` is ul or cdrr, or empty when none is set; ``found`` is what was compared.

    ``why`` says why food is not compared with it. For two groups the lower amount counts.
    """

    kind: str
    amount: Decimal | None
    found: Decimal | None
    place: Above
    why: str = ""


def references_from_rows(rows: Iterable[Mapping[str, str]]) -> ReferenceTable:
    """References by nutrient, from rows of text such as a CSV reader gives; a blank cell is not set.

    Raises KeyError for a missing column, ValueError for an unknown word, nutrient or number, or a group given twice.
    """
    table: dict[str, dict[str, Reference]] = {}
    for row in rows:
        reference = _reference(row)
        groups = table.setdefault(reference.nutrient, {})
        if reference.group in groups:
            raise ValueError(f"{reference.nutrient} has two rows for {reference.group}")
        groups[reference.group] = reference
    return MappingProxyType({nutrient: tuple(groups.values()) for nutrient, groups in table.items()})


def references_for(nutrient: str, body: Body, table: ReferenceTable) -> tuple[Reference, ...]:
    """The references for someone: one, two when the sex is not stated and the groups differ, or none published.

    Protein is by weight where it is known. In pregnancy that is the weight before (from memory); without it the
    amount for the group stands.
    """
    if nutrient == PROTEIN and (weight_kg := _weight_for_protein(body)):
        by_weight = references_for(PROTEIN_PER_KG, body, table)
        return tuple(_times(reference, weight_kg) for reference in by_weight)
    return tuple(reference for reference in table.get(nutrient, ()) if reference.holds_for(body))


def groups_for(body: Body, table: ReferenceTable) -> tuple[str, ...]:
    """The published groups someone belongs to; empty when there is none, as for a pregnancy above 50 years."""
    rows = (reference for references in table.values() for reference in references)
    return tuple(dict.fromkeys(reference.group for reference in rows if reference.holds_for(body)))


def goal_of(references: Iterable[Reference]) -> Goal | None:
    """The goal of one or two references; None when there is none."""
    found = [reference for reference in references if reference.goal is not None]
    if not found:
        return None
    goals = [reference.goal for reference in found]
    return Goal("ai" if found[0].rda is None else "rda", min(goals), max(goals))


def percent_of(value: Decimal | None, goal: Decimal) -> int | None:
    """A value in whole percent of a goal, halves upwards; None for an unknown value."""
    return None if value is None else int((value * 100 / goal).to_integral_value(ROUND_HALF_UP))


def is_at_least(nutrient: str, mean: NutrientTotal) -> bool:
    """Whether a mean is only a lower bound: a food is unknown, or the table counts only part of the nutrient."""
    return bool(mean.unknown_for) or mean.coverage < 1 or nutrient in AT_LEAST_ALWAYS


def band(value: Decimal | None, references: Iterable[Reference], *, at_least: bool = False) -> Band:
    """Where a mean a day lies against one or two references; of two the more cautious answer."""
    found = [_band(value, reference, at_least) for reference in references if reference.goal is not None]
    return min(found, key=list(Band).index) if found else Band.NO_REFERENCE


def upper(
    mean: NutrientTotal, references: Iterable[Reference], *, preformed: NutrientTotal | None = None
) -> Upper:
    """Where a mean a day lies against the UL, or the CDRR of sodium.

    Vitamin A is compared only with ``preformed``: what comes from foods known to hold it as retinol.
    """
    references = tuple(references)
    for kind in ("cdrr", "ul"):
        amounts = [amount for reference in references if (amount := getattr(reference, kind)) is not None]
        if amounts:
            return _upper(kind, min(amounts), mean, references[0].nutrient, preformed)
    return Upper("", None, None, Above.NOT_SET)


def _upper(
    kind: str, amount: Decimal, mean: NutrientTotal, nutrient: str, preformed: NutrientTotal | None
) -> Upper:
    if nutrient in NOT_FROM_FOOD:
        return Upper(kind, amount, None, Above.NOT_COMPARED, NOT_FROM_FOOD[nutrient])
    if nutrient == "vit_a_rae_ug":
        if preformed is None:
            return Upper(kind, amount, None, Above.NOT_COMPARED, PREFORMED_ONLY)
        mean = preformed
    if mean.value is not None and mean.value > amount:
        place = Above.ABOVE
    else:
        place = Above.UNKNOWN if mean.value is None or is_at_least(nutrient, mean) else Above.NOT_ABOVE
    return Upper(kind, amount, mean.value, place)


def _band(value: Decimal | None, reference: Reference, at_least: bool) -> Band:
    if value is None or (at_least and not percent_of(value, reference.goal)):
        return Band.UNKNOWN
    if value >= reference.goal:
        return Band.AT_OR_ABOVE_AI if reference.rda is None else Band.AT_OR_ABOVE_RDA
    if reference.ear is not None and value >= reference.ear:
        return Band.AT_LEAST_EAR if at_least else Band.EAR_TO_RDA
    if at_least:
        return Band.UNKNOWN_LOW
    if reference.rda is None:
        return Band.BELOW_AI
    return Band.BELOW_RDA if reference.ear is None else Band.BELOW_EAR


def _weight_for_protein(body: Body) -> Decimal | None:
    return body.weight_before_kg if body.condition is Condition.PREGNANCY else body.weight_kg


def _times(per_kg: Reference, weight_kg: Decimal) -> Reference:
    amounts = {
        name: None if (amount := getattr(per_kg, name)) is None else amount * weight_kg
        for name in ("ear", "rda", "ai")
    }
    return replace(per_kg, nutrient=PROTEIN, **amounts)


def _reference(row: Mapping[str, str]) -> Reference:
    if row["nutrient"] not in NUTRIENTS:
        raise ValueError(f"{row['nutrient']!r} is no nutrient of the table")
    amounts = {name: _amount(row[name]) for name in ("ear", "rda", "ai", "ul", "cdrr", "age_below_y")}
    return Reference(
        nutrient=row["nutrient"],
        group=row["group"],
        sex=None if row["sex"] == "any" else Sex(row["sex"]),
        age_from=decimal_of(row["age_from_y"]),
        age_below=amounts.pop("age_below_y"),
        condition=Condition(row["condition"]),
        **amounts,
        source=row["source"],
        confirmed=row["confirmed"],
    )


def _amount(text: str) -> Decimal | None:
    amount = decimal_of(text) if text.strip() else None
    if amount is not None and not (amount.is_finite() and amount > 0):
        raise ValueError(f"{text!r} is no amount")
    return amount
