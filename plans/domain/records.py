"""Records and values: the same food, recipe or protocol as a file holds it and as the house thinks with it.

A record is plain and JSON-able: text, whole numbers, fractions as floats of at most fifteen digits, lists and
mappings, named as in ``plans/data/SCHEMAS.md``. What equals its default is left out. Nothing is lost either way.
A record handed in here has passed ``plans.domain.filing``; one that has not raises KeyError or ValueError.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any

from plans.domain.book import (
    Challenge,
    Food,
    Form,
    Ingredient,
    LeadInTask,
    Modifier,
    Protocol,
    Recipe,
    Rule,
    Stage,
)
from plans.domain.vocabulary import COOKING, FAMILIES, FAMILY_IMPLIES, HANDLING, LIMITS, Allowance, Slot, Use

Record = dict[str, Any]
Quantity = tuple[Decimal, str]

_FORM_ORDER = {word: place for place, word in enumerate(COOKING + HANDLING)}


def decimal_of(value: Any) -> Decimal:
    """The number a record holds, exactly as it was written. Raises ValueError for anything else."""
    try:
        return Decimal(str(value))
    except InvalidOperation as error:
        raise ValueError(f"{value!r} is not a number") from error


def number_of(value: Decimal) -> int | float:
    """A number as a record holds it: whole where it is whole."""
    return int(value) if value == value.to_integral_value() else float(value)


def number_text(value: Decimal) -> str:
    """A number as a person writes it: no exponent, no trailing zeros."""
    return str(number_of(value)) if value == value.to_integral_value() else format(value.normalize(), "f")


def quantity_of(text: str) -> Quantity:
    """``400 ml`` as number and unit. Raises ValueError when either is missing."""
    number, _, unit = text.strip().partition(" ")
    if not unit.strip():
        raise ValueError(f"{text!r} lacks a unit")
    return decimal_of(number), unit.strip()


def quantity_text(quantity: Quantity) -> str:
    """The inverse of ``quantity_of``."""
    return f"{number_text(quantity[0])} {quantity[1]}"


def form_of(text: str) -> Form:
    """``boiled + peeled`` as a set of words; no text is the empty form."""
    return frozenset(word.strip() for word in text.split("+") if word.strip())


def form_text(form: Form) -> str:
    """A form as files write it: cooking first, then handling, in the order of the vocabulary."""
    return " + ".join(sorted(form, key=lambda word: (_FORM_ORDER.get(word, len(_FORM_ORDER)), word)))


def digest_of(record: Mapping[str, Any]) -> str:
    """SHA-256 of a record in canonical JSON (sorted keys, no spaces): equal content, equal digest."""
    canonical = json.dumps(record, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def implied(families: Iterable[str]) -> frozenset[str]:
    """Allergen families with all they imply: wheat is gluten."""
    found = frozenset(families)
    return found.union(*(FAMILY_IMPLIES.get(family, ()) for family in found))


def resolve_families(foods: Iterable[Food]) -> dict[str, Food]:
    """Foods by key, each with the allergen families of everything it is made of, however deep.

    A food missing from ``foods`` adds nothing; foods that contain each other share their families.
    """
    by_key = {food.key: food for food in foods}
    return {key: replace(food, families=_families_of(food, by_key)) for key, food in by_key.items()}


def _families_of(food: Food, by_key: Mapping[str, Food]) -> frozenset[str]:
    seen: set[str] = set()
    waiting = [food.key]
    while waiting:
        key = waiting.pop()
        if key in by_key and key not in seen:
            seen.add(key)
            waiting.extend(by_key[key].contains)
    return implied(family for key in seen for family in by_key[key].families)


def food_from_record(record: Mapping[str, Any]) -> Food:
    """The food a record describes."""
    keeps = record.get("keeps", {})
    return Food(
        key=record["key"],
        name=record["name"],
        group=record["group"],
        aisle=record["aisle"],
        names=tuple(record.get("names", ())),
        families=implied(record.get("families", ())),
        contains=tuple(record.get("contains", ())),
        unit_weights_g={unit: decimal_of(grams) for unit, grams in record.get("unit_weights", {}).items()},
        density_g_per_ml=decimal_of(record["density"]) if "density" in record else None,
        edible_share=decimal_of(record.get("edible_share", 1)),
        packs_g=tuple(decimal_of(grams) for grams in record.get("packs", ())),
        fridge_days=keeps.get("fridge_days"),
        freezer_days=keeps.get("freezer_days"),
        home_made=record.get("home_made", False),
        limits=frozenset(record.get("limits", ())),
        nutrients={name: decimal_of(figure) for name, figure in record.get("nutrients", {}).items()},
        nutrients_source=record.get("nutrients_source", ""),
        nutrients_like=record.get("nutrients_like", ""),
    )


def food_record(food: Food) -> Record:
    """The record of a food."""
    keeps = _filled(fridge_days=food.fridge_days, freezer_days=food.freezer_days)
    share = number_of(food.edible_share)
    return {"key": food.key, "name": food.name, "group": food.group, "aisle": food.aisle} | _filled(
        names=list(food.names),
        families=[family for family in FAMILIES if family in food.families],
        contains=list(food.contains),
        unit_weights={unit: number_of(grams) for unit, grams in food.unit_weights_g.items()},
        density=None if food.density_g_per_ml is None else number_of(food.density_g_per_ml),
        edible_share=None if share == 1 else share,
        packs=[number_of(grams) for grams in food.packs_g],
        keeps=keeps,
        home_made=food.home_made or None,
        limits=[limit for limit in LIMITS if limit in food.limits],
        nutrients={name: number_of(figure) for name, figure in food.nutrients.items()},
        nutrients_source=food.nutrients_source,
        nutrients_like=food.nutrients_like,
    )


def recipe_from_record(record: Mapping[str, Any]) -> Recipe:
    """The recipe a record describes."""
    return Recipe(
        key=record["key"],
        title=record["title"],
        kind=record["kind"],
        slots=tuple(Slot(word) for word in record["slots"]),
        main=record["main"],
        servings=decimal_of(record["servings"]),
        portion=quantity_of(record["portion"]),
        ingredients=tuple(ingredient_from_record(row) for row in record["ingredients"]),
        steps=tuple(record["steps"]),
        hands_on_min=record["hands_on_min"],
        elapsed_min=record["elapsed_min"],
        fridge_days=record["fridge_days"],
        freezer_days=record["freezer_days"],
        batch=record.get("batch", False),
        core_temp_f=record.get("core_temp_f"),
        makes=record.get("makes", ""),
        child_note=record.get("child_note", ""),
    )


def recipe_record(recipe: Recipe) -> Record:
    """The record of a recipe."""
    return {
        "key": recipe.key,
        "title": recipe.title,
        "kind": recipe.kind,
        "slots": [slot.value for slot in recipe.slots],
        "main": recipe.main,
        "servings": number_of(recipe.servings),
        "portion": quantity_text(recipe.portion),
        "ingredients": [_ingredient_record(ingredient) for ingredient in recipe.ingredients],
        "steps": list(recipe.steps),
        "hands_on_min": recipe.hands_on_min,
        "elapsed_min": recipe.elapsed_min,
        "fridge_days": recipe.fridge_days,
        "freezer_days": recipe.freezer_days,
    } | _filled(
        batch=recipe.batch or None,
        core_temp_f=recipe.core_temp_f,
        makes=recipe.makes,
        child_note=recipe.child_note,
    )


def protocol_from_record(record: Mapping[str, Any]) -> Protocol:
    """The protocol a record describes; stages are numbered from 1 in their order."""
    return Protocol(
        key=record["key"],
        title=record["title"],
        summary=record["summary"],
        source=record["source"],
        stages=tuple(_stage(row, number) for number, row in enumerate(record["stages"], start=1)),
        rules=tuple(rule_from_record(row) for row in record["rules"]),
        dietitian=record.get("dietitian", False),
        caution=record.get("caution", ""),
        modifiers=tuple(_modifier(row) for row in record.get("modifiers", ())),
        challenges=tuple(_challenge(row) for row in record.get("challenges", ())),
        lead_in=tuple(_lead_in(row) for row in record.get("lead_in", ())),
    )


def protocol_record(protocol: Protocol) -> Record:
    """The record of a protocol."""
    return (
        {
            "key": protocol.key,
            "title": protocol.title,
            "summary": protocol.summary,
            "source": protocol.source,
        }
        | _filled(dietitian=protocol.dietitian or None, caution=protocol.caution)
        | {
            "stages": [_stage_record(stage) for stage in protocol.stages],
            "rules": [rule_record(rule) for rule in protocol.rules],
        }
        | _filled(
            modifiers=[_modifier_record(modifier) for modifier in protocol.modifiers],
            challenges=[_challenge_record(challenge) for challenge in protocol.challenges],
            lead_in=[_lead_in_record(task) for task in protocol.lead_in],
        )
    )


def ingredient_from_record(row: Mapping[str, Any]) -> Ingredient:
    """The line of a recipe a record describes."""
    return Ingredient(
        quantity=decimal_of(row["quantity"]),
        unit=row["unit"],
        food=row["food"],
        form=form_of(row["form"]),
        use=Use(row.get("use", Use.BASE)),
        size=row.get("size", ""),
    )


def _ingredient_record(ingredient: Ingredient) -> Record:
    return {
        "quantity": number_of(ingredient.quantity),
        "unit": ingredient.unit,
        "food": ingredient.food,
        "form": form_text(ingredient.form),
    } | _filled(use=None if ingredient.use is Use.BASE else ingredient.use.value, size=ingredient.size)


def _stage(row: Mapping[str, Any], number: int) -> Stage:
    return Stage(
        key=row["key"],
        number=number,
        title=row["title"],
        aim=row["aim"],
        least_days=row["least_days"],
        usual_days=row["usual_days"],
        most_days=row.get("most_days"),
        moving_on=tuple(row.get("moving_on", ())),
    )


def _stage_record(stage: Stage) -> Record:
    return {
        "key": stage.key,
        "title": stage.title,
        "aim": stage.aim,
        "least_days": stage.least_days,
        "usual_days": stage.usual_days,
    } | _filled(most_days=stage.most_days, moving_on=list(stage.moving_on))


def rule_from_record(row: Mapping[str, Any]) -> Rule:
    """The row of the rules a record describes."""
    return Rule(
        stage=row["stage"],
        allowance=Allowance.from_word(row["allowance"]),
        food=row.get("food", ""),
        group=row.get("group", ""),
        forms=tuple(form_of(text) for text in row.get("forms", ())),
        start=_quantity_or_none(row, "start"),
        step=_quantity_or_none(row, "step"),
        every_days=row.get("every_days"),
        most=_quantity_or_none(row, "most"),
        note=row.get("note", ""),
    )


def rule_record(rule: Rule) -> Record:
    """The record of a row of the rules."""
    return (
        _filled(food=rule.food, group=rule.group)
        | {"stage": rule.stage, "allowance": rule.allowance.word}
        | _filled(
            forms=[form_text(form) for form in rule.forms],
            start=_text_or_none(rule.start),
            step=_text_or_none(rule.step),
            every_days=rule.every_days,
            most=_text_or_none(rule.most),
            note=rule.note,
        )
    )


def _modifier(row: Mapping[str, Any]) -> Modifier:
    return Modifier(
        when=row["when"],
        food=row.get("food", ""),
        group=row.get("group", ""),
        all=row.get("all", False),
        require=form_of(row.get("require", "")),
        allowance=Allowance.from_word(row["allowance"]) if "allowance" in row else None,
        note=row.get("note", ""),
    )


def _modifier_record(modifier: Modifier) -> Record:
    return {"when": modifier.when} | _filled(
        food=modifier.food,
        group=modifier.group,
        all=modifier.all or None,
        require=form_text(modifier.require),
        allowance=None if modifier.allowance is None else modifier.allowance.word,
        note=modifier.note,
    )


def _challenge(row: Mapping[str, Any]) -> Challenge:
    return Challenge(
        key=row["key"],
        title=row["title"],
        food=row["food"],
        form=form_of(row["form"]),
        stage=row["stage"],
        doses=tuple(quantity_of(text) for text in row["doses"]),
        dose_days=row["dose_days"],
        washout_days=row["washout_days"],
        note=row.get("note", ""),
    )


def _challenge_record(challenge: Challenge) -> Record:
    return {
        "key": challenge.key,
        "title": challenge.title,
        "food": challenge.food,
        "form": form_text(challenge.form),
        "stage": challenge.stage,
        "doses": [quantity_text(dose) for dose in challenge.doses],
        "dose_days": challenge.dose_days,
        "washout_days": challenge.washout_days,
    } | _filled(note=challenge.note)


def _lead_in(row: Mapping[str, Any]) -> LeadInTask:
    lists = {name: tuple(row.get(name, ())) for name in ("after", "needs", "makes")}
    return LeadInTask(**{**row, **lists})


def _lead_in_record(task: LeadInTask) -> Record:
    return {
        "key": task.key,
        "title": task.title,
        "kind": task.kind,
        "days_before": task.days_before,
    } | _filled(
        at_least_days=task.at_least_days or None,
        keeps_days=task.keeps_days,
        hands_on_min=task.hands_on_min or None,
        food=task.food,
        note=task.note,
        source=task.source,
        after=list(task.after),
        wait_least_h=task.wait_least_h or None,
        wait_most_h=task.wait_most_h,
        freezer_days=task.freezer_days,
        needs=list(task.needs),
        makes=list(task.makes),
        buy_instead=task.buy_instead,
    )


def _quantity_or_none(row: Mapping[str, Any], name: str) -> Quantity | None:
    return quantity_of(row[name]) if name in row else None


def _text_or_none(quantity: Quantity | None) -> str | None:
    return None if quantity is None else quantity_text(quantity)


def _filled(**fields: Any) -> Record:
    """The fields that say something: zero days are said, empty text, lists and mappings are not."""
    return {name: value for name, value in fields.items() if value is not None and value not in ("", [], {})}
