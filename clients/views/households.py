"""Households: the list, one household's page, and changing what is known of it."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from clients.access import client_for, household_for, households_for
from clients.domain.people import KitchenFacts
from clients.forms.kitchen import KitchenForm
from clients.forms.people import ClientForm, HouseholdNameForm
from clients.selectors.household_list import (
    Sieve,
    coaches_of,
    household_lines,
    households_sieved,
    stages_in_use,
)
from clients.selectors.household_page import household_page
from clients.selectors.people import local_date
from clients.selectors.weeks import packets_section, weeks_section
from clients.services import households as services
from clients.views.refusals import show_on, tell
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches, staff

PAGE = 25


@require_safe
@staff
def households(request: HttpRequest) -> HttpResponse:
    """Every household one may see: searched, narrowed, ordered, a page at a time."""
    member = request.member
    asked = Sieve(
        q=request.GET.get("q", "").strip()[:80],
        coach=request.GET.get("coach", ""),
        stage=request.GET.get("stage", ""),
        archived=bool(request.GET.get("archived")),
        order=request.GET.get("order", "name"),
    )
    page = Paginator(households_sieved(member, asked), PAGE).get_page(request.GET.get("page"))
    sieves = [_sieve("stage", _("Stage"), stages_in_use(member), asked.stage)]
    if member.role != "coach":
        sieves.append(_sieve("coach", _("Coach"), coaches_of(member), asked.coach))
    context = {
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "lines": household_lines(page.object_list, clock.today_in(member.practice.time_zone)),
        "asked": asked,
        "sieves": sieves,
        "is_narrowed": bool(asked.q or asked.coach or asked.stage),
        "shows_coach": member.role != "coach",
        "put_away": households_for(member).filter(archived_at__isnull=False).count(),
    }
    return render(request, "clients/households.html", context)


@require_safe
@staff
def household(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One household: who eats, how far each has come, what stands in the way."""
    row = household_for(request.member, pk)
    today = local_date(row, clock.now())
    page = household_page(row, member=request.member, today=today)
    context = {"page": page, "household": row}
    if page.sees_health:
        context |= {"weeks": weeks_section(row, today), "packets": packets_section(row, today)}
    return render(request, "clients/household.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def household_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change what a household is called."""
    row = household_for(request.member, pk)
    form = HouseholdNameForm(request.POST or None, initial={"name": row.name})
    if request.method == "POST" and form.is_valid():
        services.household_change(
            household=row, name=form.cleaned_data["name"], by=request.member, at=clock.now()
        )
        return _saved(request, row.pk)
    return _form_page(request, form, row, _("Household"))


@require_http_methods(["GET", "POST"])
@coaches
def kitchen_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change pots, jars and cooking time."""
    row = household_for(request.member, pk)
    units = row.practice.units
    initial = KitchenForm.initial_from(KitchenFacts.from_record(row.kitchen), units)
    form = KitchenForm(request.POST or None, units=units, initial=initial)
    if request.method == "POST" and form.is_valid():
        services.household_change(household=row, kitchen=form.facts(), by=request.member, at=clock.now())
        return _saved(request, row.pk)
    return _form_page(request, form, row, _("Kitchen"))


@require_http_methods(["GET", "POST"])
@coaches
def client_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change how a client is called and reached."""
    client = client_for(request.member, pk)
    names = ("name", "email", "phone", "language", "time_zone")
    form = ClientForm(request.POST or None, initial={name: getattr(client, name) for name in names})
    if request.method == "POST" and form.is_valid():
        try:
            services.client_change(client=client, values=form.values(), by=request.member, at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            return _saved(request, client.household_id)
    return _form_page(request, form, client.household, _("Client"))


@require_POST
@coaches
def client_access(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Give a client a way to sign in, and send the invitation."""
    client = client_for(request.member, pk)
    try:
        services.client_account_open(client=client, by=request.member, at=clock.now())
    except Refused as refused:
        tell(request, refused.problems)
    else:
        messages.success(
            request, _("%(client)s can sign in; the invitation is on its way.") % {"client": client.name}
        )
    return redirect("household", client.household_id)


@require_http_methods(["GET", "POST"])
@coaches
def household_archive(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Asks once, then puts a household away; a household that was put away is taken out again."""
    row = household_for(request.member, pk)
    if request.method == "POST":
        if row.archived_at is None:
            services.household_archive(household=row, by=request.member, at=clock.now())
            messages.success(request, _("%(household)s is put away.") % {"household": row.name})
            return redirect("households")
        services.household_restore(household=row, by=request.member, at=clock.now())
        messages.success(request, _("%(household)s is back in the list.") % {"household": row.name})
        return redirect("household", row.pk)
    return render(request, "clients/household_archive.html", {"household": row})


def _sieve(name: str, label: str, options: list[tuple], value: str) -> dict[str, object]:
    listed = [{"value": str(key), "label": words} for key, words in options]
    return {"name": name, "label": label, "options": listed, "value": value}


def _saved(request: HttpRequest, pk: UUID) -> HttpResponse:
    messages.success(request, _("The change is saved."))
    return redirect("household", pk)


def _form_page(request: HttpRequest, form, row, heading: str) -> HttpResponse:
    return render(
        request, "clients/household_form.html", {"form": form, "household": row, "heading": heading}
    )
