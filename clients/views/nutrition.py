"""What an eater's planned week holds against the reference intakes, and the optional measures it uses."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from clients.access import eater_for, week_for
from clients.domain.body_measures import age_on, condition_of
from clients.forms.measures import MeasuresForm
from clients.selectors.measures import latest_measures, measures_history
from clients.selectors.people import local_date
from clients.services.measures import measures_record
from clients.services.nutrition import eater_nutrition
from clients.views.nutrition_page import nutrition_page
from clients.views.refusals import show_on
from clients.wording.measures import measure_words
from coaching import clock
from coaching.domain.errors import Refused
from coaching.domain.units import System
from coaching.practice.access import coaches
from plans.domain.body import Condition
from plans.domain.energy import CHILD_FROM


@require_safe
@coaches
def week_nutrition(request: HttpRequest, pk: UUID, eater: UUID) -> HttpResponse:
    """A planned week of one eater: nutrients a day against the published references. Without plates an empty page."""
    week, row = week_for(request.member, pk), eater_for(request.member, eater)
    if row.household_id != week.household_id:
        raise Http404
    household = week.household
    found = eater_nutrition(week=week, eater=row)
    context = {
        "week": week,
        "eater": row,
        "household": household,
        "page": found and nutrition_page(found, answers=row.answers, units=household.practice.units),
    }
    return render(request, "clients/week_nutrition.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def eater_measures(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The optional measures of one eater: those that count, a form for new ones, and all that were written down."""
    eater = eater_for(request.member, pk)
    units = eater.household.practice.units
    today = local_date(eater.household, clock.now())
    condition = condition_of(eater.answers)
    form = MeasuresForm(
        request.POST or None,
        units=units,
        condition=condition,
        asks_activity=age_on(eater.born, today) >= CHILD_FROM,
        held=latest_measures(eater),
        today=today,
    )
    if request.method == "POST" and form.is_valid():
        try:
            recorded = measures_record(eater=eater, measures=form.values(), by=request.member, at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("The measures are saved.") if recorded else _("Nothing was changed."))
            return redirect("eater_measures", eater.pk)
    context = {
        "eater": eater,
        "household": eater.household,
        "form": form,
        "is_both": condition is Condition.BOTH,
        "history": [
            {"row": row, "measures": measure_words(measures, System(units))}
            for row, measures in measures_history(eater)
        ],
    }
    return render(request, "clients/eater_measures.html", context)
