"""Writing a recipe: a new one, one of the book, or one that came from elsewhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.practice.access import coaches
from plans import selectors
from plans.access import protocols_for, recipe_for, recipes_for
from plans.domain.book import Food
from plans.domain.filing.lookup import FoodLookup
from plans.domain.filing.recipes import INGREDIENT
from plans.domain.ingredient_lines import IngredientLine, read_ingredient
from plans.domain.jsonld import draft_of, read_jsonld
from plans.domain.quantities import MEASURES
from plans.domain.vocabulary import COOKING, HANDLING
from plans.forms.recipes import (
    IngredientForms,
    LinesForm,
    RecipeForm,
    initial_of,
    key_of,
    row_of,
    show_problems,
)
from plans.forms.uploads import JsonLdForm
from plans.services import recipes as services
from plans.services.photos import PhotoWish
from plans.services.putting import MayBeThere
from plans.views.previews import PreviewWords, typed_preview
from plans.views.uploads import problem_rows
from plans.wording import DOUBT

if TYPE_CHECKING:
    from plans.models import Recipe, RecipePhoto

LAID_OUT_BY = ("more", "read", "show")
"""Buttons that lay the form out again, with more in it, and save nothing."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The form as it is to be shown. ``doubts`` go with the rows in their order; ``lines`` wait to be read."""

    form: RecipeForm
    rows: Any
    row: "Recipe | None" = None
    photo: "RecipePhoto | None" = None
    doubts: Sequence[Sequence[str]] = ()
    lines: LinesForm = field(default_factory=LinesForm)
    like: Sequence[Mapping[str, Any]] = ()
    is_review: bool = False


@require_http_methods(["GET", "POST"])
@coaches
def recipe_new(request: HttpRequest) -> HttpResponse:
    """Write a new recipe."""
    if request.method == "POST":
        return _written(request, None)
    return _form_page(request, Sheet(RecipeForm(), IngredientForms(prefix="part")))


@require_http_methods(["GET", "POST"])
@coaches
def recipe_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change a recipe. Weeks already planned keep what they were planned with."""
    row = recipe_for(request.member, pk)
    if request.method == "POST":
        return _written(request, row)
    photo = selectors.photo_of(row)
    values, parts = initial_of(draft_of(selectors.recipe_of(row)))
    values["photo_alt"] = photo.alt if photo else ""
    form = RecipeForm(initial=values, has_photo=photo is not None)
    return _form_page(request, Sheet(form, IngredientForms(initial=parts, prefix="part"), row, photo))


@require_http_methods(["GET", "POST"])
@coaches
def recipe_read(request: HttpRequest) -> HttpResponse:
    """Read a recipe from JSON-LD, and lay it out to be looked over before it is saved."""
    form = JsonLdForm(request.POST or None, request.FILES or None)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST" and form.is_valid():
        draft, problems = None, form.problems
        if not problems:
            foods = selectors.foods_of(request.member.practice)
            draft, problems = read_jsonld(form.cleaned_data["text"], foods.values())
        if draft is not None:
            values, parts = initial_of(draft)
            rows = IngredientForms(initial=parts, prefix="part")
            doubts = [line.doubts for line in draft.ingredients]
            return _form_page(request, Sheet(RecipeForm(initial=values), rows, doubts=doubts, is_review=True))
        form = JsonLdForm(initial={"text": form.cleaned_data["text"]})
    context = {"form": form, **problem_rows(problems, str(form["text"].value() or ""))}
    return render(request, "plans/recipe_read.html", context)


@require_POST
@coaches
def recipe_lines(request: HttpRequest) -> HttpResponse:
    """What is read from the lines typed so far; nothing is kept."""
    foods = selectors.foods_of(request.member.practice)
    form = LinesForm(request.POST)
    read = _read(form, foods)
    context = {
        "form": form,
        "lines": [
            {
                "line": line,
                "food": foods[line.food].name if line.food in foods else "",
                "doubts": [DOUBT[doubt] for doubt in line.doubts],
            }
            for line in read
        ],
    }
    return render(request, "plans/_recipe_lines.html", context)


@require_POST
@coaches
def recipe_preview(request: HttpRequest) -> HttpResponse:
    """From which stage what is typed so far is possible; nothing is kept."""
    rows = IngredientForms(request.POST, prefix="part")
    said, _versions = _previewed(request, rows, selectors.foods_of(request.member.practice))
    parts = (
        [] if said is None else [(part.prefix, words) for part, words in zip(rows, said.parts, strict=True)]
    )
    return render(request, "plans/_recipe_preview.html", {"preview": said, "parts": parts, "is_part": True})


def _written(request: HttpRequest, row: "Recipe | None") -> HttpResponse:
    photo = selectors.photo_of(row) if row else None
    form = RecipeForm(request.POST, request.FILES, has_photo=photo is not None)
    rows, lines = IngredientForms(request.POST, prefix="part"), LinesForm(request.POST)
    if any(name in request.POST for name in LAID_OUT_BY) or lines["lines"].value():
        return _laid_out(request, form, rows, lines, row, photo)
    like: list[dict[str, Any]] = []
    if form.is_valid() and rows.is_valid():
        filled = [part for part in rows if not part.is_blank]
        values = form.values() | {"ingredients": [part.values() for part in filled]}
        try:
            saved = services.recipe_write(
                practice=request.member.practice,
                values={"key": key_of(values["title"]), **values},
                replaces=row,
                photo=_wish(form, photo),
                anyway="anyway" in request.POST,
                by=request.member.user,
                at=clock.now(),
            )
        except Refused as refused:
            show_problems(refused.problems, form, filled)
        except MayBeThere as there:
            named = selectors.recipes_by_key(recipes_for(request.member), [one.key for one in there.found])
            like = [{"row": named[one.key], "percent": round(one.foods * 100)} for one in there.found]
        else:
            messages.success(request, _("The recipe is saved."))
            return redirect("recipe", pk=saved.pk)
    if form.files.get("photo") and "photo" not in form.errors:
        form.add_error(
            "photo", _("Choose the photo again: a browser does not keep it while a form is mended.")
        )
    return _form_page(request, Sheet(form, rows, row, photo, like=like))


def _laid_out(
    request: HttpRequest,
    form: RecipeForm,
    rows: Any,
    lines: LinesForm,
    row: "Recipe | None",
    photo: "RecipePhoto | None",
) -> HttpResponse:
    """Everything typed, as it was, with the typed lines as rows behind the others."""
    typed = [{name: part[name].value() for name in part.fields} for part in rows]
    read: tuple[IngredientLine, ...] = ()
    if "more" not in request.POST and "show" not in request.POST:
        typed = [part for part in typed if any(part[name] for name in INGREDIENT if name != "use")]
        read = _read(lines, selectors.foods_of(request.member.practice))
        if lines.is_valid():
            lines = LinesForm()
    else:
        lines = LinesForm(initial={"lines": lines["lines"].value()})
    kept = {name: form[name].value() for name in form.fields if name != "photo"}
    sheet = Sheet(
        RecipeForm(initial=kept, has_photo=photo is not None),
        IngredientForms(initial=[*typed, *map(row_of, read)], prefix="part"),
        row,
        photo,
        doubts=[*([()] * len(typed)), *(line.doubts for line in read)],
        lines=lines,
        is_review=bool(read) and row is None,
    )
    return _form_page(request, sheet)


def _read(lines: LinesForm, foods: Mapping[str, Food]) -> tuple[IngredientLine, ...]:
    if not lines.is_valid():
        return ()
    lookup = FoodLookup(foods.values())
    return tuple(read_ingredient(line, lookup) for line in lines.filled())


def _wish(form: RecipeForm, photo: "RecipePhoto | None") -> PhotoWish:
    typed = form.cleaned_data
    file = typed.get("photo")
    return PhotoWish(
        file=file,
        size=file.size if file is not None else 0,
        alt=typed["photo_alt"],
        remove=bool(typed.get("photo_remove")),
        has_one=photo is not None,
    )


def _previewed(
    request: HttpRequest, rows: Any, foods: Mapping[str, Food]
) -> tuple[PreviewWords | None, list[dict[str, Any]]]:
    """The preview under the chosen protocol, the first one before any is chosen, and the choices."""
    versions = selectors.newest_versions(protocols_for(request.member))
    wanted = request.POST.get("protocol", str(versions[0].protocol_id) if versions else "")
    chosen = next((version for version in versions if str(version.protocol_id) == wanted), None)
    choices = [
        {
            "value": str(version.protocol_id),
            "title": version.protocol.title,
            "is_chosen": version is chosen,
        }
        for version in versions
    ]
    if chosen is None:
        return None, choices
    typed = [{name: str(part[name].value() or "") for name in INGREDIENT} for part in rows]
    return typed_preview(typed, request.POST.get("servings", ""), chosen, foods), choices


def _form_page(request: HttpRequest, sheet: Sheet) -> HttpResponse:
    foods = selectors.foods_of(request.member.practice)
    said, protocols = _previewed(request, sheet.rows, foods)
    words = said.parts if said else ()
    context = {
        "sheet": sheet,
        "form": sheet.form,
        "rows": sheet.rows,
        "parts": [
            {
                "form": part,
                "doubts": [DOUBT[doubt] for doubt in sheet.doubts[place]]
                if place < len(sheet.doubts)
                else (),
                "words": words[place] if place < len(words) else (),
            }
            for place, part in enumerate(sheet.rows)
        ],
        "row": sheet.row,
        "unread": str(sheet.form["unread"].value() or "").splitlines(),
        "preview": said,
        "protocols": protocols,
        "foods": sorted(foods.values(), key=lambda food: food.name.casefold()),
        "units": sorted(MEASURES | {unit for food in foods.values() for unit in food.unit_weights_g}),
        "form_words": (*COOKING, *HANDLING),
    }
    return render(request, "plans/recipe_form.html", context)
