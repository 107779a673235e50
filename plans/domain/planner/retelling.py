"""A revised week as people read it: what stands keeps its keys and its reasons, what is new says in place of what."""

from collections.abc import Iterator
from dataclasses import replace

from plans.domain.brief import Brief, Cook, Plate, Reason, Week
from plans.domain.fit import OUT_OF_THE_POT, out_of_the_pot
from plans.domain.planner.shown import Shown, gone_foods
from plans.domain.planner.today import meal_of
from plans.domain.vocabulary import Slot, Use

Pot = tuple[str, int]


def retell(week: Week, shown: Shown, brief: Brief) -> Week:
    """The week that the solver found, with the past as it was and the shown pots under their keys."""
    before = shown.revision.shown
    pots = {cook.key: (cook.recipe, (cook.on - brief.start).days) for cook in week.cooks}
    keys = {key: shown.pots[pot].key if pot in shown.pots else key for key, pot in pots.items()}
    lacking = {key: _lacks(shown, cook, pots[key]) for key, cook in ((cook.key, cook) for cook in week.cooks)}
    plates = tuple(
        _plate(shown, plate, pots[plate.cook], keys[plate.cook], lacking[plate.cook], brief)
        for plate in week.plates
        if not shown.is_eaten(meal_of(brief, plate))
    )
    plates = (*(plate for plate in before.plates if shown.is_eaten(meal_of(brief, plate))), *plates)
    cooks = tuple(
        replace(cook, key=keys[cook.key], without=lacking[cook.key])
        for cook in week.cooks
        if not shown.past(pots[cook.key])
    )
    cooks = (*(cook for pot, cook in shown.pots.items() if shown.past(pot)), *cooks)
    slots = {slot: place for place, slot in enumerate(Slot)}
    told = replace(
        week,
        cooks=tuple(sorted(cooks, key=lambda cook: (cook.on, cook.recipe))),
        plates=tuple(sorted(plates, key=lambda plate: (plate.on, slots[plate.slot]))),
    )
    return replace(told, cooks=tuple(_with_reasons(told, shown, brief)))


def _lacks(shown: Shown, cook: Cook, pot: Pot) -> tuple[str, ...]:
    """What is not in a pot: as it was cooked, or as it will be with what there is."""
    if shown.past(pot) and pot in shown.pots:
        return shown.pots[pot].without
    recipe = shown.setting.dishes[pot[0]].recipe
    gone = out_of_the_pot(recipe, gone_foods(shown, pot[1]))
    return tuple(sorted(gone.union(cook.without))) if gone else cook.without


def _plate(shown: Shown, plate: Plate, pot: Pot, key: str, lacking: tuple[str, ...], brief: Brief) -> Plate:
    """A plate from a pot that lacks some foods. A food that has gone is on no plate any more either."""
    recipe = shown.setting.dishes[pot[0]].recipe
    in_pots = {line.food for line in recipe.ingredients if line.use in OUT_OF_THE_POT}
    gone = gone_foods(shown, meal_of(brief, plate)[0])
    off = dict.fromkeys(food for food in plate.without if food not in in_pots or food in lacking)
    off |= dict.fromkeys(lacking)
    off |= dict.fromkeys(
        line.food for line in recipe.ingredients if line.use is Use.PLATE and line.food in gone
    )
    return replace(plate, cook=key, without=tuple(off))


def _with_reasons(week: Week, shown: Shown, brief: Brief) -> Iterator[Cook]:
    before = {cook.key: cook for cook in shown.revision.shown.cooks}
    stands = _bare(week) == _bare(shown.revision.shown)
    for cook in week.cooks:
        was, pot = before.get(cook.key), (cook.recipe, (cook.on - brief.start).days)
        if was is not None and (
            stands
            or shown.past(pot)
            or (_plates_of(week, cook) == _plates_of(shown.revision.shown, was) and not _makes(shown, cook))
        ):
            why = was.why
        else:
            why = (*_because(week, cook, was, shown, brief), *cook.why)
        if not shown.past(pot):
            why = (*why, *(reason for reason in _not_from(shown, pot) if reason not in why))
        yield replace(cook, why=why)


def _not_from(shown: Shown, pot: Pot) -> Iterator[Reason]:
    """The stock in the house that does not suit everyone any more, and that a dish must not be made with."""
    dishes = shown.setting.dishes
    makes = {recipe.key: recipe.makes for recipe in shown.setting.brief.recipes}
    for stock in sorted(shown.pots, key=lambda stock: (stock[1], stock[0])):
        if (
            shown.past(stock)
            and stock not in shown.shared
            and makes.get(stock[0]) in dishes[pot[0]].draws_ml
            and (stock[0] not in dishes or dishes[stock[0]].source(stock[1], pot[1]))
        ):
            yield Reason("not-the-stock-of", {"on": shown.setting.on(stock[1]).isoformat()})


def _bare(week: Week) -> tuple[frozenset[Cook], frozenset[Plate]]:
    return frozenset(replace(cook, why=()) for cook in week.cooks), frozenset(week.plates)


def _plates_of(week: Week, cook: Cook) -> frozenset[Plate]:
    return frozenset(plate for plate in week.plates if plate.cook == cook.key)


def _makes(shown: Shown, cook: Cook) -> bool:
    return bool(shown.setting.dishes[cook.recipe].recipe.makes)


def _because(week: Week, cook: Cook, was: Cook | None, shown: Shown, brief: Brief) -> Iterator[Reason]:
    """Why a pot is not as it was shown."""
    if was is not None:
        if was.portions != cook.portions:
            yield Reason("resized", {"before": f"{was.portions:f}", "after": f"{cook.portions:f}"})
        return
    stays = {other.key for other in week.cooks}
    moved = [
        other
        for other in shown.revision.shown.cooks
        if other.recipe == cook.recipe and other.key not in stays
    ]
    if moved:
        yield Reason("moved-from", {"on": moved[0].on.isoformat()})
        return
    titles = {recipe.key: recipe.title for recipe in brief.recipes}
    recipes = {other.key: other.recipe for other in shown.revision.shown.cooks}
    meals = {(plate.eater, plate.on, plate.slot) for plate in week.plates if plate.cook == cook.key}
    replaced = dict.fromkeys(
        titles.get(recipe, recipe)
        for plate in shown.revision.shown.plates
        if (plate.eater, plate.on, plate.slot) in meals and (recipe := recipes[plate.cook]) != cook.recipe
    )
    if replaced:
        yield Reason("in-place-of", {"dish": ", ".join(replaced)})
