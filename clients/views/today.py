"""A day in a household's kitchen, as its coach sees it: the same page the client has."""

from datetime import date, timedelta
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from clients.access import household_for
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.services.days import day_page
from clients.wording.blocks import block_words
from coaching import clock
from coaching.practice.access import coaches

FARTHEST = timedelta(days=370)
"""Nobody cooks for a day farther away than this."""


@require_safe
@coaches
def household_today(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What the household cooks, eats, freezes and thaws on a day; today unless another one is asked for."""
    household = household_for(request.member, pk)
    today = local_date(household, clock.now())
    number = household.practice.emergency_number
    context = {
        "household": household,
        "blocks": [block_words(block, number) for block in packet_blocks(household)],
        "page": day_page(household, on=day_asked(request, today), today=today),
    }
    return render(request, "clients/today.html", context)


def day_asked(request: HttpRequest, today: date) -> date:
    """The day of the address (``?on=2026-06-15``); today for none, for what is no date and for one far away."""
    try:
        on = date.fromisoformat(request.GET.get("on", ""))
    except ValueError:
        return today
    return on if abs(on - today) <= FARTHEST else today
