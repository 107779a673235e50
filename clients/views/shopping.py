"""A household's shopping list and what is in its house, as its coach sees them."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.access import household_for, store_for, week_for
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.selectors.shopping import shopping_page
from clients.selectors.stores import store_lines
from clients.services.stores import store_used_up as used_up_service
from clients.views.store_forms import change_store, note_store
from coaching import clock
from coaching.practice.access import coaches
from plans.selectors import foods_of


@require_safe
@coaches
def week_shopping(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The list of a week with the household's ticks, to read; while something is in the way there is none."""
    week = week_for(request.member, pk)
    household = week.household
    today = local_date(household, clock.now())
    blocks = packet_blocks(household)
    context = {
        "week": week,
        "household": household,
        "blocks": blocks,
        "page": None if blocks else shopping_page(household, week.start, today=today),
        "shows_left": bool(request.GET.get("left")),
    }
    return render(request, "clients/week_shopping.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def stores(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What is in a household's house; a POST notes one more thing."""
    household = household_for(request.member, pk)
    foods = foods_of(household.practice)
    form, is_noted = note_store(request, household, foods)
    if is_noted:
        messages.success(request, _("Noted. The shopping list counts it from now on."))
        return redirect("stores", household.pk)
    context = {
        "household": household,
        "form": form,
        "foods": foods.values(),
        "places_with_stores": store_lines(household, foods, local_date(household, clock.now())),
    }
    return render(request, "clients/stores.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def store_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Say anew how much of something is in the house."""
    store = store_for(request.member, pk)
    foods = foods_of(store.household.practice)
    form, is_changed = change_store(request, store, foods)
    if is_changed:
        return redirect("stores", store.household_id)
    context = {
        "store": store,
        "household": store.household,
        "name": foods[store.food].name if store.food in foods else store.food,
        "form": form,
    }
    return render(request, "clients/store_edit.html", context)


@require_POST
@coaches
def store_used_up(request: HttpRequest, pk: UUID) -> HttpResponse:
    """It is all gone."""
    store = store_for(request.member, pk)
    used_up_service(store=store, by=request.member, at=clock.now())
    return redirect("stores", store.household_id)
