"""The least core temperature a dish must name, from what is in it.

USDA/HHS safe minimum internal temperature chart (foodsafety.gov): poultry 165 °F; minced meat, organ meat, rabbit,
venison and egg dishes 160 °F; whole cuts of beef, pork, lamb and fish 145 °F.
"""

from collections.abc import Iterable, Mapping

from plans.domain.book import Food, Form

CHART_F = (145, 160, 165)
_BY_GROUP_F = {"poultry": 165, "game": 160, "offal": 160}
_NOT_HEATED = frozenset({"raw", "dried", "fermented", "cultured", "culture-liquid"})


def least_core_temp_f(ingredients: Iterable[tuple[str, Form]], foods: Mapping[str, Food]) -> int | None:
    """The highest least temperature of the meat, fish and egg in a dish, or None without them.

    ``ingredients`` are food keys with their forms; what is eaten uncooked, cured or cultured does not count.
    """
    ingredients = tuple(ingredients)
    heated = (foods[food] for food, form in ingredients if food in foods and not form & _NOT_HEATED)
    minced = {food for food, form in ingredients if "minced" in form or food.endswith("-mince")}
    found = [degrees for food in heated if (degrees := _least_f(food, food.key in minced))]
    return max(found, default=None)


def group_core_temp_f(group: str) -> int:
    """The least core temperature of meat of a food group in whole cuts."""
    return _BY_GROUP_F.get(group, 145)


def _least_f(food: Food, minced: bool) -> int | None:
    if food.aisle == "meat":
        return max(group_core_temp_f(food.group), 160 if minced else 145)
    if food.aisle == "fish":
        return 145
    return 160 if food.aisle == "eggs-dairy" and "egg" in food.families else None
