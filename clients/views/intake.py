"""A new client, step by step, and the drafts that wait to be gone on with."""

import secrets
from collections.abc import Iterable
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from clients.access import draft_for, drafts_for
from clients.forms.intake import EATER_KEYS, STEPS, EatersStep, HouseholdStep, Sitting, Step, assemble
from clients.selectors.protocols import food_names, latest_published
from clients.services.intake import draft_archive, draft_keep, draft_start, intake_complete
from clients.views.refusals import sentence, tell
from coaching import clock
from coaching.domain.calendar import first_zone
from coaching.domain.errors import Problem, Refused
from coaching.practice.access import coaches

KEYS = [kind.key for kind in STEPS]
REVIEW = "review"


@require_http_methods(["GET", "POST"])
@coaches
def intake(request: HttpRequest) -> HttpResponse:
    """The drafts of new clients; a POST begins one more."""
    member = request.member
    if request.method == "POST":
        try:
            draft = draft_start(practice=member.practice, coach=member, at=clock.now())
        except Refused as refused:
            tell(request, refused.problems)
            return redirect("practice_set_up")
        return redirect("intake_step", draft.pk, KEYS[0])
    drafts = [
        {"draft": draft, "steps": sum(key in draft.answers for key in KEYS), "url": _where_left(draft)}
        for draft in drafts_for(member).select_related("coach__user")
    ]
    return render(request, "clients/intake.html", {"drafts": drafts, "all_steps": len(KEYS)})


@require_http_methods(["GET", "POST"])
@coaches
def intake_step(request: HttpRequest, pk: UUID, step: str) -> HttpResponse:
    """One step of a draft. What is typed is kept whether or not it is right."""
    draft = draft_for(request.member, pk)
    if step not in KEYS:
        raise Http404
    if draft.household_id:
        return redirect("household", draft.household_id)
    sitting = _sitting(draft, draft.answers)
    if sitting.steps[step].needs_eaters and not sitting.eaters:
        messages.warning(request, _("First say who eats here; then go on."))
        return redirect("intake_step", pk, EatersStep.key)
    if request.method == "POST":
        return _keep(request, draft, step)
    return _step_page(request, draft, sitting, step)


@require_http_methods(["GET", "POST"])
@coaches
def intake_review(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Everything once more, with the cautions and what they mean; a POST makes the household."""
    draft = draft_for(request.member, pk)
    if draft.household_id:
        return redirect("household", draft.household_id)
    sitting = _sitting(draft, draft.answers)
    problems: Iterable[Problem] = ()
    if request.method == "POST" and sitting.is_ready:
        try:
            made = intake_complete(draft=draft, new=assemble(sitting), by=request.member, at=clock.now())
        except Refused as refused:
            problems = refused.problems
        else:
            messages.success(request, _("%(household)s is in the book.") % {"household": made.name})
            return redirect("household", made.pk)
    context = {
        "draft": draft,
        "steps": _steps(draft, sitting, REVIEW),
        "sitting": sitting,
        "new": assemble(sitting) if sitting.is_ready else None,
        "unready": [step for step in sitting.steps.values() if not step.is_done],
        "people": _people(sitting),
        "foods": {food.key: food.name for food in sitting.foods},
        "refused": [sentence(problem) for problem in problems],
    }
    return render(request, "clients/intake_review.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def intake_archive(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Asks once, then puts a draft away."""
    draft = draft_for(request.member, pk)
    if request.method == "POST":
        try:
            draft_archive(draft=draft, by=request.member, at=clock.now())
        except Refused as refused:
            tell(request, refused.problems)
        else:
            messages.success(request, _("The draft is put away."))
        return redirect("intake")
    return render(request, "clients/intake_archive.html", {"draft": draft})


def _sitting(draft, typed: dict) -> Sitting:
    practice = draft.practice
    chosen = typed.get(HouseholdStep.key, {}).get("time_zone", [""])
    zone = first_zone(chosen[0] if chosen else "", practice.time_zone)
    return Sitting(
        practice=practice,
        today=clock.today_in(zone),
        zone=practice.time_zone,
        typed=typed,
        foods=food_names(practice),
        versions=latest_published(practice),
    )


def _keep(request: HttpRequest, draft, key: str) -> HttpResponse:
    """Keep a step as typed, then go where the pressed button says."""
    posted = {name: request.POST.getlist(name) for name in request.POST}
    sitting = _sitting(draft, {**draft.answers, key: posted})
    step = sitting.steps[key]
    kept = {name: posted[name] for name in step.field_names() if name in posted}
    then = request.POST.get("then", "next")
    if key == EatersStep.key:
        kept = _with_eaters(kept, then)
    elif then in ("next", "stay") and step.is_done:
        kept |= step.tidied()
    label = step.label() if isinstance(step, HouseholdStep) else None
    try:
        draft_keep(draft=draft, step=key, typed=kept, label=label, at=clock.now())
    except Refused as refused:
        tell(request, refused.problems)
        return redirect("intake")
    if then == "next" and not step.is_done:
        return _step_page(request, draft, sitting, key)
    return redirect(_after(draft, key, then))


def _with_eaters(kept: dict[str, list[str]], then: str) -> dict[str, list[str]]:
    """The eaters' step with one eater more or one less, as the pressed button says."""
    keys = kept.get(EATER_KEYS, [])
    if then == "add":
        return kept | {EATER_KEYS: [*keys, f"e{secrets.token_hex(4)}"]}
    if then.startswith("remove:"):
        gone = then.removeprefix("remove:")
        return {name: value for name, value in kept.items() if not name.startswith(f"{gone}-")} | {
            EATER_KEYS: [known for known in keys if known != gone]
        }
    return kept


def _after(draft, key: str, then: str) -> str:
    place = KEYS.index(key)
    if then == "leave":
        return reverse("intake")
    if then == "back" and place:
        return reverse("intake_step", args=[draft.pk, KEYS[place - 1]])
    if then == "next":
        last = place + 1 == len(KEYS)
        return (
            reverse("intake_review", args=[draft.pk])
            if last
            else reverse("intake_step", args=[draft.pk, KEYS[place + 1]])
        )
    return reverse("intake_step", args=[draft.pk, key]) + ("#last-eater" if then == "add" else "")


def _where_left(draft) -> str:
    """The first step nothing was typed in yet, or the review."""
    key = next((key for key in KEYS if key not in draft.answers), REVIEW)
    return (
        reverse("intake_review", args=[draft.pk])
        if key == REVIEW
        else reverse("intake_step", args=[draft.pk, key])
    )


def _step_page(request: HttpRequest, draft, sitting: Sitting, key: str) -> HttpResponse:
    step = sitting.steps[key]
    context = {
        "draft": draft,
        "step": step,
        "steps": _steps(draft, sitting, key),
        "is_first": key == KEYS[0],
        "problems": step.problems,
        "sitting": sitting,
    }
    return render(request, "clients/intake_step.html", context)


def _steps(draft, sitting: Sitting, here: str) -> list[dict[str, object]]:
    """The steps above the form: filled in, here, to come; each one that can be opened is a link."""
    listed = []
    for kind, step in sitting.steps.items():
        listed.append(
            {
                "label": str(step.title) if kind == here else _step_label(step),
                "url": _step_url(draft, sitting, step, here),
                "state": "now" if kind == here else "done" if step.is_done else "ahead",
            }
        )
    url = reverse("intake_review", args=[draft.pk]) if here != REVIEW else ""
    return [*listed, {"label": _("Review"), "url": url, "state": "now" if here == REVIEW else "ahead"}]


def _step_label(step: Step) -> str:
    if step.data is None or step.is_done:
        return str(step.title)
    return _("%(step)s – look again") % {"step": step.title}


def _step_url(draft, sitting: Sitting, step: Step, here: str) -> str:
    if step.key == here or (step.needs_eaters and not sitting.eaters):
        return ""
    return reverse("intake_step", args=[draft.pk, step.key])


def _people(sitting: Sitting) -> list[dict[str, object]]:
    """Each eater with the cautions their answers raise so far."""
    keys = sitting.steps[EatersStep.key].keys
    return [
        {"eater": eater, "cautions": sitting.cautions(key)}
        for key, eater in zip(keys, sitting.eaters, strict=False)
    ]
