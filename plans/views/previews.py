"""From which stage a dish is possible and what would make it so sooner, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from plans import selectors
from plans.domain.book import Food, Ingredient, Recipe, Stage
from plans.domain.filing.recipes import read_ingredients
from plans.domain.preview import Change, Means, PartPreview, Preview, dish_of, preview
from plans.domain.vocabulary import HANDLING, Use
from plans.printables.words import forms_words, listed, sentence_case, short_names

if TYPE_CHECKING:
    from plans.models import ProtocolVersion

_DO = {
    "peeled": gettext_lazy("peel it"),
    "deseeded": gettext_lazy("take the seeds out"),
    "pureed": gettext_lazy("purée it"),
    "minced": gettext_lazy("mince it"),
    "grated": gettext_lazy("grate it"),
    "soaked": gettext_lazy("soak it"),
    "boned": gettext_lazy("take the bones out"),
    "skinned": gettext_lazy("take the skin off"),
    "strained": gettext_lazy("strain it"),
    "yolk-only": gettext_lazy("use the yolk only"),
    "pitted": gettext_lazy("take the stone out"),
}
_UNTIL_THEN = {
    Use.PLATE: gettext_lazy("Before, it is left off the plate."),
    Use.OPTIONAL: gettext_lazy("Before, it is left out of the pot."),
    Use.FLAVOUR: gettext_lazy("Before, it is left out of the pot."),
}


@dataclass(frozen=True, slots=True)
class PreviewWords:
    """A preview as it is read: about the dish in sentences, and about each ingredient; none for one not readable."""

    dish: tuple[str, ...]
    parts: tuple[tuple[str, ...], ...] = ()


def previews_of(
    recipe: Recipe, versions: Iterable["ProtocolVersion"], foods: Mapping[str, Food]
) -> list[dict[str, Any]]:
    """What each of these protocols says of a saved recipe, for its page."""
    return [_preview_row(recipe, version, foods) for version in versions]


def typed_preview(
    rows: list[Mapping[str, str]], servings: str, version: "ProtocolVersion", foods: Mapping[str, Food]
) -> PreviewWords:
    """What a protocol says of ingredients as they are being typed, a row each. Without servings one is taken.

    A blank row has no words; a row that cannot be read yet says so.
    """
    read = read_ingredients(rows, foods.values())
    is_blank = [not any(value for name, value in row.items() if name != "use") for row in rows]
    there = tuple(part for part in read if part is not None)
    if not there:
        return PreviewWords(
            (
                _(
                    "Fill in an ingredient’s food, amount and preparation to see from which stage it is possible."
                ),
            ),
            tuple(_unread(blank) for blank in is_blank),
        )
    found = preview(dish_of(there, _servings(servings)), selectors.protocol_of(version), foods)
    said = iter(_part_words(part) for part in found.parts)
    parts = tuple(
        _unread(blank) if part is None else next(said) for part, blank in zip(read, is_blank, strict=True)
    )
    missing = sum(part is None and not blank for part, blank in zip(read, is_blank, strict=True))
    waiting = ngettext(
        "%d ingredient cannot be judged yet and is not counted.",
        "%d ingredients cannot be judged yet and are not counted.",
        missing,
    )
    dish = _dish_words(found, foods)
    return PreviewWords((*dish, waiting % missing) if missing else dish, parts)


def _preview_row(recipe: Recipe, version: "ProtocolVersion", foods: Mapping[str, Food]) -> dict[str, Any]:
    found = preview(recipe, selectors.protocol_of(version), foods)
    named = zip(recipe.ingredients, found.parts, strict=True)
    return {
        "version": version,
        "dish": _dish_words(found, foods),
        "parts": [{"food": _name(part, foods), "said": _part_words(told)} for part, told in named],
    }


def _dish_words(found: Preview, foods: Mapping[str, Food]) -> tuple[str, ...]:
    names = short_names(
        food for key, food in foods.items() if key in {part.ingredient.food for part in found.parts}
    )

    def named(keys: Iterable[str]) -> str:
        return listed([names.get(key, key) for key in keys])

    if found.stage is None:
        said = [_("Not possible at any stage.")]
    elif not found.held_by:
        said = [_("Possible from the first stage (%(title)s).") % {"title": found.stage.title}]
    else:
        said = [_("Possible from %(stage)s.") % {"stage": _stage_words(found.stage)}]
    if found.held_by:
        facts = {"foods": named(found.held_by)}
        holds = ngettext("%(foods)s holds it back", "%(foods)s hold it back", len(found.held_by)) % facts
        if found.without is not None:
            without = ngettext("without it from %(stage)s", "without them from %(stage)s", len(found.held_by))
            holds = f"{holds}; {without % {'stage': _stage_words(found.without)}}"
        said.append(f"{sentence_case(holds)}.")
    if found.left_off and found.stage is not None:
        said.append(_("Left out at that stage: %(foods)s.") % {"foods": named(found.left_off)})
    return tuple(said)


def _part_words(part: PartPreview) -> tuple[str, ...]:
    said = []
    if part.stage is None:
        said.append(_("At no stage as it is here."))
    elif part.is_first_taste:
        words = _("From %(stage)s, as a first taste: once it has been introduced, in small amounts.")
        said.append(words % {"stage": _stage_words(part.stage)})
    else:
        said.append(_("From %(stage)s.") % {"stage": _stage_words(part.stage)})
    if part.ingredient.use in _UNTIL_THEN and (part.stage is None or part.stage.number > 1):
        said.append(str(_UNTIL_THEN[part.ingredient.use]))
    for change in part.changes:
        facts = {"stage": _stage_words(change.stage), "change": _change_words(change, part.ingredient)}
        said.append(_("From %(stage)s if you %(change)s.") % facts)
    return tuple(said)


def _change_words(change: Change, part: Ingredient) -> str:
    if change.means is Means.FLAVOUR:
        return _("take it out before serving (flavour)")
    if change.means is Means.LEAVE_OUT:
        return _("leave it out, or let it be left out (optional)")
    added = [word for word in HANDLING if word in change.form - part.form]
    if part.form <= change.form and len(added) == len(change.form - part.form):
        return listed([str(_DO[word]) for word in added])
    return _("prepare it %(form)s") % {"form": forms_words((change.form,))}


def _stage_words(stage: Stage) -> str:
    return _("stage %(number)d (%(title)s)") % {"number": stage.number, "title": stage.title}


def _unread(is_blank: bool) -> tuple[str, ...]:
    return (
        () if is_blank else (_("Cannot be judged yet: food, amount or preparation is missing or mistyped."),)
    )


def _servings(typed: str) -> Decimal:
    try:
        servings = Decimal(typed.strip() or 1)
    except InvalidOperation:
        return Decimal(1)
    return servings if servings.is_finite() and 0 < servings <= 500 else Decimal(1)


def _name(part: Ingredient, foods: Mapping[str, Food]) -> str:
    return foods[part.food].name if part.food in foods else part.food
