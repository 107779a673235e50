"""Weeks of a household: the list, asking for one, and one week's page."""

from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRefresh

from clients.access import household_for, week_for
from clients.forms.weeks import WeekForm
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.selectors.weeks import next_start, weeks_of
from clients.services.weeks import week_ask
from clients.views.refusals import show_on
from clients.views.week_page import week_page
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches

PAGE = 25
TEMPLATES = {
    "asked": "clients/week.html",
    "planned": "clients/week.html",
    "none": "clients/week_none.html",
    "offered": "clients/week_offer.html",
    "dropped": "clients/week_dropped.html",
}
"""The page of a week by its state."""


@require_http_methods(["GET", "POST"])
@coaches
def weeks(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Every week of a household, a page at a time; a POST asks for one more."""
    household = household_for(request.member, pk)
    today = local_date(household, clock.now())
    form = WeekForm(request.POST or None, today=today, initial={"start": next_start(household, today)})
    if request.method == "POST" and form.is_valid():
        try:
            week = week_ask(
                household=household, start=form.cleaned_data["start"], by=request.member, at=clock.now()
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            return redirect("week", week.pk)
    page = Paginator(weeks_of(household), PAGE).get_page(request.GET.get("page"))
    context = {
        "household": household,
        "form": form,
        "blocks": packet_blocks(household),
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
    }
    return render(request, "clients/weeks.html", context)


@require_safe
@coaches
def week(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One week: its board, an offered change, or why there is none; while it is being planned, the page asks again.

    A change that is being worked out shows on the board of the week it is to change.
    """
    row = week_for(request.member, pk)
    if row.state == row.State.ASKED and row.basis_id is not None:
        return redirect("week", row.basis_id)
    if request.htmx and row.state == row.State.ASKED:
        return render(request, "clients/_week_wait.html", {"week": row})
    if request.htmx:
        return HttpResponseClientRefresh()
    return render(request, TEMPLATES[row.state], week_page(row, clock.now()))
