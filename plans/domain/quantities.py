"""Amounts of foods: how much a cup of this or a piece of that weighs, and how a cook reads it.

Unknown stays unknown: an amount that the food's own figures cannot turn into grams is ``None``, never zero.
"""

from decimal import Decimal

from coaching.domain.units import (
    MASS,
    SPOONS,
    VOLUME,
    Shown,
    System,
    grams_per,
    millilitres_per,
    shown_count,
    shown_mass,
    shown_volume,
)
from plans.domain.book import Food, Recipe

MEASURES = frozenset((*MASS, *VOLUME, "piece"))
"""Units every food may be given in; a food's ``unit_weights`` name more."""


def grams(quantity: Decimal, unit: str, food: Food) -> Decimal | None:
    """An amount of a food in grams, or None when the food does not say what the unit weighs.

    A weight the food states for the unit comes first, then its density, then what another volume unit weighs.
    """
    if unit in MASS:
        return quantity * grams_per(unit)
    if unit in food.unit_weights_g:
        return quantity * food.unit_weights_g[unit]
    measured = _weighed_volume(food) if unit in VOLUME else None
    if measured is None:
        return None
    weight_g, volume_ml = measured
    return quantity * millilitres_per(unit) * weight_g / volume_ml


def millilitres(quantity: Decimal, unit: str, food: Food) -> Decimal | None:
    """An amount of a food in millilitres, or None when the food does not say how much room its weight takes."""
    if unit in VOLUME:
        return quantity * millilitres_per(unit)
    weight = grams(quantity, unit, food)
    density = density_of(food)
    return None if weight is None or density is None else weight / density


def density_of(food: Food) -> Decimal | None:
    """Grams in a millilitre: stated, or from the largest volume unit whose weight is stated."""
    measured = _weighed_volume(food)
    return None if measured is None else measured[0] / measured[1]


def _weighed_volume(food: Food) -> tuple[Decimal, Decimal] | None:
    if food.density_g_per_ml is not None:
        return food.density_g_per_ml, Decimal(1)
    weighed = [unit for unit in VOLUME if unit in food.unit_weights_g]
    if not weighed:
        return None
    largest = max(weighed, key=millilitres_per)
    return food.unit_weights_g[largest], millilitres_per(largest)


def shown(quantity: Decimal, unit: str, food: Food | None, system: System) -> tuple[Shown, ...]:
    """An amount as a cook of ``system`` reads it, rounded once, here.

    Spoons and counts stay as they are. A metric cook weighs what is not poured; a US cook measures with spoons what
    weighs less than an ounce. Both only where the food says what a measure weighs.
    """
    if unit in MASS:
        return _shown_mass(quantity * grams_per(unit), food, system)
    if unit in SPOONS or unit not in VOLUME:
        return shown_count(quantity, unit)
    poured = food is None or food.density_g_per_ml is not None
    weight = None if poured or system == System.US else grams(quantity, unit, food)
    if weight is not None:
        return shown_mass(weight, system)
    return shown_volume(quantity * millilitres_per(unit), system)


def _shown_mass(weight_g: Decimal, food: Food | None, system: System) -> tuple[Shown, ...]:
    density = None if food is None else density_of(food)
    if system == System.US and weight_g < grams_per("oz") and density is not None:
        return shown_volume(weight_g / density, system)
    return shown_mass(weight_g, system)


def room_ml(recipe: Recipe) -> Decimal | None:
    """The room of one portion. A gram takes a millilitre; a portion by the piece is not known."""
    quantity, unit = recipe.portion
    if unit in VOLUME:
        return quantity * millilitres_per(unit)
    return quantity * grams_per(unit) if unit in MASS else None
