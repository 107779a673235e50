"""A coach's view of one eater's check-ins: the reports, red flags and their answers, and one taken down for them."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from clients.access import eater_for
from clients.services.check_ins import red_flags_answer
from clients.views.refusals import show_on
from clients.wording.check_in import RED_FLAG
from coaching import clock
from coaching.desk.access import check_in_for, check_ins_for
from coaching.desk.forms import RedFlagAnswerForm
from coaching.desk.selectors.check_ins import check_in_lines
from coaching.desk.views.filling_in import fill_in_today
from coaching.domain.errors import Refused
from coaching.practice.access import coaches

PAGE_SIZE = 28


@require_safe
@coaches
def eater_check_ins(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Every check-in of one eater, the newest first, four weeks a page."""
    eater = eater_for(request.member, pk)
    page = Paginator(check_ins_for(request.member, eater), PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "eater": eater,
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "lines": check_in_lines(page.object_list),
    }
    return render(request, "desk/check_ins.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def eater_check_in(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Today's check-in, taken down by the coach; an earlier one of today is shown again."""
    eater = eater_for(request.member, pk)
    filling = fill_in_today(request, eater, by="coach")
    if filling.done is None:
        return render(request, "desk/check_in.html", filling.context(eater))
    if filling.done.red_flags:
        return redirect("red_flag", pk=filling.done.pk)
    messages.success(request, _("The check-in is recorded."))
    return redirect("eater_check_ins", pk=eater.pk)


@require_http_methods(["GET", "POST"])
@coaches
def red_flag(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One check-in with red flags: what was ticked, and the record of what a clinician said."""
    check_in = check_in_for(request.member, pk)
    form = RedFlagAnswerForm(request.POST or None, initial={"answer": check_in.flags_answer})
    if request.method == "POST" and form.is_valid():
        try:
            red_flags_answer(
                check_in=check_in, answer=form.cleaned_data["answer"], by=request.member, at=clock.now()
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("The answer is recorded."))
            return redirect("household", pk=check_in.eater.household_id)
    flags = [RED_FLAG[key] for key in check_in.red_flags]
    return render(request, "desk/red_flag.html", {"check_in": check_in, "flags": flags, "form": form})
