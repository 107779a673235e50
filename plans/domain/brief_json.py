"""Briefs and weeks as plain records for JSON, and back without loss.

A brief repeats the same few allowances for hundreds of foods on seven days, so its record holds each distinct allowance
once (``allowances``) and each distinct day once (``tables``); eaters' days point at tables. Decimals are text, dates
ISO 8601, forms as in the file schemas.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from plans.domain.brief import Brief, BriefEater, Cook, FoodAllowance, Kitchen, NoWeek, Plate, Reason, Week
from plans.domain.records import (
    food_from_record,
    food_record,
    form_of,
    form_text,
    recipe_from_record,
    recipe_record,
)
from plans.domain.vocabulary import Allowance, Slot

Record = dict[str, Any]


def brief_record(brief: Brief) -> Record:
    """A brief as a record of JSON's own types."""
    allowances: dict[str, int] = {}
    distinct: list[Record] = []
    tables: dict[tuple[tuple[str, int], ...], int] = {}

    def place(given: FoodAllowance) -> int:
        record = _allowance_record(given)
        key = repr(record)
        if key not in allowances:
            allowances[key] = len(distinct)
            distinct.append(record)
        return allowances[key]

    def table(day: Mapping[str, FoodAllowance]) -> int:
        rows = tuple(sorted((food, place(given)) for food, given in day.items()))
        return tables.setdefault(rows, len(tables))

    eaters = [_eater_record(eater, [table(day) for day in eater.days]) for eater in brief.eaters]
    return {
        "start": brief.start.isoformat(),
        "days": brief.days,
        "slots": [slot.value for slot in brief.slots],
        "most_repeats": brief.most_repeats,
        "kitchen": {
            "hands_on_min": list(brief.kitchen.hands_on_min),
            "pots_ml": list(brief.kitchen.pots_ml),
            "jars": brief.kitchen.jars,
            "freezer": brief.kitchen.freezer,
        },
        "eaters": eaters,
        "allowances": distinct,
        "tables": [dict(rows) for rows in tables],
        "foods": [food_record(brief.foods[key]) for key in sorted(brief.foods)],
        "recipes": [recipe_record(recipe) for recipe in brief.recipes],
    }


def brief_from_record(record: Mapping[str, Any]) -> Brief:
    """The brief a record holds. Raises KeyError or ValueError for a record that is not one."""
    allowances = [_allowance(row) for row in record["allowances"]]
    tables = [{food: allowances[index] for food, index in table.items()} for table in record["tables"]]
    kitchen = record["kitchen"]
    foods = (food_from_record(row) for row in record["foods"])
    return Brief(
        start=date.fromisoformat(record["start"]),
        days=record["days"],
        slots=tuple(Slot(slot) for slot in record["slots"]),
        most_repeats=record["most_repeats"],
        kitchen=Kitchen(
            hands_on_min=tuple(kitchen["hands_on_min"]),
            pots_ml=tuple(kitchen["pots_ml"]),
            jars=kitchen["jars"],
            freezer=kitchen["freezer"],
        ),
        eaters=tuple(_eater(row, tables) for row in record["eaters"]),
        foods={food.key: food for food in foods},
        recipes=tuple(recipe_from_record(row) for row in record["recipes"]),
    )


def week_record(week: Week) -> Record:
    """A week as a record of JSON's own types."""
    return {
        "start": week.start.isoformat(),
        "days": week.days,
        "cooks": [_cook_record(cook) for cook in week.cooks],
        "plates": [_plate_record(plate) for plate in week.plates],
        "objective": dict(week.objective),
        "bound": week.bound,
        "gap": week.gap,
    }


def week_from_record(record: Mapping[str, Any]) -> Week:
    """The week a record holds. Raises KeyError or ValueError for a record that is not one."""
    return Week(
        start=date.fromisoformat(record["start"]),
        days=record["days"],
        cooks=tuple(_cook(row) for row in record["cooks"]),
        plates=tuple(_plate(row) for row in record["plates"]),
        objective=dict(record["objective"]),
        bound=record["bound"],
        gap=record["gap"],
    )


def no_week_record(answer: NoWeek) -> Record:
    """Why there is no week, as a record."""
    return {
        "conflicts": [_reason_record(reason) for reason in answer.conflicts],
        "relaxations": [_reason_record(reason) for reason in answer.relaxations],
    }


def no_week_from_record(record: Mapping[str, Any]) -> NoWeek:
    """The reasons a record holds."""
    return NoWeek(
        conflicts=tuple(_reason(row) for row in record["conflicts"]),
        relaxations=tuple(_reason(row) for row in record["relaxations"]),
    )


def _reason_record(reason: Reason) -> Record:
    return {"code": reason.code, "facts": dict(reason.facts)}


def _reason(row: Mapping[str, Any]) -> Reason:
    return Reason(row["code"], dict(row["facts"]))


def _allowance_record(given: FoodAllowance) -> Record:
    return {
        "allowance": given.allowance.word,
        "forms": [form_text(form) for form in given.forms],
        "most_g": None if given.most_g is None else str(given.most_g),
        "reasons": [_reason_record(reason) for reason in given.reasons],
        "untried": given.untried,
        "flavour_forms": [form_text(form) for form in given.flavour_forms],
    }


def _allowance(row: Mapping[str, Any]) -> FoodAllowance:
    """Briefs written before flavours were bound by forms have no ``flavour_forms``."""
    return FoodAllowance(
        allowance=Allowance.from_word(row["allowance"]),
        forms=tuple(form_of(form) for form in row["forms"]),
        most_g=None if row["most_g"] is None else Decimal(row["most_g"]),
        reasons=tuple(_reason(reason) for reason in row["reasons"]),
        untried=row["untried"],
        flavour_forms=tuple(form_of(form) for form in row.get("flavour_forms", ())),
    )


def _eater_record(eater: BriefEater, days: list[int]) -> Record:
    return {
        "key": eater.key,
        "name": eater.name,
        "appetite": str(eater.appetite),
        "born": eater.born.isoformat(),
        "leaning": eater.leaning,
        "dislikes": sorted(eater.dislikes),
        "follows": eater.follows,
        "days": days,
    }


def _eater(row: Mapping[str, Any], tables: list[dict[str, FoodAllowance]]) -> BriefEater:
    return BriefEater(
        key=row["key"],
        name=row["name"],
        appetite=Decimal(row["appetite"]),
        born=date.fromisoformat(row["born"]),
        days=tuple(tables[index] for index in row["days"]),
        leaning=row["leaning"],
        dislikes=frozenset(row["dislikes"]),
        follows=row["follows"],
    )


def _cook_record(cook: Cook) -> Record:
    return {
        "key": cook.key,
        "recipe": cook.recipe,
        "on": cook.on.isoformat(),
        "portions": str(cook.portions),
        "why": [_reason_record(reason) for reason in cook.why],
        "without": list(cook.without),
    }


def _cook(row: Mapping[str, Any]) -> Cook:
    return Cook(
        key=row["key"],
        recipe=row["recipe"],
        on=date.fromisoformat(row["on"]),
        portions=Decimal(row["portions"]),
        why=tuple(_reason(reason) for reason in row["why"]),
        without=tuple(row["without"]),
    )


def _plate_record(plate: Plate) -> Record:
    return {
        "on": plate.on.isoformat(),
        "slot": plate.slot.value,
        "eater": plate.eater,
        "cook": plate.cook,
        "portions": str(plate.portions),
        "source": plate.source,
        "without": list(plate.without),
    }


def _plate(row: Mapping[str, Any]) -> Plate:
    return Plate(
        on=date.fromisoformat(row["on"]),
        slot=Slot(row["slot"]),
        eater=row["eater"],
        cook=row["cook"],
        portions=Decimal(row["portions"]),
        source=row["source"],
        without=tuple(row["without"]),
    )
