"""What a clinician asked an eater to leave out: written down, and ended. It can only forbid."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from clients.access import eater_for, instruction_for
from clients.forms.instructions import InstructionEndForm, InstructionForm
from clients.selectors.instructions import instruction_lines
from clients.selectors.people import local_date
from clients.selectors.protocols import food_names
from clients.services.instructions import instruction_add
from clients.services.instructions import instruction_end as end_service
from clients.views.refusals import show_on
from coaching import clock
from coaching.domain.errors import Refused
from coaching.practice.access import coaches


@require_http_methods(["GET", "POST"])
@coaches
def eater_instructions(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The instructions of one eater, and one more."""
    eater = eater_for(request.member, pk)
    today = local_date(eater.household, clock.now())
    book = food_names(eater.household.practice)
    form = InstructionForm(request.POST or None, book=book, today=today)
    if request.method == "POST" and form.is_valid():
        try:
            instruction_add(eater=eater, **form.values(), by=request.member, at=clock.now())
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(
                request, _("The instruction is written down and holds in every plan from now on.")
            )
            return redirect("eater_instructions", eater.pk)
    lines = instruction_lines(eater, {food.key: food.name for food in book}, today)
    context = {
        "eater": eater,
        "household": eater.household,
        "form": form,
        "foods": book,
        "in_force": [line for line in lines if line.in_force],
        "over": [line for line in lines if not line.in_force],
    }
    return render(request, "clients/eater_instructions.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def instruction_end(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask who took an instruction back, then end it."""
    instruction = instruction_for(request.member, pk)
    eater = instruction.eater
    form = InstructionEndForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            end_service(
                instruction=instruction, why=form.cleaned_data["why"], by=request.member, at=clock.now()
            )
        except Refused as refused:
            show_on(form, refused.problems)
        else:
            messages.success(request, _("The instruction has ended. It stays in the list."))
            return redirect("eater_instructions", eater.pk)
    names = {food.key: food.name for food in food_names(eater.household.practice)}
    context = {
        "instruction": instruction,
        "eater": eater,
        "household": eater.household,
        "foods": [names.get(key, key) for key in instruction.foods],
        "form": form,
    }
    return render(request, "clients/instruction_end.html", context)
