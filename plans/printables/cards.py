"""Recipe cards, scaled to what this household cooks: how hot, how long it keeps, who leaves out what."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System, celsius, whole
from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.brief import Brief, BriefEater, Cook, Plate, Week
from plans.domain.limits import younger_than
from plans.domain.vocabulary import Use
from plans.printables import safety
from plans.printables.cautions import rest_words
from plans.printables.facts import Card, CardIngredient
from plans.printables.week import whole_pot_without, without_words
from plans.printables.words import (
    amount_words,
    date_words,
    day_words,
    listed,
    portions_words,
    preparation_words,
    sentence_case,
    short_names,
    span_words,
)

MARK = {
    Use.BASE: "",
    Use.OPTIONAL: gettext_lazy("may be left out"),
    Use.FLAVOUR: gettext_lazy("take it out before serving"),
    Use.PLATE: gettext_lazy("for each portion, on the plate"),
}
TODDLER_MONTHS = 60
"""Notes on serving a small child are printed when someone under five eats along; most choking advice ends at four
(USDA MyPlate), UK advice on whole nuts at five."""
WHOLE_CUT_F = 145
BONES = "bones"
"""The group of what is only boiled out: a stock has no cut that could rest."""


def cards(*, week: Week, brief: Brief, system: System) -> tuple[Card, ...]:
    """One card for each way a dish is cooked: the same dish in the same amount on two days shares a card.

    Cards come in the order of the first cooking day.
    """
    plates: dict[str, list[Plate]] = defaultdict(list)
    for plate in week.plates:
        plates[plate.cook].append(plate)
    alike: dict[tuple[str, Decimal, tuple[str, ...], frozenset[str]], list[Cook]] = defaultdict(list)
    eaters = {eater.key: eater for eater in brief.eaters}
    names = short_names(brief.foods.values())
    recipes = {recipe.key: recipe for recipe in brief.recipes}
    for cook in sorted(week.cooks, key=lambda cook: (cook.on, cook.key)):
        recipe = recipes[cook.recipe]
        left_out = whole_pot_without(cook, recipe, plates[cook.key])
        notes = _plate_notes(plates[cook.key], left_out, eaters, names)
        alike[cook.recipe, cook.portions, notes, left_out].append(cook)
    return tuple(
        _card(
            recipes[key],
            cooked,
            notes=notes,
            left_out=left_out,
            brief=brief,
            system=system,
            toddler=any(_toddler_eats(plates[cook.key], eaters) for cook in cooked),
        )
        for (key, _portions, notes, left_out), cooked in alike.items()
    )


def _card(
    recipe: Recipe,
    cooked: list[Cook],
    *,
    notes: tuple[str, ...],
    left_out: frozenset[str],
    brief: Brief,
    system: System,
    toddler: bool,
) -> Card:
    portions = cooked[0].portions
    share = portions / recipe.servings
    names = short_names(brief.foods.values())
    pot = [_("Whole pot: without %(foods)s") % {"foods": listed([names[food] for food in sorted(left_out)])}]
    return Card(
        title=recipe.title,
        cooked=tuple(day_words(cook.on) for cook in cooked),
        yields=_("%(portions)s of %(size)s")
        % {"portions": portions_words(portions), "size": amount_words(*recipe.portion, None, system)},
        times=_("%(work)s of work, %(all)s in all")
        % {"work": span_words(recipe.hands_on_min), "all": span_words(recipe.elapsed_min)},
        ingredients=tuple(
            _ingredient(line, share, recipe, brief.foods, system)
            for line in recipe.ingredients
            if not (line.use is Use.OPTIONAL and line.food in left_out)
        ),
        steps=recipe.steps,
        plates=(*(pot if left_out else ()), *notes),
        core=core_words(recipe, brief.foods),
        cooling=cooling_words(),
        keeps=keeping_words(recipe, [cook.on for cook in cooked], freezer=brief.kitchen.freezer),
        child_note=recipe.child_note if toddler else "",
    )


def _ingredient(
    line: Ingredient, share: Decimal, recipe: Recipe, foods: Mapping[str, Food], system: System
) -> CardIngredient:
    food = foods.get(line.food)
    quantity = line.quantity / recipe.servings if line.use is Use.PLATE else line.quantity * share
    how = [words for words in (preparation_words(line.form), line.size) if words]
    return CardIngredient(
        amount=amount_words(quantity, line.unit, food, system),
        food=food.name if food else sentence_case(line.food),
        how="; ".join(how),
        mark=str(MARK[line.use]),
    )


def _plate_notes(
    plates: Iterable[Plate],
    left_out: frozenset[str],
    eaters: Mapping[str, BriefEater],
    names: Mapping[str, str],
) -> tuple[str, ...]:
    """Who leaves out what, those who leave out the same named together."""
    who: dict[tuple[str, ...], set[str]] = defaultdict(set)
    for plate in plates:
        own = tuple(food for food in plate.without if food not in left_out)
        if own:
            who[own].add(plate.eater)
    return tuple(
        without_words(listed([eater.name for key, eater in eaters.items() if key in together]), foods, names)
        for foods, together in who.items()
    )


def _toddler_eats(plates: Iterable[Plate], eaters: Mapping[str, BriefEater]) -> bool:
    return any(younger_than(eaters[plate.eater].born, plate.on, months=TODDLER_MONTHS) for plate in plates)


def core_words(recipe: Recipe, foods: Mapping[str, Food]) -> str:
    """``165 °F (74 °C) in the thickest part``; whole cuts of meat at 145 °F rest for three minutes."""
    if recipe.core_temp_f is None:
        return ""
    words = _("%(fahrenheit)d °F (%(celsius)d °C) in the thickest part") % {
        "fahrenheit": recipe.core_temp_f,
        "celsius": whole(celsius(Decimal(recipe.core_temp_f))),
    }
    used = [foods[line.food] for line in recipe.ingredients if line.food in foods]
    has_meat = any(food.aisle == "meat" and food.group != BONES for food in used)
    if has_meat and recipe.core_temp_f == WHOLE_CUT_F:
        words += ", " + rest_words(3)
    return f"{words}."


def cooling_words() -> str:
    """The cooling clock every card carries."""
    return _("Chill what is left within %(hours)d hours, in shallow dishes.") % {
        "hours": safety.CHILL_WITHIN_HOURS
    }


def keeping_words(recipe: Recipe, cooked_on: Iterable[date], *, freezer: bool) -> tuple[str, ...]:
    """Until when to eat it, for each cooking day: the recipe's days, but never more than the published chart's."""
    fridge_days = min(recipe.fridge_days, safety.FRIDGE_MOST_DAYS)
    freezer_days = min(recipe.freezer_days, safety.FREEZER_BEST_DAYS) if freezer else 0
    words = []
    for on in cooked_on:
        if fridge_days:
            line = _("Cooked %(day)s: eat by %(by)s.") % {
                "day": day_words(on),
                "by": day_words(on + timedelta(days=fridge_days)),
            }
        else:
            line = _("Cooked %(day)s: eat at once, it does not keep.") % {"day": day_words(on)}
        if freezer_days:
            line += " " + _("Frozen the same day: best by %(by)s.") % {
                "by": date_words(on + timedelta(days=freezer_days))
            }
        words.append(line)
    if fridge_days or freezer_days:
        words.append(
            _("Reheat to %(fahrenheit)d °F (%(celsius)d °C).")
            % {"fahrenheit": safety.REHEAT_F, "celsius": whole(celsius(Decimal(safety.REHEAT_F)))}
        )
    return tuple(words)
