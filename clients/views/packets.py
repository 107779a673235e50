"""Packets of a household: the list, asking for one, its page and its file."""

from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe
from django_htmx.http import HttpResponseClientRefresh

from clients.access import household_for, packet_for
from clients.forms.weeks import PacketForm
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.selectors.weeks import next_start, packets_of
from clients.services.packets import packet_ask
from clients.views.refusals import show_on
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches
from coaching.web.files import private_file

PAGE = 25


@require_http_methods(["GET", "POST"])
@coaches
def packets(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Every packet of a household, a page at a time; a POST asks for one more."""
    household = household_for(request.member, pk)
    today = local_date(household, clock.now())
    client = household.clients.first()
    initial = {
        "start": next_start(household, today),
        "paper": household.practice.paper,
        "language": client.language if client else "en",
    }
    form = PacketForm(request.POST or None, today=today, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            packet = packet_ask(
                household=household,
                start=form.cleaned_data["start"],
                paper=form.cleaned_data["paper"],
                language=form.cleaned_data["language"],
                by=request.member,
                at=clock.now(),
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            return redirect("packet", packet.pk)
    page = Paginator(packets_of(household), PAGE).get_page(request.GET.get("page"))
    context = {
        "household": household,
        "form": form,
        "blocks": packet_blocks(household),
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
    }
    return render(request, "clients/packets.html", context)


@require_safe
@coaches
def packet(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One packet: being made, ready to be fetched, or why it could not be made."""
    row = packet_for(request.member, pk)
    if request.htmx and row.state == row.State.ASKED:
        return render(request, "clients/_packet_wait.html", {"packet": row})
    if request.htmx:
        return HttpResponseClientRefresh()
    return render(request, "clients/packet.html", {"packet": row, "household": row.household})


@require_safe
@coaches
def packet_file(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The packet itself, as a download named after the household and its first day."""
    row = packet_for(request.member, pk)
    name = "-".join(filter(None, ("packet", slugify(row.household.name), row.start.isoformat())))
    return private_file(row.file, name=f"{name}.pdf")
