"""Nutrients of foods: what 100 g holds, and what an amount of several foods adds up to.

The figures are those of USDA FoodData Central (public domain), per 100 g edible portion and mostly of the raw food;
nothing is taken off for what cooking loses. Unknown stays unknown: a blank is no zero, so a total says for which
foods it lacks the figure and how much of the weight it covers.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from types import MappingProxyType

from plans.domain.book import Food, Recipe
from plans.domain.fit import portion_grams
from plans.domain.records import decimal_of
from plans.domain.vocabulary import Use

UNITS: Mapping[str, str] = MappingProxyType(
    {
        "energy_kcal": "kcal",
        "protein_g": "g",
        "fat_g": "g",
        "carb_g": "g",
        "fibre_g": "g",
        "calcium_mg": "mg",
        "iron_mg": "mg",
        "magnesium_mg": "mg",
        "potassium_mg": "mg",
        "sodium_mg": "mg",
        "zinc_mg": "mg",
        "vit_a_rae_ug": "µg",
        "vit_c_mg": "mg",
        "vit_d_ug": "µg",
        "vit_e_mg": "mg",
        "vit_k_ug": "µg",
        "thiamin_mg": "mg",
        "riboflavin_mg": "mg",
        "niacin_mg": "mg",
        "b6_mg": "mg",
        "folate_ug": "µg",
        "b12_ug": "µg",
        "choline_mg": "mg",
        "selenium_ug": "µg",
    }
)
"""Every nutrient in the order of the table, and the unit its figures are in.

Carbohydrate is by difference, so a lean meat may come out slightly below zero. Vitamin A is in retinol activity
equivalents, vitamin K is phylloquinone, niacin is preformed only, folate is total folate.
"""

PER_G = Decimal(100)
"""Grams that the figures of a row are for."""


OWN = "own"
"""The data type of figures a practice gave itself."""


@dataclass(frozen=True, slots=True)
class NutrientRow:
    """What 100 g of the edible part of a food holds; a nutrient that is not known is not in ``per_100_g``.

    ``fdc_description`` and ``data_type`` name the row of FoodData Central the figures are taken from; for a practice's
    own figures (``OWN``) the description is their source.
    """

    food: str
    fdc_description: str
    data_type: str
    per_100_g: Mapping[str, Decimal]


@dataclass(frozen=True, slots=True)
class NutrientTotal:
    """One nutrient of an amount of foods, in the unit ``UNITS`` gives.

    ``value`` sums what is known and is None when nothing is; with any food in ``unknown_for`` it is "at least".
    ``coverage`` is the share of the weight, 0 to 1, that the value is known for.
    """

    value: Decimal | None
    coverage: Decimal
    unknown_for: tuple[str, ...]


Table = Mapping[str, NutrientRow]
Totals = Mapping[str, NutrientTotal]


def nutrients_from_rows(rows: Iterable[Mapping[str, str]]) -> dict[str, NutrientRow]:
    """The table by food key, from rows of text such as a CSV reader gives.

    Raises KeyError for a missing column, ValueError for a food named twice or a figure that is no finite number.
    """
    table: dict[str, NutrientRow] = {}
    for row in rows:
        food = row["food"]
        if food in table:
            raise ValueError(f"{food!r} has two rows")
        figures = {nutrient: row[nutrient].strip() for nutrient in UNITS}
        table[food] = NutrientRow(
            food=food,
            fdc_description=row["fdc_description"],
            data_type=row["data_type"],
            per_100_g=MappingProxyType(
                {nutrient: _figure(text) for nutrient, text in figures.items() if text}
            ),
        )
    return table


def table_for(foods: Mapping[str, Food], table: Table) -> Table:
    """The table as a practice's foods have it.

    Figures a practice gave itself take the place of the whole row, so that two sources never mix and what they leave
    out is unknown; ``nutrients_like`` borrows the row of another food.
    """
    own = ((key, _own_row(food, table)) for key, food in foods.items())
    return {**table, **{key: row for key, row in own if row is not None}}


def total(amounts: Mapping[str, Decimal], table: Table) -> Totals:
    """All nutrients of these amounts: edible grams by food key. Nothing at all is a known zero.

    A food without a row is unknown in every nutrient. Raises ValueError for an amount below zero.
    """
    if any(grams < 0 for grams in amounts.values()):
        raise ValueError("an amount below zero")
    eaten = {food: grams for food, grams in amounts.items() if grams}
    return {nutrient: _total_of(nutrient, eaten, table) for nutrient in UNITS}


def portion_totals(recipe: Recipe, foods: Mapping[str, Food], table: Table) -> Totals:
    """What one adult portion of a recipe holds, from its ingredients as they go in; flavours count nothing.

    Cooking losses are not counted, so a boiled dish keeps somewhat less of some vitamins. An ingredient that cannot be
    weighed has no amount to sum; it is named as unknown for every nutrient.
    """
    amounts: dict[str, Decimal] = {}
    unweighed: list[str] = []
    for ingredient, grams in zip(recipe.ingredients, portion_grams(recipe, foods), strict=True):
        if ingredient.use is Use.FLAVOUR:
            continue
        if grams.is_finite():
            amounts[ingredient.food] = amounts.get(ingredient.food, Decimal(0)) + grams
        else:
            unweighed.append(ingredient.food)
    totals = total(amounts, table)
    if not unweighed:
        return totals
    return {
        nutrient: replace(found, unknown_for=(*found.unknown_for, *dict.fromkeys(unweighed)))
        for nutrient, found in totals.items()
    }


def _own_row(food: Food, table: Table) -> NutrientRow | None:
    if food.nutrients:
        return NutrientRow(food.key, food.nutrients_source, OWN, food.nutrients)
    return table.get(food.nutrients_like)


def _total_of(nutrient: str, eaten: Mapping[str, Decimal], table: Table) -> NutrientTotal:
    known = {
        food: table[food].per_100_g[nutrient]
        for food in eaten
        if food in table and nutrient in table[food].per_100_g
    }
    weight = sum(eaten.values(), Decimal(0))
    covered = sum((eaten[food] for food in known), Decimal(0))
    value = sum((figure * eaten[food] / PER_G for food, figure in known.items()), Decimal(0))
    return NutrientTotal(
        value=value if known or not eaten else None,
        coverage=covered / weight if weight else Decimal(1),
        unknown_for=tuple(food for food in eaten if food not in known),
    )


def _figure(text: str) -> Decimal:
    figure = decimal_of(text)
    if not figure.is_finite():
        raise ValueError(f"{text!r} is not a number")
    return figure
