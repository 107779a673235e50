"""Eaters: who they are, what they leave out, their screening and a clinician's word on it."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from clients.access import eater_for, household_for
from clients.domain.people import NewEater
from clients.domain.questions import Person, answers_from_record, asked_of
from clients.domain.screening import Strength
from clients.forms.exclusions import ExclusionsForm
from clients.forms.people import EaterForm
from clients.forms.screening import ScreeningForm, SignOffForm
from clients.selectors.household_page import caution_lines
from clients.selectors.people import local_date
from clients.selectors.protocols import food_names
from clients.services.households import eater_add as add_service
from clients.services.households import eater_change
from clients.services.screening import screening_record, sign_offs_record
from clients.views.refusals import show_on
from clients.wording.screening import caution_words
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches
from coaching.practice.domain.countries import allergen_list_of


@require_http_methods(["GET", "POST"])
@coaches
def eater_add(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One more person at the table; the screening comes next."""
    household = household_for(request.member, pk)
    form = EaterForm(request.POST or None, today=local_date(household, clock.now()))
    if request.method == "POST" and form.is_valid():
        try:
            eater = add_service(
                household=household, new=NewEater(**form.values()), by=request.member, at=clock.now()
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(
                request, _("%(eater)s is added. Now say what they leave out.") % {"eater": eater.name}
            )
            return redirect("eater_exclusions", eater.pk)
    return _page(request, form, household, _("One more eater"))


@require_http_methods(["GET", "POST"])
@coaches
def eater_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change name, birthday, sex, appetite or leaning."""
    eater = eater_for(request.member, pk)
    names = ("name", "born", "sex", "appetite", "leaning")
    today = local_date(eater.household, clock.now())
    form = EaterForm(
        request.POST or None, today=today, initial={name: getattr(eater, name) for name in names}
    )
    if request.method == "POST" and form.is_valid():
        eater_change(eater=eater, values=form.values(), by=request.member, at=clock.now())
        return _saved(request, eater)
    return _page(request, form, eater.household, eater.name)


@require_http_methods(["GET", "POST"])
@coaches
def eater_exclusions(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change allergies, foods left out and dislikes."""
    eater = eater_for(request.member, pk)
    practice = eater.household.practice
    allergen_list = allergen_list_of(practice.country)
    now = {name: getattr(eater, name) for name in ("allergies", "excluded", "dislikes")}
    foods = food_names(practice)
    form = ExclusionsForm(
        request.POST or None,
        foods=foods,
        allergen_list=allergen_list,
        initial=ExclusionsForm.initial_from(now, allergen_list),
    )
    if request.method == "POST" and form.is_valid():
        eater_change(eater=eater, values=form.values(), by=request.member, at=clock.now())
        if not eater.answers:
            return redirect("eater_screening", eater.pk)
        return _saved(request, eater)
    heading = _("What %(eater)s leaves out") % {"eater": eater.name}
    return _page(request, form, eater.household, heading, foods=foods)


@require_http_methods(["GET", "POST"])
@coaches
def eater_screening(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask the screening questions, or ask them again."""
    eater = eater_for(request.member, pk)
    today = local_date(eater.household, clock.now())
    person = Person(eater.born, eater.sex)
    units = eater.household.practice.units
    earlier = ScreeningForm.initial_from(answers_from_record(eater.answers), asked_of(person, today), units)
    form = ScreeningForm(request.POST or None, person=person, today=today, units=units, initial=earlier)
    if request.method == "POST" and form.is_valid():
        screening_record(eater=eater, answers=form.answers(), by=request.member, at=clock.now())
        messages.success(request, _("The screening of %(eater)s is recorded.") % {"eater": eater.name})
        return redirect("household", eater.household_id)
    heading = _("Screening of %(eater)s") % {"eater": eater.name}
    lead = _(
        "Ask before the first stage. Figures may stay empty; a group is answered by a tick or by “none of these”."
    )
    return _page(request, form, eater.household, heading, lead=lead)


@require_http_methods(["GET", "POST"])
@coaches
def eater_sign_off(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Record that a licensed clinician agreed to the cautions that wait for one."""
    eater = eater_for(request.member, pk)
    number = eater.household.practice.emergency_number
    waiting = [
        line for line in caution_lines(eater) if line.waits and line.strength is Strength.CLINICIAN_FIRST
    ]
    titles = {line.pk: caution_words(line.rule, line.facts, number).title for line in waiting}
    form = SignOffForm(request.POST or None, titles=titles, initial={"cautions": list(titles)})
    if request.method == "POST" and form.is_valid():
        try:
            sign_offs_record(
                cautions=form.cleaned_data["cautions"], **form.values(), by=request.member, at=clock.now()
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("The sign-off is recorded."))
            return redirect("household", eater.household_id)
    if not waiting:
        messages.info(request, _("No caution of %(eater)s waits for a clinician.") % {"eater": eater.name})
        return redirect("household", eater.household_id)
    heading = _("A clinician’s agreement for %(eater)s") % {"eater": eater.name}
    lead = _("Record what a licensed clinician said. It is their decision; you write it down.")
    return _page(request, form, eater.household, heading, lead=lead)


def _saved(request: HttpRequest, eater) -> HttpResponse:
    messages.success(request, _("The change is saved."))
    return redirect("household", eater.household_id)


def _page(request: HttpRequest, form, household, heading: str, **more) -> HttpResponse:
    context = {"form": form, "household": household, "heading": heading, **more}
    return render(request, "clients/household_form.html", context)
