"""What an eater's days hold, against reference intakes: averages a day, with what is not known of them.

Everything is a code or a fact. The amounts are raw and planned: nothing is taken off for cooking, and nobody is known
to have eaten them.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from plans.domain.body import Body
from plans.domain.energy import Energy, NoEquation, energy_requirement
from plans.domain.energy_shares import KCAL_PER_G, Place, amdr, energy_shares
from plans.domain.intake_confidence import Confidence, confidence
from plans.domain.intakes import (
    NOT_IN_TABLE,
    NOTES,
    Band,
    Goal,
    Reference,
    ReferenceTable,
    Upper,
    band,
    goal_of,
    groups_for,
    is_at_least,
    percent_of,
    references_for,
    upper,
)
from plans.domain.nutrients import UNITS, NutrientTotal, Table, Totals, total

ENERGY = "energy_kcal"
VITAMIN_A = "vit_a_rae_ug"


@dataclass(frozen=True, slots=True)
class NutrientIntake:
    """One nutrient a day, in the unit of ``UNITS``.

    ``mean`` is None when nothing is known, and with ``at_least`` a lower bound. ``percent`` is of the goal, of two
    groups the higher one; it is None when there is no goal or too little is known to show one. ``unknown_for`` names
    the largest amounts first. ``references`` are the published amounts with their sources, ``notes`` codes. ``sure`` is
    how sure as many recorded days would make one of the usual intake; with ``at_least`` a lower bound, too. None where
    the published method gives no ground.
    """

    nutrient: str
    mean: Decimal | None
    at_least: bool
    coverage: Decimal
    unknown_for: tuple[str, ...]
    references: tuple[Reference, ...]
    goal: Goal | None
    percent: int | None
    band: Band
    upper: Upper
    sure: Confidence | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EnergyIntake:
    """Energy a day in kcal and, where there is a published equation and all it asks for, what it says.

    ``percent`` is of the higher requirement when the sex is not stated; None without a requirement.
    """

    mean: Decimal | None
    at_least: bool
    coverage: Decimal
    unknown_for: tuple[str, ...]
    requirement: Energy | NoEquation
    percent: int | None


@dataclass(frozen=True, slots=True)
class EnergySplit:
    """Percent of energy by source, over the foods known in all three; ``coverage`` is their share of the weight.

    ``places`` says where each lies against its published range; empty under one year, where there is none.
    """

    shares: Mapping[str, Decimal]
    places: Mapping[str, Place]
    coverage: Decimal


@dataclass(frozen=True, slots=True)
class WeekIntakes:
    """An eater's averages a day over ``days`` days. ``groups`` are the published groups; empty: there is none.

    ``nutrients`` are in the order of the table; ``split`` is None when no food is known in all it needs.
    """

    days: int
    groups: tuple[str, ...]
    nutrients: Mapping[str, NutrientIntake]
    energy: EnergyIntake
    split: EnergySplit | None
    not_in_table: tuple[str, ...] = NOT_IN_TABLE


def week_intakes(
    *,
    amounts: Mapping[str, Decimal],
    days: int,
    table: Table,
    references: ReferenceTable,
    body: Body,
    preformed: Collection[str] = (),
    unweighed: Collection[str] = (),
) -> WeekIntakes:
    """What so many days hold on average a day: ``amounts`` are the edible grams of each food over all days together.

    ``preformed`` names the foods whose vitamin A is retinol, as liver and cod-liver oil; only they are held against the
    upper level of vitamin A, and without any of them nothing is. ``unweighed`` are foods with an amount that nobody can
    weigh: unknown in every nutrient, outside the coverage. Ask for planned days only: no food at all is a known zero.
    Raises ValueError for no days or an amount below zero.
    """
    if days < 1:
        raise ValueError("there must be at least one day")
    means = _means(amounts, days, table, unweighed)
    retinol_foods = {food: grams for food, grams in amounts.items() if grams and food in preformed}
    retinol_unweighed = [food for food in unweighed if food in preformed]
    retinol = (
        _means(retinol_foods, days, table, retinol_unweighed)[VITAMIN_A]
        if retinol_foods or retinol_unweighed
        else None
    )
    return WeekIntakes(
        days=days,
        groups=groups_for(body, references),
        nutrients={
            nutrient: _nutrient(
                nutrient, means[nutrient], references_for(nutrient, body, references), retinol, body, days
            )
            for nutrient in UNITS
            if nutrient != ENERGY
        },
        energy=_energy(means[ENERGY], body),
        split=_split(amounts, table, body),
    )


def _means(amounts: Mapping[str, Decimal], days: int, table: Table, unweighed: Collection[str]) -> Totals:
    return {
        nutrient: _a_day(found, amounts, days, unweighed) for nutrient, found in total(amounts, table).items()
    }


def _a_day(
    found: NutrientTotal, amounts: Mapping[str, Decimal], days: int, unweighed: Collection[str]
) -> NutrientTotal:
    """A mean a day, never below zero: carbohydrate by difference may be, in a plan of nothing but lean meat.

    Nothing but foods that nobody can weigh is not known, and no zero.
    """
    by_weight = sorted(found.unknown_for, key=lambda food: (-amounts[food], food))
    if unweighed and not any(amounts.values()):
        found = replace(found, value=None, coverage=Decimal(0))
    return replace(
        found,
        value=None if found.value is None else max(found.value, Decimal(0)) / days,
        unknown_for=tuple(dict.fromkeys((*by_weight, *sorted(unweighed)))),
    )


def _nutrient(
    nutrient: str,
    mean: NutrientTotal,
    references: tuple[Reference, ...],
    retinol: NutrientTotal | None,
    body: Body,
    days: int,
) -> NutrientIntake:
    at_least = is_at_least(nutrient, mean)
    goal = goal_of(references)
    return NutrientIntake(
        nutrient=nutrient,
        mean=mean.value,
        at_least=at_least,
        coverage=mean.coverage,
        unknown_for=mean.unknown_for,
        references=references,
        goal=goal,
        percent=_percent(mean.value, goal.most, at_least) if goal else None,
        band=band(mean.value, references, at_least=at_least),
        upper=upper(mean, references, preformed=retinol),
        sure=None if mean.value is None else confidence(nutrient, mean.value, days, body, references),
        notes=(NOTES[nutrient],) if nutrient in NOTES else (),
    )


def _energy(mean: NutrientTotal, body: Body) -> EnergyIntake:
    requirement = energy_requirement(body)
    at_least = is_at_least(ENERGY, mean)
    most = requirement.most if isinstance(requirement, Energy) else None
    return EnergyIntake(
        mean=mean.value,
        at_least=at_least,
        coverage=mean.coverage,
        unknown_for=mean.unknown_for,
        requirement=requirement,
        percent=_percent(mean.value, most, at_least) if most else None,
    )


def _percent(value: Decimal | None, goal: Decimal, at_least: bool) -> int | None:
    """Nothing rather than "at least 0 %", which would read as none."""
    percent = percent_of(value, goal)
    return None if at_least and not percent else percent


def _split(amounts: Mapping[str, Decimal], table: Table, body: Body) -> EnergySplit | None:
    """Only foods known in all three: a blank in one would lean the shares towards the others."""
    known = {
        food: grams
        for food, grams in amounts.items()
        if food in table and table[food].per_100_g.keys() >= KCAL_PER_G.keys()
    }
    if not known:
        return None
    totals = total(known, table)
    shares = energy_shares({name: totals[name].value for name in KCAL_PER_G})
    if shares is None:
        return None
    ranges = amdr(body.age) or {}
    return EnergySplit(
        shares=shares,
        places={name: span.place(shares[name]) for name, span in ranges.items()},
        coverage=sum(known.values(), Decimal(0)) / sum(amounts.values(), Decimal(0)),
    )
