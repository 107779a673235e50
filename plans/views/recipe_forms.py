"""Writing a recipe: a new one, one of the book, or one that came from elsewhere."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.practice.access import coaches
from plans import selectors
from plans.access import recipe_for
from plans.domain.ingredient_lines import IngredientLine
from plans.domain.jsonld import draft_of, read_jsonld
from plans.domain.quantities import MEASURES
from plans.domain.vocabulary import COOKING, HANDLING
from plans.forms.recipes import IngredientForms, RecipeForm, initial_of, key_of, show_problems
from plans.forms.uploads import JsonLdForm
from plans.services import recipes as services
from plans.views.uploads import problem_rows
from plans.wording import DOUBT

if TYPE_CHECKING:
    from plans.models import Recipe


@require_http_methods(["GET", "POST"])
@coaches
def recipe_new(request: HttpRequest) -> HttpResponse:
    """Write a new recipe."""
    if request.method == "POST":
        return _written(request, None)
    return _form_page(request, RecipeForm(), IngredientForms(prefix="part"), None)


@require_http_methods(["GET", "POST"])
@coaches
def recipe_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change a recipe. Weeks already planned keep what they were planned with."""
    row = recipe_for(request.member, pk)
    if request.method == "POST":
        return _written(request, row)
    values, parts = initial_of(draft_of(selectors.recipe_of(row)))
    return _form_page(request, RecipeForm(initial=values), IngredientForms(initial=parts, prefix="part"), row)


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
            return _form_page(request, RecipeForm(initial=values), rows, None, draft.ingredients)
        form = JsonLdForm(initial={"text": form.cleaned_data["text"]})
    context = {"form": form, **problem_rows(problems, str(form["text"].value() or ""))}
    return render(request, "plans/recipe_read.html", context)


def _written(request: HttpRequest, row: "Recipe | None") -> HttpResponse:
    form, rows = RecipeForm(request.POST), IngredientForms(request.POST, prefix="part")
    if "more" in request.POST:
        typed = [{name: part[name].value() for name in part.fields} for part in rows]
        kept = RecipeForm(initial={name: form[name].value() for name in form.fields})
        return _form_page(request, kept, IngredientForms(initial=typed, prefix="part"), row)
    if form.is_valid() and rows.is_valid():
        filled = [part for part in rows if not part.is_blank]
        values = form.values() | {"ingredients": [part.values() for part in filled]}
        try:
            saved = services.recipe_write(
                practice=request.member.practice,
                values={"key": key_of(values["title"]), **values},
                replaces=row,
                by=request.member.user,
                at=clock.now(),
            )
        except Refused as refused:
            show_problems(refused.problems, form, filled)
        else:
            messages.success(request, _("The recipe is saved."))
            return redirect("recipe", pk=saved.pk)
    return _form_page(request, form, rows, row)


def _form_page(
    request: HttpRequest,
    form: RecipeForm,
    rows: Any,
    row: "Recipe | None",
    lines: Sequence[IngredientLine] = (),
) -> HttpResponse:
    foods = selectors.foods_of(request.member.practice)
    doubts = [[DOUBT[doubt] for doubt in line.doubts] for line in lines]
    context = {
        "form": form,
        "rows": rows,
        "parts": [
            {"form": part, "doubts": doubts[place] if place < len(doubts) else ()}
            for place, part in enumerate(rows)
        ],
        "row": row,
        "is_review": bool(lines),
        "unread": str(form["unread"].value() or "").splitlines(),
        "foods": sorted(foods.values(), key=lambda food: food.name.casefold()),
        "units": sorted(MEASURES | {unit for food in foods.values() for unit in food.unit_weights_g}),
        "form_words": (*COOKING, *HANDLING),
    }
    return render(request, "plans/recipe_form.html", context)
