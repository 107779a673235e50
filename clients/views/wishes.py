"""When somebody eats elsewhere, and what a household wants most of its weeks."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from clients.access import eater_for, household_for
from clients.domain.presence import away_from_record
from clients.domain.wants import wants_in_order
from clients.forms.presence import PresenceForm
from clients.forms.wants import WantsForm
from clients.services.presence import presence_change
from clients.services.wants import want_move, wants_as_usual
from clients.views.refusals import show_on
from clients.wording.wants import WANT, WANT_MEANS
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches
from plans.domain.brief import WANTS


@require_http_methods(["GET", "POST"])
@coaches
def eater_meals(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Say which meals of every week an eater eats elsewhere."""
    eater = eater_for(request.member, pk)
    form = PresenceForm(request.POST if request.method == "POST" else None, away=away_from_record(eater.away))
    if request.method == "POST" and form.is_valid():
        try:
            presence_change(eater=eater, away=form.meals(), by=request.member, at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("The change is saved."))
            return redirect("household", eater.household_id)
    context = {"eater": eater, "household": eater.household, "form": form}
    return render(request, "clients/eater_meals.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def household_wants(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Put what a household wants of its weeks in order, a step at a time."""
    household = household_for(request.member, pk)
    form = WantsForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        return _moved(request, household, form)
    order = wants_in_order(household.wants)
    context = {
        "household": household,
        "form": form,
        "is_usual": order == WANTS,
        "rows": [{"key": want, "name": WANT[want], "means": WANT_MEANS[want]} for want in order],
        "moved": request.GET.get("moved", ""),
    }
    return render(request, "clients/household_wants.html", context)


def _moved(request: HttpRequest, household, form: WantsForm) -> HttpResponse:
    """Do one step; the page then shown puts the keyboard back on the button that was pressed.

    Its address names no place on the page: with one, browsers leave ``autofocus`` alone.
    """
    page = reverse("household_wants", args=[household.pk])
    if form.is_as_usual():
        wants_as_usual(household=household, by=request.member, at=clock.now())
        messages.success(request, _("The usual order holds again."))
        return redirect(page)
    want, way = form.move()
    order = want_move(household=household, want=want, way=way, by=request.member, at=clock.now())
    messages.success(
        request,
        _("“%(want)s” is number %(place)d now.") % {"want": WANT[want], "place": order.index(want) + 1},
    )
    return redirect(f"{page}?moved={want}-{way}")
