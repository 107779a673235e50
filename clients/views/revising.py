"""Changing a standing week: locks, what is asked of a meal, what has gone off, and deciding on what was worked out.

Every page works as plain forms. Asked by the board's own script, an answer is the board anew; else it is the next page.
"""

from collections.abc import Callable, Iterable
from http import HTTPStatus
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import HttpResponseClientRefresh

from clients.access import week_for
from clients.domain.revising import Change, Kind, meal_of
from clients.selectors.revising import has_packet, revision_under_way
from clients.services import revising as services
from clients.views.refusals import show_on, tell
from clients.views.week_meal import gone_form, meal_page
from clients.views.week_page import change_named, week_page
from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.practice.access import coaches
from coaching.web.parts import wants_part
from plans.domain.brief import Meal


@require_POST
@coaches
def week_lock(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Lock or unlock one meal: the pressed button carries ``lock`` or ``unlock`` with the meal."""
    row = week_for(request.member, pk)
    locked = "lock" in request.POST
    text = request.POST.get("lock" if locked else "unlock", "")

    def write() -> None:
        services.week_lock(week=row, meal=_named_meal(text), locked=locked, by=request.member, at=clock.now())

    return _board_after(request, row, write, anchor=f"meal-{text}")


@require_POST
@coaches
def week_exchange(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Let two meals change places: what dragging one onto the other sends."""
    row = week_for(request.member, pk)
    meal, other = request.POST.get("meal", ""), request.POST.get("other", "")

    def write() -> None:
        change = Change(Kind.EXCHANGE, meal=_named_meal(meal), other=_named_meal(other))
        services.week_change(week=row, change=change, by=request.member, at=clock.now())

    return _board_after(request, row, write, anchor=f"meal-{other}")


@require_POST
@coaches
def week_changes(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take waiting changes back, one or all, or ask for a lasting one of an earlier revision to be over."""
    row = week_for(request.member, pk)

    def write() -> None:
        who = {"week": row, "by": request.member, "at": clock.now()}
        if "all" in request.POST:
            services.week_change_take_back(change=None, **who)
        elif "take_back" in request.POST:
            services.week_change_take_back(change=_named_change(request.POST["take_back"]), **who)
        else:
            services.week_change_end(change=_named_change(request.POST.get("end", "")), **who)

    return _board_after(request, row, write, anchor="changes")


@require_POST
@coaches
def week_revise(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Have the waiting changes worked out by the worker; the board stays."""
    row = week_for(request.member, pk)

    def write() -> None:
        services.week_revise(week=row, by=request.member, at=clock.now())

    return _board_after(request, row, write, anchor="changes")


@require_safe
@coaches
def week_status(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Nothing while a revision is being worked out, then what the board says of it: the board asks again and again.

    It is a part of the page of the week, to which whoever opens it by itself is led.
    """
    row = week_for(request.member, pk)
    if not wants_part(request):
        return redirect("week", row.pk)
    if row.state != row.State.PLANNED:
        return HttpResponseClientRefresh()
    revision = revision_under_way(row)
    if revision is not None and revision.state == row.State.ASKED:
        return HttpResponse(status=HTTPStatus.NO_CONTENT)
    return render(request, "clients/_week_changes.html", week_page(row, clock.now()))


@require_POST
@coaches
def week_decide(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Accept a revision, or keep the week as it is, with or without what was asked."""
    row = week_for(request.member, pk)
    done = request.POST.get("do")
    try:
        if done == "accept":
            services.week_accept(week=row, by=request.member, at=clock.now())
            messages.success(request, _("The changed week stands from now on."))
            if has_packet(row.household, row.start):
                messages.warning(
                    request, _("A packet made before shows the week as it was. Make a new one to hand out.")
                )
            return redirect("week", row.pk)
        services.week_put_aside(week=row, keeps_changes=done != "keep", by=request.member, at=clock.now())
    except Refused as refused:
        tell(request, refused.problems)
        return redirect("week", row.pk)
    messages.success(request, _("The week stays as it was."))
    return redirect("week", row.basis_id)


@require_POST
@coaches
def week_go_back(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Undo an accepted revision."""
    row = week_for(request.member, pk)
    try:
        basis = services.week_go_back(week=row, by=request.member, at=clock.now())
    except Refused as refused:
        tell(request, refused.problems)
        return redirect("week", row.pk)
    messages.success(request, _("The week before the last change stands again."))
    return redirect("week", basis.pk)


@require_http_methods(["GET", "POST"])
@coaches
def week_meal(request: HttpRequest, pk: UUID, meal: str) -> HttpResponse:
    """What can be asked of one meal: something else, not this dish, who is out, changing places."""
    row = week_for(request.member, pk)
    if row.state != row.State.PLANNED:
        return redirect("week", row.pk)
    try:
        named = meal_of(meal)
        page = meal_page(row, named, request, at=clock.now())
    except ValueError as error:
        raise Http404 from error
    form = page.sent
    if form is not None and form.is_valid() and _asked(request, row, form):
        return redirect(f"{reverse('week', args=[row.pk])}#meal-{meal}")
    template = "clients/_week_meal.html" if request.htmx else "clients/week_meal.html"
    return render(request, template, page.context)


@require_http_methods(["GET", "POST"])
@coaches
def week_gone(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Say that a food or a pot has gone off."""
    row = week_for(request.member, pk)
    if row.state != row.State.PLANNED:
        return redirect("week", row.pk)
    form = gone_form(row, request.POST if request.method == "POST" else None, at=clock.now())
    if form.is_bound and form.is_valid() and _asked(request, row, form):
        return redirect(f"{reverse('week', args=[row.pk])}#changes")
    return render(request, "clients/week_gone.html", {"week": row, "household": row.household, "form": form})


def _asked(request: HttpRequest, row, form) -> bool:
    """Whether the change on a form waits now; else the form says why not."""
    try:
        services.week_change(week=row, change=form.change(), by=request.member, at=clock.now())
    except Refused as refused:
        show_on(form, refused.problems)
        return False
    return True


def _board_after(request: HttpRequest, row, write: Callable[[], None], *, anchor: str) -> HttpResponse:
    """The board after a write, or with what was wrong with it above."""
    problems: Iterable[Problem] = ()
    try:
        write()
    except Refused as refused:
        problems = refused.problems
    if request.htmx:
        context = week_page(week_for(request.member, row.pk), clock.now())
        if "board" in context:
            return render(request, "clients/_week_board.html", context | {"problems": problems})
    tell(request, problems)
    return redirect(f"{reverse('week', args=[row.pk])}#{anchor}")


def _named_meal(text: str) -> Meal:
    try:
        return meal_of(text)
    except ValueError as error:
        raise Refused(
            Problem(0, "meal", _("This week has no such meal."), _("Choose one of the meals on the board."))
        ) from error


def _named_change(token: str) -> Change:
    try:
        return change_named(token)
    except ValueError as error:
        raise Refused(
            Problem(0, "change", _("That change is not asked for any more."), _("Look at the list again."))
        ) from error
