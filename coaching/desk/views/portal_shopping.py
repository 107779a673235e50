"""The client's shopping list on the phone, ticked off by one thumb, and what is in the house."""

from decimal import Decimal
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from clients.selectors.shopping import shopping_page
from clients.selectors.stores import store_lines
from clients.services.shopping import food_typed, grams_typed, shopping_tick, shopping_untick
from clients.services.stores import store_used_up
from clients.views.refusals import tell
from clients.views.store_forms import change_store, note_store
from coaching import clock
from coaching.desk.access import own_client, own_store_for, own_week_for
from coaching.desk.selectors.portal_shopping import portal_shopping_page
from coaching.domain.errors import Refused
from coaching.practice.access import client_only
from plans.selectors import foods_of


@require_safe
@client_only
def portal_shopping(request: HttpRequest) -> HttpResponse:
    """The list of the week one shops for today."""
    return _list(request, None)


@require_safe
@client_only
def portal_shopping_week(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The list of a week; of one that was planned again, the newest plan."""
    return _list(request, own_week_for(request, pk))


@require_POST
@client_only
def portal_tick(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A food is in the basket: as much of it as the line said that was tapped."""
    week = own_week_for(request, pk)
    try:
        food, amount_g = _tapped(request)
        shopping_tick(
            household=week.household,
            start=week.start,
            food=food,
            amount_g=amount_g,
            by=request.member,
            at=clock.now(),
        )
    except Refused as refused:
        tell(request, refused.problems)
        return _back(request, week)
    return _answer(request, week, food)


@require_POST
@client_only
def portal_untick(request: HttpRequest, pk: UUID) -> HttpResponse:
    """It is not in the basket after all."""
    week = own_week_for(request, pk)
    try:
        food, amount_g = _tapped(request)
    except Refused as refused:
        tell(request, refused.problems)
        return _back(request, week)
    shopping_untick(household=week.household, start=week.start, food=food, amount_g=amount_g)
    return _answer(request, week, food)


@require_http_methods(["GET", "POST"])
@client_only
def portal_stores(request: HttpRequest) -> HttpResponse:
    """What is in the house; a POST notes one more thing."""
    client = own_client(request)
    household = client.household
    foods = foods_of(household.practice)
    form, is_noted = note_store(request, household, foods)
    if is_noted:
        messages.success(request, _("Noted. The shopping list counts it from now on."))
        return redirect("portal_stores")
    context = {
        "household": household,
        "form": form,
        "foods": foods.values(),
        "places_with_stores": store_lines(household, foods, clock.today_in(client.time_zone)),
    }
    return render(request, "desk/stores.html", context)


@require_http_methods(["GET", "POST"])
@client_only
def portal_store_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Say anew how much of something is in the house."""
    store = own_store_for(request, pk)
    foods = foods_of(store.household.practice)
    form, is_changed = change_store(request, store, foods)
    if is_changed:
        return redirect("portal_stores")
    name = foods[store.food].name if store.food in foods else store.food
    return render(request, "desk/store_edit.html", {"store": store, "name": name, "form": form})


@require_POST
@client_only
def portal_store_used_up(request: HttpRequest, pk: UUID) -> HttpResponse:
    """It is all gone."""
    store_used_up(store=own_store_for(request, pk), by=request.member, at=clock.now())
    return redirect("portal_stores")


def _list(request: HttpRequest, week) -> HttpResponse:
    client = own_client(request)
    page = portal_shopping_page(client, week=week, today=clock.today_in(client.time_zone))
    return render(request, "desk/shopping.html", page | {"shows_left": bool(request.GET.get("left"))})


def _tapped(request: HttpRequest) -> tuple[str, Decimal]:
    """The food of the line that was tapped, and the grams it said. Raises Refused without them."""
    return food_typed(request.POST.get("food", "")), grams_typed(request.POST.get("amount", ""))


def _answer(request: HttpRequest, week, food: str) -> HttpResponse:
    """What follows a tap: the whole page anew, or for htmx the one line and how far the list is."""
    if not request.htmx:
        return _back(request, week, food)
    client = own_client(request)
    page = shopping_page(week.household, week.start, today=clock.today_in(client.time_zone))
    line = None if page is None else page.line(food)
    if line is None:
        return _back(request, week)
    return render(request, "clients/_shopping_answer.html", {"page": page, "line": line, "ticks": True})


def _back(request: HttpRequest, week, food: str = "") -> HttpResponse:
    """To the list, narrowed as it was, at the line that was tapped."""
    to = reverse("portal_shopping_week", args=[week.pk])
    if request.POST.get("left"):
        to += "?left=1"
    if request.htmx:
        return HttpResponseClientRedirect(to)
    return redirect(f"{to}#line-{food}" if food else to)
