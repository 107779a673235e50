"""From which stage a dish is possible, what holds it back, and what change would let it in sooner.

This looks at the bare rules of a protocol, for an eater without exclusions, conditions or limits: what a coach wants to
know while she writes a recipe. First tastes count as if they had been stepped up to their most.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from plans.domain.book import Food, Form, Ingredient, Protocol, Recipe, Stage
from plans.domain.brief import FoodAllowance
from plans.domain.fit import fit
from plans.domain.rulebook import RuleBook, stage_allowances
from plans.domain.vocabulary import COOKING, Allowance, Use

Allowances = Mapping[str, FoodAllowance]
_COOKING = frozenset(COOKING)


class Means(StrEnum):
    """How an ingredient may be let in sooner."""

    FORM = "form"
    FLAVOUR = "flavour"
    LEAVE_OUT = "leave-out"


@dataclass(frozen=True, slots=True)
class Change:
    """A change of one ingredient and the stage at which it is then let in. ``form`` is the new preparation."""

    means: Means
    stage: Stage
    form: Form = frozenset()


@dataclass(frozen=True, slots=True)
class PartPreview:
    """One ingredient: the first stage that lets it in as it is (None: none does) and what would let it in sooner.

    ``is_first_taste``: at that stage only in small amounts, once it has been introduced.
    """

    ingredient: Ingredient
    stage: Stage | None
    is_first_taste: bool = False
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True, slots=True)
class Preview:
    """A dish: its first stage (None: there is none) and the foods that hold it back until then, in recipe order.

    ``without`` is the stage it would be possible from without those foods, if that is sooner. ``left_off`` are the
    foods left off the plate or out of the pot at the first stage.
    """

    stage: Stage | None
    parts: tuple[PartPreview, ...]
    held_by: tuple[str, ...] = ()
    without: Stage | None = None
    left_off: tuple[str, ...] = ()


def dish_of(ingredients: Iterable[Ingredient], servings: Decimal) -> Recipe:
    """Ingredients as a recipe that is not finished yet."""
    return Recipe(
        key="",
        title="",
        kind="",
        slots=(),
        main="",
        servings=servings,
        portion=(Decimal(1), "g"),
        ingredients=tuple(ingredients),
        steps=(),
        hands_on_min=0,
        elapsed_min=0,
        fridge_days=0,
        freezer_days=0,
        batch=False,
    )


def preview(recipe: Recipe, protocol: Protocol, foods: Mapping[str, Food]) -> Preview:
    """When a protocol lets a recipe in, and each of its ingredients.

    The rules are compiled for the recipe's own foods only, so this is quick however large the book is.
    """
    used = {part.food: foods[part.food] for part in recipe.ingredients if part.food in foods}
    return _Look(protocol, used).at(recipe)


def changed(ingredient: Ingredient, change: Change) -> Ingredient:
    """The ingredient after a change; what is left out stays as something that may be left out."""
    if change.means is Means.FORM:
        return replace(ingredient, form=change.form)
    return replace(ingredient, use=Use.FLAVOUR if change.means is Means.FLAVOUR else Use.OPTIONAL)


class _Look:
    """One protocol over the foods of one recipe."""

    def __init__(self, protocol: Protocol, foods: Mapping[str, Food]) -> None:
        book = RuleBook.compile(protocol, foods.values())
        self.foods = foods
        self.stages = protocol.stages
        self.given: list[Allowances] = [stage_allowances(book, stage.key) for stage in protocol.stages]

    def at(self, recipe: Recipe) -> Preview:
        place = self._first(recipe)
        parts = tuple(self._part(recipe, part) for part in recipe.ingredients)
        now = len(self.stages) - 1 if place is None else place
        held_by = self._fit(recipe, now if place is None else place - 1).blocked if place != 0 else ()
        rest = tuple(
            part for part in recipe.ingredients if part.use is not Use.BASE or part.food not in held_by
        )
        sooner = self._first(replace(recipe, ingredients=rest)) if held_by and rest else None
        is_sooner = sooner is not None and (place is None or sooner < place)
        return Preview(
            stage=self._stage(place),
            parts=parts,
            held_by=held_by,
            without=self._stage(sooner) if is_sooner else None,
            left_off=self._fit(recipe, now).without,
        )

    def _part(self, recipe: Recipe, part: Ingredient) -> PartPreview:
        place = self._first_of(recipe, part)
        given = None if place is None else self.given[place][part.food]
        return PartPreview(
            ingredient=part,
            stage=self._stage(place),
            is_first_taste=given is not None and given.allowance is Allowance.FIRST_TASTES,
            changes=() if place == 0 else tuple(self._changes(recipe, part, place)),
        )

    def _changes(self, recipe: Recipe, part: Ingredient, place: int | None) -> Iterator[Change]:
        end = len(self.stages) if place is None else place
        prepared = min(self._prepared(recipe, part, end), default=None)
        if prepared is not None:
            sooner, _effort, words = prepared
            yield Change(Means.FORM, self.stages[sooner], frozenset(words))
        if part.use is not Use.FLAVOUR:
            sooner = self._first_of(recipe, replace(part, use=Use.FLAVOUR))
            if sooner is not None and sooner < end:
                yield Change(Means.FLAVOUR, self.stages[sooner])
        if part.use is Use.BASE and len(recipe.ingredients) > 1:
            yield Change(Means.LEAVE_OUT, self.stages[0])

    def _prepared(
        self, recipe: Recipe, part: Ingredient, end: int
    ) -> Iterator[tuple[int, int, tuple[str, ...]]]:
        """Preparations that are let in before ``end``: when, how many words differ, and the words."""
        asked = (
            {form for given in self.given[:end] for form in given[part.food].forms}
            if self._known(part)
            else ()
        )
        for form in asked:
            wanted = _prepared_for(part.form, form)
            sooner = self._first_of(recipe, replace(part, form=wanted))
            if sooner is not None and sooner < end:
                yield sooner, len(wanted ^ part.form), tuple(sorted(wanted))

    def _first(self, recipe: Recipe) -> int | None:
        return next((place for place in range(len(self.stages)) if self._fit(recipe, place).ok), None)

    def _first_of(self, recipe: Recipe, part: Ingredient) -> int | None:
        """The first stage at which an ingredient, were it alone, is in the dish and not left out of it."""
        alone = replace(recipe, ingredients=(part,))
        fits = (self._fit(alone, place) for place in range(len(self.stages)))
        return next((place for place, found in enumerate(fits) if found.ok and not found.without), None)

    def _fit(self, recipe: Recipe, place: int):
        return fit(recipe, self.given[place], self.foods)

    def _known(self, part: Ingredient) -> bool:
        return part.food in self.foods

    def _stage(self, place: int | None) -> Stage | None:
        return None if place is None else self.stages[place]


def _prepared_for(form: Form, asked: Form) -> Form:
    """A preparation that meets what is asked with the least change: cooking is exchanged, work is only added."""
    is_cooked_so = asked & _COOKING <= form
    return form | asked if is_cooked_so else (form - _COOKING) | asked
