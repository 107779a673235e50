"""Briefs and weeks as plain records for JSON, and back without loss.

A brief repeats the same few allowances for hundreds of foods on seven days, so its record holds each distinct allowance
once (``allowances``) and each distinct day once (``tables``); eaters' days point at tables. Decimals are text, dates
ISO 8601, forms as in the file schemas. What briefs of earlier versions do not have takes its default.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from plans.domain.brief import (
    WANTS,
    Brief,
    BriefEater,
    Choice,
    Cook,
    FoodAllowance,
    Kitchen,
    Meal,
    NoWeek,
    Plate,
    Reason,
    Revision,
    Stored,
    Week,
)
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
            "at_home_min": list(brief.kitchen.at_home_min),
            "out": sorted(brief.kitchen.out),
        },
        "stores": [_stored_record(stored) for stored in brief.stores],
        "contents": {recipe: dict(amounts) for recipe, amounts in sorted(brief.contents.items())},
        "wants": list(brief.wants),
        "revision": None if brief.revision is None else _revision_record(brief.revision),
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
            at_home_min=tuple(kitchen.get("at_home_min", ())),
            out=frozenset(kitchen.get("out", ())),
        ),
        stores=tuple(_stored(row) for row in record.get("stores", ())),
        contents=dict(record.get("contents", {})),
        wants=tuple(record.get("wants", WANTS)),
        revision=None if record.get("revision") is None else _revision(record["revision"]),
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
        "tight": [_reason_record(reason) for reason in week.tight],
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
        tight=tuple(_reason(row) for row in record.get("tight", ())),
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
        "away": _meals_record(eater.away),
        "targets": dict(eater.targets),
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
        away=frozenset(_meal(meal) for meal in row.get("away", ())),
        targets=dict(row.get("targets", {})),
    )


def _meals_record(meals: frozenset[Meal]) -> list[list[int | str]]:
    return [[day, slot.value] for day, slot in sorted(meals)]


def _meal(row: list[Any]) -> Meal:
    return row[0], Slot(row[1])


def _stored_record(stored: Stored) -> Record:
    return {
        "food": stored.food,
        "amount_g": str(stored.amount_g),
        "place": stored.place,
        "best_by": None if stored.best_by is None else stored.best_by.isoformat(),
    }


def _stored(row: Mapping[str, Any]) -> Stored:
    return Stored(
        food=row["food"],
        amount_g=Decimal(row["amount_g"]),
        place=row["place"],
        best_by=None if row["best_by"] is None else date.fromisoformat(row["best_by"]),
    )


def _revision_record(revision: Revision) -> Record:
    return {
        "shown": week_record(revision.shown),
        "from_day": revision.from_day,
        "eaten": sorted(slot.value for slot in revision.eaten),
        "locked": _meals_record(revision.locked),
        "wanted": [_choice_record(choice) for choice in revision.wanted],
        "unwanted": [_choice_record(choice) for choice in revision.unwanted],
        "gone_foods": dict(revision.gone_foods),
        "gone_cooks": dict(revision.gone_cooks),
    }


def _revision(row: Mapping[str, Any]) -> Revision:
    return Revision(
        shown=week_from_record(row["shown"]),
        from_day=row["from_day"],
        eaten=frozenset(Slot(slot) for slot in row.get("eaten", ())),
        locked=frozenset(_meal(meal) for meal in row["locked"]),
        wanted=tuple(_choice(choice) for choice in row["wanted"]),
        unwanted=tuple(_choice(choice) for choice in row["unwanted"]),
        gone_foods=dict(row["gone_foods"]),
        gone_cooks=dict(row["gone_cooks"]),
    )


def _choice_record(choice: Choice) -> Record:
    return {"meal": [choice.meal[0], choice.meal[1].value], "recipe": choice.recipe}


def _choice(row: Mapping[str, Any]) -> Choice:
    return Choice(_meal(row["meal"]), row["recipe"])


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
