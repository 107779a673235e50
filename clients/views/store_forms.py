"""Noting and changing what is in the house: the same for the coach and for the client, each on their own pages."""

from collections.abc import Mapping

from django.http import HttpRequest

from clients.forms.stores import StoreForm
from clients.services.stores import store_change, store_note
from clients.views.refusals import show_on
from coaching import clock
from coaching.domain.errors import Refused
from coaching.domain.units import System
from plans.domain.book import Food


def note_store(request: HttpRequest, household, foods: Mapping[str, Food]) -> tuple[StoreForm, bool]:
    """The form for one more thing in a house, and whether it was just noted."""
    system = System(household.practice.units)
    form = StoreForm(request.POST or None, foods=foods, system=system)
    if request.method != "POST" or not form.is_valid():
        return form, False
    try:
        store_note(
            household=household,
            food=form.cleaned_data["food"],
            **form.values(),
            known=foods,
            by=request.member,
            at=clock.now(),
        )
    except Refused as refused:
        show_on(form, refused.problems)
        return form, False
    return form, True


def change_store(request: HttpRequest, store, foods: Mapping[str, Food]) -> tuple[StoreForm, bool]:
    """The form for something that is in a house, and whether it was just changed."""
    system = System(store.household.practice.units)
    form = StoreForm(request.POST or None, foods=foods, system=system, store=store)
    if request.method != "POST" or not form.is_valid():
        return form, False
    try:
        store_change(store=store, **form.values(), by=request.member, at=clock.now())
    except Refused as refused:
        show_on(form, refused.problems)
        return form, False
    return form, True
