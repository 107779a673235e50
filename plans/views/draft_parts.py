"""What a draft says besides its table: seen on one page, and written part by part."""

from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.domain.units import System
from coaching.practice.access import coaches
from plans import selectors
from plans.access import draft_for, protocols_for, version_for
from plans.domain.draft_parts import (
    LISTS,
    ORDERED,
    Document,
    free_key,
    moved,
    rows_of,
    with_head,
    with_row,
    without_row,
    without_stage,
)
from plans.domain.filing.protocols import read_head, read_row
from plans.domain.gaps import gaps
from plans.forms.draft_parts import (
    FORMS,
    HeadForm,
    Known,
    NewProtocolForm,
    PartForm,
    StageForm,
    StageRemovalForm,
)
from plans.forms.recipes import key_of
from plans.services import drafts as services
from plans.views.draft_part_rows import TITLE_CHANGE, TITLE_NEW, TITLE_REMOVE, goes_with, parts_rows

if TYPE_CHECKING:
    from plans.models import ProtocolVersion

WAYS = {"up": -1, "down": 1}


@require_http_methods(["GET", "POST"])
@coaches
def protocol_new(request: HttpRequest) -> HttpResponse:
    """Begin a new protocol as a copy of a published version."""
    versions = {
        str(version.pk): version for version in selectors.all_published(protocols_for(request.member))
    }
    choices = [
        (pk, _("%(title)s, version %(number)d") % {"title": row.protocol.title, "number": row.number})
        for pk, row in versions.items()
    ]
    form = NewProtocolForm(request.POST or None, versions=choices)
    if request.method == "POST" and form.is_valid():
        like = versions[form.cleaned_data["like"]]
        draft = _begun(request, form, version_for(request.member, like.protocol_id, like.number))
        if draft is not None:
            messages.success(request, _("The protocol is begun. Say here what is its own."))
            return redirect("draft_parts", pk=draft.protocol_id)
    return render(request, "plans/protocol_new.html", {"form": form, "can_copy": bool(versions)})


@require_safe
@coaches
def draft_parts(request: HttpRequest, pk: UUID) -> HttpResponse:
    """All parts of the draft, each with what is open about it."""
    draft = draft_for(request.member, pk)
    held, practice = selectors.protocol_of(draft), request.member.practice
    foods = selectors.foods_of(practice)
    found = gaps(held, foods, selectors.recipes_of(practice))
    context = {
        **_context(draft),
        **parts_rows(held, foods, System(practice.units), found),
        "state": selectors.edit_state(draft),
        "rule_count": len(held.rules),
    }
    return render(request, "plans/draft_parts.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def draft_head(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Change what the protocol says of itself."""
    draft = draft_for(request.member, pk)
    form = HeadForm(request.POST or None, known=_known(draft), seen=draft.digest, row=draft.document)
    if request.method == "POST" and form.is_valid():
        head, problems = read_head({**form.values(), "key": draft.document["key"]})
        form.show(problems)
        if head is not None and _saved(request, draft, form, with_head(draft.document, head)):
            return _back(pk, "head")
    return _form_page(request, draft, form, _("What the protocol says of itself"), "head")


@require_http_methods(["GET", "POST"])
@coaches
def draft_part(request: HttpRequest, pk: UUID, noun: str, place: int | None = None) -> HttpResponse:
    """Write a new row of a part, or change the one in a place, counted from 1."""
    draft = draft_for(request.member, pk)
    row = _row(request, draft, noun, place)
    known = _known(draft)
    form = FORMS[noun](
        request.POST or None,
        known=known,
        seen=draft.digest,
        row=row,
        **({} if row else {"initial": {"before": request.GET.get("before", "")}}),
    )
    if request.method == "POST" and form.is_valid():
        values = {**form.values(), **_key(draft.document, noun, row, form)}
        record, problems = read_row(noun, values, [stage.key for stage in known.stages], known.foods.values())
        form.show(problems)
        if record is not None and _saved(request, draft, form, _with(draft, noun, place, record, form)):
            return _back(pk, noun)
    titles = TITLE_NEW if place is None else TITLE_CHANGE
    return _form_page(request, draft, form, titles[noun], noun)


@require_http_methods(["GET", "POST"])
@coaches
def draft_part_remove(request: HttpRequest, pk: UUID, noun: str, place: int) -> HttpResponse:
    """Say what goes, then remove it."""
    draft = draft_for(request.member, pk)
    row = _row(request, draft, noun, place)
    if row is None:
        return _lost(request, draft, noun)
    if noun == "stage":
        return _stage_removal(request, draft, place - 1)
    if request.method == "POST":
        return _act(
            request,
            draft,
            noun,
            without_row(draft.document, noun, place - 1),
            _("Removed. It can be undone."),
        )
    context = {**_context(draft), "noun": noun, "heading": TITLE_REMOVE[noun], "title": row.get("title", "")}
    return render(request, "plans/draft_part_remove.html", context)


@require_POST
@coaches
def draft_part_move(request: HttpRequest, pk: UUID, noun: str, place: int, way: str) -> HttpResponse:
    """Move a stage or a challenge one place up or down."""
    if noun not in ORDERED or way not in WAYS:
        raise Http404
    draft = draft_for(request.member, pk)
    if _row(request, draft, noun, place) is None:
        return _lost(request, draft, noun)
    return _act(
        request, draft, noun, moved(draft.document, noun, place - 1, WAYS[way]), _("Moved. It can be undone.")
    )


@require_POST
@coaches
def draft_parts_step(request: HttpRequest, pk: UUID, way: str) -> HttpResponse:
    """Take the last edit of the draft back, or make it again."""
    steps = {"undo": services.draft_undo, "redo": services.draft_redo}
    if way not in steps:
        raise Http404
    draft = draft_for(request.member, pk)
    try:
        steps[way](draft=draft, seen=request.POST.get("seen", ""), by=request.member.user, at=clock.now())
    except Refused as refused:
        return _refused(request, pk, "", refused)
    messages.success(request, _("Taken back.") if way == "undo" else _("Made again."))
    return _back(pk, "")


def _begun(request: HttpRequest, form: NewProtocolForm, like: "ProtocolVersion") -> "ProtocolVersion | None":
    """The draft of the new protocol, or None with the problems shown."""
    title = form.cleaned_data["title"]
    taken = set(protocols_for(request.member).values_list("key", flat=True))
    said = {name: like.document[name] for name in ("summary", "source")}
    head, problems = read_head(
        {**said, "title": title, "key": key_of(title) or free_key("", taken, "protocol")}
    )
    form.show(problems)
    if head is None:
        return None
    try:
        return services.protocol_begin(
            practice=request.member.practice,
            head={name: head[name] for name in ("key", "title")},
            like=like,
            by=request.member.user,
            at=clock.now(),
        )
    except Refused as refused:
        form.show(refused.problems)
    return None


def _known(draft: "ProtocolVersion") -> Known:
    held = selectors.protocol_of(draft)
    return Known(selectors.foods_of(draft.protocol.practice), held.stages, held.lead_in)


def _row(request: HttpRequest, draft: "ProtocolVersion", noun: str, place: int | None) -> Any:
    """The record in a place, None for a new one. Raises Http404 for what the draft cannot have.

    None also when the place was lost because the draft changed since the page was shown: the service refuses that.
    """
    if noun not in LISTS:
        raise Http404
    rows = rows_of(draft.document, noun)
    if place is None:
        return None
    if 1 <= place <= len(rows):
        return rows[place - 1]
    if request.method == "POST" and request.POST.get("seen") != draft.digest:
        return None
    raise Http404


def _key(document: Document, noun: str, row: Any, form: PartForm) -> dict[str, str]:
    """The key of a row: the one it has, or one made from its title. Modifiers have none."""
    if noun == "modifier":
        return {}
    if row is not None:
        return {"key": row["key"]}
    taken = {other["key"] for other in rows_of(document, noun)}
    return {"key": free_key(key_of(form.cleaned_data["title"]), taken, noun.replace("_", "-"))}


def _with(
    draft: "ProtocolVersion", noun: str, place: int | None, record: dict[str, Any], form: PartForm
) -> dict[str, Any]:
    """The document with the record that was read. A place that was lost meanwhile is refused when it is saved."""
    document = draft.document
    if place is not None and place <= len(rows_of(document, noun)):
        return with_row(document, noun, place - 1, record)
    before = form.place_before if isinstance(form, StageForm) and place is None else None
    return with_row(document, noun, None, record, before=before)


def _saved(request: HttpRequest, draft: "ProtocolVersion", form: PartForm, document: dict[str, Any]) -> bool:
    """Whether the edit was made; if not, the form says why."""
    try:
        _rewrite(request, draft, document)
    except Refused as refused:
        form.show(refused.problems)
        return False
    messages.success(request, _("Saved in the draft."))
    return True


def _rewrite(request: HttpRequest, draft: "ProtocolVersion", document: dict[str, Any]) -> None:
    services.draft_rewrite(
        draft=draft,
        seen=request.POST.get("seen", ""),
        document=document,
        by=request.member.user,
        at=clock.now(),
    )


def _act(
    request: HttpRequest, draft: "ProtocolVersion", noun: str, document: dict[str, Any], said: str
) -> HttpResponse:
    """Make an edit that a button asks for, and go back to the parts."""
    try:
        _rewrite(request, draft, document)
    except Refused as refused:
        return _refused(request, draft.protocol_id, noun, refused)
    messages.success(request, said)
    return _back(draft.protocol_id, noun)


def _lost(request: HttpRequest, draft: "ProtocolVersion", noun: str) -> HttpResponse:
    """The row was lost because the draft changed since the page was shown, which the service refuses."""
    return _act(request, draft, noun, dict(draft.document), "")


def _refused(request: HttpRequest, pk: UUID, noun: str, refused: Refused) -> HttpResponse:
    for problem in refused.problems:
        messages.error(request, f"{problem.message} {problem.fix}".strip())
    return _back(pk, noun)


def _stage_removal(request: HttpRequest, draft: "ProtocolVersion", at: int) -> HttpResponse:
    document = draft.document
    stages = rows_of(document, "stage")
    if len(stages) == 1:
        problem = Problem(0, "", _("A protocol has at least one stage."), _("Add another one first."))
        return _refused(request, draft.protocol_id, "stage", Refused(problem))
    stage, after = stages[at], stages[at + 1] if at + 1 < len(stages) else None
    going = goes_with(document, stage["key"], selectors.foods_of(draft.protocol.practice))
    asks = bool(going["targets"] or going["challenges"])
    form = StageRemovalForm(
        request.POST or None,
        next_title=after["title"] if after else "",
        initial={"seen": draft.digest, "rows": "" if after else StageRemovalForm.REMOVE},
    )
    if request.method == "POST" and (not asks or form.is_valid()):
        moves = asks and after is not None and form.cleaned_data["rows"] == StageRemovalForm.MOVE
        without = without_stage(document, stage["key"], after["key"] if moves else None)
        return _act(request, draft, "stage", without, _("Removed. It can be undone."))
    context = {**_context(draft), "noun": "stage", "heading": TITLE_REMOVE["stage"], "title": stage["title"]}
    context |= {"going": going, "asks": asks, "form": form, "is_last": after is None}
    return render(request, "plans/draft_part_remove.html", context)


def _back(pk: UUID, noun: str) -> HttpResponse:
    return redirect(f"{reverse('draft_parts', args=[pk])}{f'#{noun}' if noun else ''}")


def _context(draft: "ProtocolVersion") -> dict[str, Any]:
    return {
        "draft": draft,
        "pk": draft.protocol_id,
        "seen": draft.digest,
        "protocol": selectors.protocol_of(draft),
    }


def _form_page(
    request: HttpRequest, draft: "ProtocolVersion", form: PartForm, heading: Any, noun: str
) -> HttpResponse:
    foods = sorted(form.known.foods.values(), key=lambda food: food.name.casefold())
    context = {
        **_context(draft),
        "form": form,
        "noun": noun,
        "heading": heading,
        "foods": foods if "food" in form.fields else (),
    }
    return render(request, "plans/draft_part.html", context)
