"""The recipes of the practice: list, page, writing, handing in and out."""

import json
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching import clock
from coaching.domain.units import System
from coaching.practice.access import COACHES, coaches, staff
from coaching.web.files import private_file
from coaching.web.parts import wants_part
from plans import selectors
from plans.access import photo_for, protocols_for, recipe_for, recipes_for
from plans.domain.book import Food, Recipe
from plans.domain.filing.recipes import recipes_csv, recipes_yaml
from plans.domain.jsonld import recipe_jsonld
from plans.domain.nutrients import UNITS, portion_totals, table_for
from plans.domain.vocabulary import FAMILIES, RECIPE_KINDS, Slot
from plans.printables.words import amount_words, forms_words
from plans.services import recipes as services
from plans.views.downloads import text_file, writer_for
from plans.views.previews import previews_of
from plans.views.uploads import Upload, upload_page
from plans.views.wording import filed_words
from plans.wording import KIND, NUTRIENT, SLOT, USE

PAGE_SIZE = 50
LEAST_SERVINGS, MOST_SERVINGS = Decimal("0.25"), 500
EXAMPLE = """\
schema: ladlework/recipes/1
recipes:
  - key: carrot-soup
    title: Carrot soup
    kind: main
    slots: [midday, evening]
    main: carrot-soup
    servings: 4
    portion: 400 ml
    ingredients:
      - {quantity: 600, unit: g, food: carrot, form: boiled + peeled}
      - {quantity: 1, unit: l, food: chicken-stock, form: broth}
    steps:
      - Simmer the carrots in the stock until a fork falls through.
    hands_on_min: 15
    elapsed_min: 45
    fridge_days: 3
    freezer_days: 90
    batch: true
"""


@require_safe
@staff
def recipes(request: HttpRequest) -> HttpResponse:
    """Recipes by title; search and sieve by GET."""
    member = request.member
    wanted = {
        name: request.GET.get(name, "").strip()[:160] for name in ("q", "kind", "slot", "stage", "archived")
    }
    stages = {
        f"{version.protocol.key}.{stage.key}": (
            version,
            stage.key,
            f"{version.protocol.title}: {stage.title}",
        )
        for version in selectors.newest_versions(protocols_for(member))
        for stage in selectors.protocol_of(version).stages
    }
    keys = None
    if wanted["stage"] in stages:
        version, stage_key, _title = stages[wanted["stage"]]
        keys = selectors.recipe_keys_that_fit(member.practice, version, stage_key)
    mine = recipes_for(member, archived=wanted["archived"] == "yes")
    found = selectors.recipes_found(mine, q=wanted["q"], kind=wanted["kind"], slot=wanted["slot"], keys=keys)
    page = Paginator(found, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "rows": [{"pk": row.pk, "recipe": selectors.recipe_of(row)} for row in page],
        "q": wanted["q"],
        "sieves": _sieves(wanted, {name: title for name, (_v, _s, title) in stages.items()}),
        "is_sieved": any(wanted.values()),
        "is_archive": wanted["archived"] == "yes",
        "may_change": member.role in COACHES,
    }
    template = "plans/_recipes_rows.html" if wants_part(request) else "plans/recipes.html"
    return render(request, template, context)


@require_safe
@staff
def recipe(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One recipe, scaled to ``servings``."""
    row = recipe_for(request.member, pk)
    held = selectors.recipe_of(row)
    foods = selectors.foods_of(request.member.practice)
    servings, mistake = _servings(request.GET.get("servings", ""), held)
    system = System(request.member.practice.units)
    share = servings / held.servings
    context = {
        "row": row,
        "recipe": held,
        "servings": servings,
        "mistake": mistake,
        "is_scaled": share != 1,
        "ingredients": [
            {
                "amount": amount_words(part.quantity * share, part.unit, foods.get(part.food), system),
                "food": foods[part.food].name if part.food in foods else part.food,
                "how": "; ".join(filter(None, (forms_words((part.form,)), part.size))),
                "use": "" if part.use == "base" else USE[part.use],
            }
            for part in held.ingredients
        ],
        "portion": amount_words(*held.portion, None, system),
        "families": _families(held, foods),
        "photo": selectors.photo_of(row),
        "previews": previews_of(held, selectors.newest_versions(protocols_for(request.member)), foods),
        "makes": foods[held.makes].name if held.makes in foods else held.makes,
        "nutrients": [] if held.makes else _nutrient_rows(held, foods),
        "may_change": request.member.role in COACHES,
    }
    return render(request, "plans/recipe.html", context)


SHOWN_NUTRIENTS = ("energy_kcal", "protein_g", "fat_g", "carb_g", "fibre_g")


def _nutrient_rows(held: Recipe, foods: Mapping[str, Food]) -> list[dict[str, Any]]:
    """What one portion holds, for the page; carbohydrate by difference may come out below zero and shows as none."""
    totals = portion_totals(held, foods, table_for(foods, selectors.nutrient_table()))
    return [
        {
            "name": NUTRIENT[key],
            "value": None if totals[key].value is None else max(totals[key].value, Decimal(0)),
            "unit": UNITS[key],
            "percent": int(totals[key].coverage * 100),
            "unknown": [foods[food].name if food in foods else food for food in totals[key].unknown_for],
        }
        for key in SHOWN_NUTRIENTS
    ]


@require_safe
@staff
def recipe_file(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One recipe as JSON-LD."""
    held = selectors.recipe_of(recipe_for(request.member, pk))
    written = recipe_jsonld(held, selectors.foods_of(request.member.practice))
    return text_file(json.dumps(written, ensure_ascii=False, indent=2), name=held.key, kind="jsonld")


@require_safe
@staff
def recipe_photo(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The photo of a recipe, from private storage."""
    photo = photo_for(request.member, pk)
    return private_file(photo.file, name=f"{photo.recipe.key}.jpg", content_type="image/jpeg")


@require_POST
@coaches
def recipe_archive(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take a recipe out of use, or back."""
    row = recipe_for(request.member, pk)
    archived = request.POST.get("archived") == "yes"
    services.recipe_archive(recipe=row, archived=archived, by=request.member.user, at=clock.now())
    messages.success(request, _("The recipe is archived.") if archived else _("The recipe is in use again."))
    return redirect("recipe", pk=pk)


@require_http_methods(["GET", "POST"])
@coaches
def recipes_import(request: HttpRequest) -> HttpResponse:
    """Hand in a recipes file."""
    upload = Upload(
        title=gettext_lazy("Hand in recipes"),
        lead=gettext_lazy(
            "Recipes with a key the book has are replaced, new keys are added, all others stay."
        ),
        up=gettext_lazy("Recipes"),
        up_name="recipes",
        example=EXAMPLE,
        file=_file,
    )
    return upload_page(request, upload)


@require_safe
@staff
def recipes_file(request: HttpRequest, kind: str) -> HttpResponse:
    """All recipes in use as one file."""
    write = writer_for(kind, yaml=recipes_yaml, csv=recipes_csv)
    return text_file(write(selectors.recipes_of(request.member.practice)), name="recipes", kind=kind)


def _families(held: Recipe, foods: Mapping[str, Food]) -> list[str]:
    """The allergen families in a dish, in the order of the vocabulary."""
    there = {
        family for part in held.ingredients if part.food in foods for family in foods[part.food].families
    }
    return [family for family in FAMILIES if family in there]


def _file(**kwargs: Any) -> str:
    return filed_words(services.recipes_import(**kwargs))


def _servings(typed: str, held: Recipe) -> tuple[Decimal, str]:
    """The wanted servings and what is wrong with what was typed; the recipe's own when it cannot be used."""
    if not typed.strip():
        return held.servings, ""
    try:
        wanted = Decimal(typed.strip().replace(",", "."))
    except InvalidOperation:
        wanted = Decimal("NaN")
    if wanted.is_nan() or not LEAST_SERVINGS <= wanted <= MOST_SERVINGS:
        return held.servings, _("Write a number of portions from 1 to %(most)d.") % {"most": MOST_SERVINGS}
    return wanted, ""


def _sieves(wanted: dict[str, str], stages: dict[str, str]) -> list[dict[str, Any]]:
    choices = {
        "kind": (_("Kind of dish"), {kind: KIND[kind] for kind in RECIPE_KINDS}),
        "slot": (_("Meal"), {slot.value: SLOT[slot] for slot in Slot}),
        "stage": (_("Fits the stage"), stages),
    }
    return [
        {
            "name": name,
            "label": label,
            "value": wanted[name],
            "options": [{"value": value, "label": text} for value, text in options.items()],
        }
        for name, (label, options) in choices.items()
    ]
