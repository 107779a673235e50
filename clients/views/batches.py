"""A batch for a household: what to buy, when to cook, where it goes. It is worked out anew each time and never kept."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from clients.access import household_for, week_for
from clients.domain.people import KitchenFacts
from clients.forms.batch import BatchForm
from clients.services.batch_facts import batch_table, stock_needs_of
from clients.views.batch_page import batch_page
from coaching import clock
from coaching.practice.access import coaches
from plans.domain.batch.plan import batch_for
from plans.domain.batch.week_need import StockNeed
from plans.selectors import kitchen_safety


@require_http_methods(["GET", "POST"])
@coaches
def batch(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Asks for a batch and shows it below. ``?week=…&cook=…`` fills in what a week wants of one of its stocks.

    The answers are posted although nothing changes: what is known of eaters' health stays out of addresses.
    """
    household = household_for(request.member, pk)
    table = batch_table(household, at=clock.now())
    units = household.practice.units
    wanted = _wanted(request, household)
    kitchen = KitchenFacts.from_record(household.kitchen)
    initial = BatchForm.initial_from(kitchen, table, units, wanted)
    form = BatchForm(request.POST or None, units=units, table=table, initial=initial)
    context = {"household": household, "form": form, "table": table, "wanted": wanted}
    if request.method == "POST" and form.is_valid():
        ask, safety = form.ask(), kitchen_safety()
        context["batch"] = batch_page(
            batch_for(ask, safety),
            ask,
            pots_full_ml=form.pots_full_ml(),
            cuts=form.cleaned_data["cuts"],
            system=form.units,
            safety=safety,
            at_home_min=kitchen.at_home_min,
        )
    return render(request, "clients/batch.html", context)


def _wanted(request: HttpRequest, household) -> StockNeed | None:
    """What a week of this household wants of the stock the address names. Raises Http404 for one that is not there."""
    named = request.GET.get("week")
    if named is None:
        return None
    try:
        week = week_for(request.member, UUID(named))
    except ValueError as error:
        raise Http404 from error
    wanted = stock_needs_of(week).get(request.GET.get("cook", ""))
    if week.household_id != household.pk or wanted is None:
        raise Http404
    return wanted
