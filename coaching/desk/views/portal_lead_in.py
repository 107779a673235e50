"""The client's own list of what to do before day one, ticked off on the phone."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from clients.services.lead_in_page import lead_in_page
from clients.views.lead_in_common import calendar_file, tick
from coaching import clock
from coaching.desk.access import own_client
from coaching.practice.access import client_only


@require_safe
@client_only
def portal_lead_in(request: HttpRequest) -> HttpResponse:
    """Everything before day one, late tasks first."""
    client = own_client(request)
    page = lead_in_page(client.household, today=clock.today_in(client.time_zone))
    return render(request, "desk/lead_in.html", {"page": page, "practice": client.household.practice})


@require_POST
@client_only
def portal_lead_in_tick(request: HttpRequest) -> HttpResponse:
    """A task is done, not needed, or to be done after all."""
    client = own_client(request)
    tick(request, client.household, today=clock.today_in(client.time_zone))
    return redirect("portal_lead_in")


@require_safe
@client_only
def portal_lead_in_calendar(request: HttpRequest) -> HttpResponse:
    """The open tasks as a calendar file; the page where there are none."""
    client = own_client(request)
    file = calendar_file(client.household, today=clock.today_in(client.time_zone), at=clock.now())
    return redirect("portal_lead_in") if file is None else file
