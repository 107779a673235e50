"""The client's own pages: today, a check-in, and the one form a link in a reminder opens."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from clients.domain.check_in import urgency
from clients.forms.check_in import CheckInForm
from clients.selectors.people import zone_of
from clients.services.check_ins import link_check_in_record
from clients.services.links import open_check_in_link
from clients.views.refusals import show_on
from clients.wording.check_in import RED_FLAG, WHAT_TO_DO
from coaching import clock
from coaching.desk.access import own_check_in_for, own_client, own_eater_for, own_packet_for
from coaching.desk.selectors.portal import portal_page
from coaching.desk.views.filling_in import fill_in_today
from coaching.domain.errors import Refused
from coaching.practice.access import client_only, everyone
from coaching.web.files import private_file


@require_safe
@client_only
def portal(request: HttpRequest) -> HttpResponse:
    """Today: who checks in, what to cook, what to prepare, the packet."""
    client = own_client(request)
    today = clock.today_in(client.time_zone)
    return render(request, "desk/portal.html", portal_page(client, today=today))


@require_safe
@client_only
def portal_packet(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The household's own packet, as a file."""
    packet = own_packet_for(request, pk)
    return private_file(packet.file, name=f"packet-{packet.start.isoformat()}.pdf")


@require_http_methods(["GET", "POST"])
@client_only
def check_in(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Today's check-in for one eater of the client's household; an earlier one of today is shown again."""
    eater = own_eater_for(request, pk)
    filling = fill_in_today(request, eater, by="client")
    if filling.done is None:
        return render(request, "clients/check_in.html", filling.context(eater))
    return redirect("check_in_done", pk=filling.done.pk)


@require_safe
@client_only
def check_in_done(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Thanks, or what to do at once when a red flag was ticked."""
    done = own_check_in_for(request, pk)
    return render(request, "clients/check_in_done.html", _done(done))


@require_http_methods(["GET", "POST"])
@everyone
def check_in_by_link(request: HttpRequest, token: str) -> HttpResponse:
    """One form for one eater and one day, and nothing else; the link works once."""
    link = open_check_in_link(token, at=clock.now())
    if link is None:
        return render(
            request, "clients/check_in_link_over.html", status=410 if request.method == "POST" else 200
        )
    form = CheckInForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        today = clock.today_in(zone_of(link.eater.household))
        try:
            done = link_check_in_record(link=link, today=today, answers=form.answers(), at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            return render(request, "clients/check_in_done.html", _done(done) | {"by_link": True})
    context = {"form": form, "eater": link.eater, "on": link.on, "by_link": True}
    return render(request, "clients/check_in.html", context)


def _done(done) -> dict[str, object]:
    """What the closing page says; the practice's emergency number stands first when it is one."""
    practice = done.eater.household.practice
    sooner = urgency(done.red_flags)
    if sooner is None:
        return {"done": done, "practice": practice}
    return {
        "done": done,
        "practice": practice,
        "flags": [RED_FLAG[key] for key in done.red_flags],
        "emergency": sooner.name == "EMERGENCY",
        "what_to_do": WHAT_TO_DO[sooner] % {"number": practice.emergency_number},
    }
