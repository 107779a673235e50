"""One food of the practice: its page, writing it down, taking it out of the book."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching import clock
from coaching.domain.errors import Refused
from coaching.domain.units import System
from coaching.practice.access import COACHES, coaches, staff
from plans import selectors
from plans.access import food_for, foods_for, protocols_for
from plans.domain.book import Food
from plans.domain.brief import Reason
from plans.domain.food_facts import families_from, limits_from, stages_of
from plans.domain.nutrients import OWN, UNITS, table_for
from plans.domain.rulebook import Row, forms_text
from plans.domain.vocabulary import Allowance
from plans.forms.foods import FoodForm, initial_food
from plans.printables.words import forms_words
from plans.services import foods as services
from plans.services.putting import MayBeThere
from plans.views.change_words import taste_words
from plans.wording import AISLE, ALLOWANCE, DATA_TYPE, FAMILY, NUTRIENT, say

if TYPE_CHECKING:
    from plans.models import Food as FoodRow


@require_safe
@staff
def food(request: HttpRequest, pk: UUID) -> HttpResponse:
    """All the book says of one food."""
    row = food_for(request.member, pk)
    practice = request.member.practice
    own = {held.key: held for held in selectors.own_foods_of(practice)}
    held = own[row.key]
    context = {
        "row": row,
        "food": held,
        "aisle": AISLE[held.aisle],
        "contains": [own[part].name if part in own else part for part in held.contains],
        "source": row.document.get("source", ""),
        "families": _family_rows(held, own),
        "limits": _limit_rows(held, own),
        "nutrients": _nutrients(held, own),
        "uses": selectors.food_uses(practice, row.key),
        "protocols": _protocol_rows(request, held),
        "may_change": request.member.role in COACHES,
    }
    return render(request, "plans/food.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def food_new(request: HttpRequest) -> HttpResponse:
    """Write a new food."""
    if request.method == "POST":
        return _written(request, FoodForm(request.POST, is_new=True), None)
    return _form_page(
        request, FoodForm(initial={"name": request.GET.get("name", "")[:120]}, is_new=True), None
    )


@require_http_methods(["GET", "POST"])
@coaches
def food_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change a food. Its key stays."""
    row = food_for(request.member, pk)
    if request.method == "POST":
        return _written(request, FoodForm(request.POST, is_new=False), row)
    return _form_page(request, FoodForm(initial=initial_food(row.document), is_new=False), row)


@require_POST
@coaches
def food_remove(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take a food out of the book, unless something uses it."""
    row = food_for(request.member, pk)
    try:
        services.food_remove(food=row, by=request.member.user, at=clock.now())
    except Refused as refused:
        for problem in refused.problems:
            messages.error(request, f"{problem.message} {problem.fix}")
        return redirect("food", pk=pk)
    messages.success(request, _("“%(name)s” is out of the book.") % {"name": row.name})
    return redirect("foods")


def _written(request: HttpRequest, form: FoodForm, row: "FoodRow | None") -> HttpResponse:
    namesakes: list[dict[str, Any]] = []
    if form.is_valid():
        try:
            saved = services.food_write(
                practice=request.member.practice,
                values=form.values(),
                source=form.cleaned_data["source"],
                replaces=row,
                anyway="anyway" in request.POST,
                by=request.member.user,
                at=clock.now(),
            )
        except Refused as refused:
            form.show_problems(refused.problems)
        except MayBeThere as there:
            rows = selectors.foods_by_key(foods_for(request.member), [taken.food for taken in there.found])
            namesakes = [{"name": taken.name, "row": rows[taken.food]} for taken in there.found]
        else:
            messages.success(request, _("The food is saved."))
            return redirect("food", pk=saved.pk)
    return _form_page(request, form, row, namesakes)


def _form_page(
    request: HttpRequest, form: FoodForm, row: "FoodRow | None", namesakes: list[dict[str, Any]] | None = None
) -> HttpResponse:
    context = {
        "form": form,
        "row": row,
        "namesakes": namesakes or [],
        "groups": selectors.groups_of(foods_for(request.member)),
        "figures": selectors.nutrient_table().values(),
        "shipped": selectors.nutrient_table().get(row.key) if row else None,
    }
    return render(request, "plans/food_form.html", context)


def _family_rows(held: Food, own: Mapping[str, Food]) -> list[dict[str, Any]]:
    return [
        {
            "family": FAMILY[found.family],
            "is_own": held.key in found.foods,
            "through": [own[part].name for part in found.foods if part != held.key],
        }
        for found in families_from(held.key, own)
    ]


def _limit_rows(held: Food, own: Mapping[str, Food]) -> list[dict[str, Any]]:
    return [
        {
            "said": say(Reason(found.limit.code, {"forms": forms_text(found.limit.forms)})),
            "source": found.limit.source,
            "through": "" if found.food == held.key else own[found.food].name,
        }
        for found in limits_from(held.key, own)
    ]


def _nutrients(held: Food, own: Mapping[str, Food]) -> dict[str, Any] | None:
    """The figures of a food for its page, every nutrient named; None when it has no figures at all."""
    found = table_for({held.key: held}, selectors.nutrient_table()).get(held.key)
    if found is None:
        return None
    like = held.nutrients_like if not held.nutrients else ""
    return {
        "description": found.fdc_description,
        "data_type": DATA_TYPE.get(found.data_type, found.data_type),
        "is_own": found.data_type == OWN,
        "like": own[like].name if like in own else like,
        "rows": [
            {"name": NUTRIENT[key], "unit": unit, "figure": found.per_100_g.get(key)}
            for key, unit in UNITS.items()
        ],
    }


def _protocol_rows(request: HttpRequest, held: Food) -> list[dict[str, Any]]:
    """What the newest version of each protocol says of a food, stage by stage where it changes."""
    system = System(request.member.practice.units)
    return [
        {
            "version": version,
            "stages": [
                {"stage": stage, "allowance": ALLOWANCE[row.given.allowance], "how": _how(row, system)}
                for stage, row in stages_of(held, selectors.protocol_of(version))
            ],
        }
        for version in selectors.newest_versions(protocols_for(request.member))
    ]


def _how(row: Row, system: System) -> str:
    if row.given.allowance is Allowance.NOT_YET:
        return say(row.given.reasons[0]) if row.given.reasons else ""
    if row.rule is None:
        return ""
    parts = (forms_words(row.rule.forms), taste_words(row.rule, system), row.rule.note)
    return "; ".join(part for part in parts if part)
