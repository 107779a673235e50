"""The lead-in of a household as its coach sees it: by day, ticked off, printed, and as a calendar file."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from clients.access import household_for
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.services.lead_in_page import lead_in_page
from clients.views.lead_in_common import calendar_file, tick
from coaching import clock
from coaching.practice.access import coaches


@require_safe
@coaches
def lead_in(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What there is to do before day one, late tasks first."""
    household = household_for(request.member, pk)
    context = {
        "household": household,
        "blocks": packet_blocks(household),
        "page": lead_in_page(household, today=local_date(household, clock.now())),
    }
    return render(request, "clients/lead_in.html", context)


@require_POST
@coaches
def lead_in_tick(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A task is done, not needed, or to be done after all."""
    household = household_for(request.member, pk)
    tick(request, household, today=local_date(household, clock.now()))
    return redirect("lead_in", household.pk)


@require_safe
@coaches
def lead_in_calendar(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The open tasks as a calendar file; the page where there are none."""
    household = household_for(request.member, pk)
    file = calendar_file(household, today=local_date(household, clock.now()), at=clock.now())
    return redirect("lead_in", household.pk) if file is None else file
