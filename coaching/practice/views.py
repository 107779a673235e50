"""The practice's pages: its settings, setting up, its people."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from coaching import clock
from coaching.practice import selectors, services
from coaching.practice.access import coaches, owner_only, staff
from coaching.practice.domain.countries import allergen_list_of
from coaching.practice.forms import PracticeForm, SetUpForm
from coaching.practice.wording import ALLERGEN_LIST, COUNTRY


@require_safe
@staff
def practice(request: HttpRequest) -> HttpResponse:
    """The settings as they stand; the owner may change them."""
    mine = request.member.practice
    return render(
        request,
        "practice/practice.html",
        {
            "practice": mine,
            "country": COUNTRY.get(mine.country, mine.country),
            "allergen_list": ALLERGEN_LIST[allergen_list_of(mine.country)],
            "rules_checked_by": selectors.rules_checked_by(mine),
            "may_change": request.member.role == "owner",
        },
    )


@require_http_methods(["GET", "POST"])
@owner_only
def practice_edit(request: HttpRequest) -> HttpResponse:
    """Change the settings."""
    mine = request.member.practice
    form = PracticeForm(request.POST or None, practice=mine)
    if request.method == "POST" and form.is_valid():
        saved = services.practice_change(
            practice=mine, values=form.cleaned_data, by=request.member, at=clock.now()
        )
        if mine.rules_checked_at and not saved.rules_checked_at:
            messages.warning(request, _("The country changed, so the local rules have to be checked again."))
            return redirect("practice_set_up")
        messages.success(request, _("The settings are saved."))
        return redirect("practice")
    return render(request, "practice/practice_edit.html", {"form": form})


@require_http_methods(["GET", "POST"])
@coaches
def practice_set_up(request: HttpRequest) -> HttpResponse:
    """The first page of a new practice: what nothing can begin without. Later only the owner changes it."""
    mine = request.member.practice
    if mine.is_set_up and request.member.role != "owner":
        return redirect("practice")
    form = SetUpForm(request.POST or None, practice=mine)
    if request.method == "POST" and form.is_valid():
        at = clock.now()
        services.practice_set_up(practice=mine, values=form.settings(), by=request.member, at=at)
        messages.success(request, _("The practice is set up. Your confirmation is recorded."))
        return redirect("home")
    return render(
        request,
        "practice/set_up.html",
        {"form": form, "practice": mine, "rules_checked_by": selectors.rules_checked_by(mine)},
    )


@require_safe
@staff
def people(request: HttpRequest) -> HttpResponse:
    """Who works here, in what role."""
    return render(request, "practice/people.html", {"members": selectors.staff_of(request.member.practice)})
