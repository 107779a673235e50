"""Protocols of one eater: starting, deciding about the stage, and moving day one while it lies ahead."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from clients.access import eater_for, enrolment_for
from clients.forms.enrolments import (
    END,
    HOLD,
    MOVE_ON,
    RESUME,
    STEP_BACK,
    DayOneForm,
    DecisionForm,
    EnrolmentForm,
    place_choices,
)
from clients.selectors.household_page import Progress, caution_lines, progress_of
from clients.selectors.people import local_date
from clients.selectors.protocols import latest_published, published_version
from clients.services import enrolments as services
from clients.views.refusals import show_on
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches

DONE = {
    MOVE_ON: gettext_lazy("The next stage has begun."),
    STEP_BACK: gettext_lazy("The earlier stage has begun again."),
    HOLD: gettext_lazy("The stage is on hold."),
    RESUME: gettext_lazy("The stage goes on."),
    END: gettext_lazy("The protocol has ended."),
}


@require_http_methods(["GET", "POST"])
@coaches
def enrolment_start(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Put an eater on a protocol."""
    eater = eater_for(request.member, pk)
    practice = eater.household.practice
    form = EnrolmentForm(
        request.POST or None,
        choices=place_choices(latest_published(practice)),
        today=_today(eater.household),
        required=True,
    )
    if request.method == "POST" and form.is_valid():
        asked = form.enrolment()
        try:
            services.enrolment_start(
                eater=eater,
                version=published_version(practice, UUID(asked.version)),
                stage=asked.stage,
                start_on=asked.start_on,
                by=request.member,
                at=clock.now(),
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("%(eater)s follows the protocol.") % {"eater": eater.name})
            return redirect("household", eater.household_id)
    heading = _("A protocol for %(eater)s") % {"eater": eater.name}
    context = {"form": form, "household": eater.household, "heading": heading}
    return render(request, "clients/household_form.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def enrolment_decide(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Move on, stay, resume, step back or end: the coach decides, with what is known beside the form."""
    enrolment = enrolment_for(request.member, pk)
    household = enrolment.eater.household
    progress = progress_of(enrolment, _today(household))
    if progress is None:
        messages.info(request, _("The protocol has ended for this eater."))
        return redirect("household", household.pk)
    form = DecisionForm(
        request.POST or None,
        seen=progress.spell.pk,
        held=progress.is_held,
        earlier=progress.earlier,
        is_last=progress.is_last,
    )
    if request.method == "POST" and form.is_valid():
        try:
            _decide(form.cleaned_data, progress, by=request.member, at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, str(DONE[form.cleaned_data["decision"]]))
            return redirect("household", household.pk)
    context = {
        "form": form,
        "household": household,
        "eater": enrolment.eater,
        "progress": progress,
        "waiting": [line for line in caution_lines(enrolment.eater) if line.waits],
    }
    return render(request, "clients/enrolment_decide.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def enrolment_day_one(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Move day one while it lies ahead."""
    enrolment = enrolment_for(request.member, pk)
    household = enrolment.eater.household
    today = _today(household)
    form = DayOneForm(request.POST or None, today=today, initial={"start_on": enrolment.start_on})
    if request.method == "POST" and form.is_valid():
        try:
            services.day_one_change(
                enrolment=enrolment,
                start_on=form.cleaned_data["start_on"],
                by=request.member,
                at=clock.now(),
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("Day one is moved."))
            return redirect("household", household.pk)
    heading = _("Day one of %(eater)s") % {"eater": enrolment.eater.name}
    return render(
        request, "clients/household_form.html", {"form": form, "household": household, "heading": heading}
    )


def _decide(asked: dict[str, Any], progress: Progress, *, by, at: datetime) -> None:
    """Call the service the decision names. Raises Refused."""
    enrolment, seen, reason = progress.enrolment, asked["seen"], asked["reason"]
    acts: dict[str, Callable[[], object]] = {
        MOVE_ON: lambda: services.stage_move_on(enrolment=enrolment, seen=seen, reason=reason, by=by, at=at),
        STEP_BACK: lambda: services.stage_step_back(
            enrolment=enrolment, seen=seen, stage=asked.get("stage", ""), reason=reason, by=by, at=at
        ),
        HOLD: lambda: services.enrolment_hold(enrolment=enrolment, reason=reason, by=by, at=at),
        RESUME: lambda: services.enrolment_resume(enrolment=enrolment, by=by, at=at),
        END: lambda: services.enrolment_end(enrolment=enrolment, reason=reason, by=by, at=at),
    }
    acts[asked["decision"]]()


def _today(household) -> date:
    return local_date(household, clock.now())
