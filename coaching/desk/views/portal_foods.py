"""What may I eat: the client looks a food up, for everybody at the table."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coaching import clock
from coaching.desk.access import own_client
from coaching.desk.selectors.portal_foods import portal_foods_page
from coaching.practice.access import client_only
from coaching.web.parts import wants_part


@require_safe
@client_only
def portal_foods(request: HttpRequest) -> HttpResponse:
    """One food looked up by name, or every food by allowance."""
    client = own_client(request)
    q = request.GET.get("q", "").strip()[:80]
    page = portal_foods_page(client, q=q, today=clock.today_in(client.time_zone))
    return render(request, "desk/_foods_found.html" if wants_part(request) else "desk/foods.html", page)
