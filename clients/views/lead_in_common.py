"""Ticking tasks off and handing out the calendar: the same for the coach and for the client, on pages of their own."""

from datetime import date, datetime

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from clients.services.lead_in import lead_in_of, lead_in_tick, lead_in_untick, words_of
from clients.views.refusals import tell
from coaching import clock
from coaching.domain.errors import Refused
from plans.printables.lead_in_calendar import lead_in_calendar
from plans.selectors import foods_of

UNDO = "undo"


def tick(request: HttpRequest, household, *, today: date) -> None:
    """What the button that was tapped says of its task; why not is shown at the top of the next page."""
    task, state = request.POST.get("task", ""), request.POST.get("state", "")
    if state == UNDO:
        lead_in_untick(household=household, task=task)
        return
    try:
        lead_in_tick(
            household=household, task=task, state=state, today=today, by=request.member, at=clock.now()
        )
    except Refused as refused:
        tell(request, refused.problems)


def calendar_file(household, *, today: date, at: datetime) -> HttpResponse | None:
    """The open tasks as a private calendar file; None when there are none, since a calendar must hold something."""
    plan = lead_in_of(household, today=today)
    if plan is None or not plan.tasks:
        return None
    content = lead_in_calendar(
        words_of(household, plan, foods_of(household.practice), today=today),
        household=household.pk,
        title=_("Before day one"),
        at=at,
        since=household.created_at,
    )
    return HttpResponse(
        content,
        content_type="text/calendar; charset=utf-8",
        headers={
            "Content-Disposition": 'attachment; filename="before-day-one.ics"',
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
