"""The client's day in the kitchen, on the phone."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from clients.views.today import day_asked
from coaching import clock
from coaching.desk.access import own_client
from coaching.desk.selectors.portal_today import portal_today_page
from coaching.practice.access import client_only


@require_safe
@client_only
def portal_today(request: HttpRequest) -> HttpResponse:
    """What to cook, to eat, to freeze and to take out of the freezer; today unless another day is asked for."""
    client = own_client(request)
    today = clock.today_in(client.time_zone)
    page = portal_today_page(client, on=day_asked(request, today), today=today)
    return render(request, "desk/today.html", page)
