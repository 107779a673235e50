"""The rules table editor: a draft of a protocol as a table, edited cell by cell until it is published."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coaching import clock
from coaching.domain.errors import Problem, Refused
from coaching.domain.units import System
from coaching.practice.access import coaches
from coaching.web.parts import wants_part
from plans import selectors
from plans.access import draft_for, protocol_for, protocols_for, recipes_for
from plans.domain.differences import differences
from plans.domain.gaps import gaps
from plans.domain.table import Cell, Table, cell_of
from plans.services import drafts as services
from plans.views.change_words import Names, say_gaps
from plans.views.draft_cells import (
    MEND,
    OWN,
    Sheet,
    Sieve,
    change_said,
    changed_targets,
    mend_lines,
    sheet_of,
)
from plans.views.draft_panel import Kitchen, allowance_choices, panel_context, typed_values
from plans.views.protocol_changes import by_stage


@require_POST
@coaches
def draft_begin(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Begin a draft of a protocol, or go on with the one there is."""
    row = protocol_for(request.member, pk)
    services.draft_begin(protocol=row, by=request.member.user, at=clock.now())
    return redirect("draft", pk=pk)


@require_safe
@coaches
def draft(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The table: foods down, stages across. Sieved by GET."""
    row = draft_for(request.member, pk)
    held, foods = selectors.protocol_of(row), selectors.foods_of(row.protocol.practice)
    sieve = Sieve(
        **{name: request.GET.get(name, "").strip()[:80] for name in ("q", "group", "only", "stage")}
    )
    if sieve.stage not in {stage.key for stage in held.stages}:
        sieve = Sieve(sieve.q, sieve.group, sieve.only)
    sheet = sheet_of(held, foods, System(request.member.practice.units), sieve)
    sections = sheet.sections()
    shown = sum(row["is_shown"] for section in sections for row in _rows_of(section))
    context = {
        **_draft_context(row),
        "stages": held.stages,
        "sections": sections,
        "stage_shown": sieve.stage,
        "shown_rows": shown,
        "all_rows": sum(len(_rows_of(section)) for section in sections),
        "choices": allowance_choices(),
        "mend": mend_lines(held, foods),
        "state": selectors.edit_state(row),
        "q": sieve.q,
        "sieves": _sieves(sieve, sheet.table),
    }
    return render(request, "plans/draft.html", context)


@require_http_methods(["GET", "POST"])
@coaches
def draft_panel(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The panel for the chosen cells; POST reads too, for more cells than an address holds."""
    row = draft_for(request.member, pk)
    foods = selectors.foods_of(row.protocol.practice)
    table = Table(selectors.protocol_of(row), foods)
    asked = request.GET if request.method == "GET" else request.POST
    cells = _cells(table, _cell_ids(asked))
    if not cells:
        return render(
            request, _part(request, "draft_panel"), _draft_context(row) | {"title": _("No cell is chosen")}
        )
    return _panel_page(request, row, cells, foods)


@require_POST
@coaches
def draft_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One edit. The script gets what changed as JSON, a form without it the page again."""
    row = draft_for(request.member, pk)
    practice = request.member.practice
    system = System(practice.units)
    foods = selectors.foods_of(row.protocol.practice)
    old = sheet_of(selectors.protocol_of(row), foods, system)
    wants_json = request.accepts("application/json") and not request.accepts("text/html")
    try:
        held = _edited(request, row)
    except Refused as refused:
        if wants_json:
            return JsonResponse(_refusal(request, old, refused), status=409)
        return _refused_page(request, row, old.table, refused)
    new = sheet_of(selectors.protocol_of(held), foods, system)
    if old.table.stages != new.table.stages:
        said, targets = _("The stages changed."), []
    else:
        targets = changed_targets(old.table, new.table)
        said = change_said(old, new, targets)
    if not wants_json:
        messages.success(request, said)
        return redirect("draft", pk=pk)
    state = selectors.edit_state(held)
    mend = mend_lines(new.table.protocol, foods)
    answer = {
        "seen": held.digest,
        "undo": state.undo,
        "redo": state.redo,
        "said": said,
        "reload": old.table.stages != new.table.stages,
        "rows": {str(target): _row_html(new, target, pk) for target in targets},
        "mend": render_to_string("plans/_draft_mend.html", {"mend": mend, "pk": pk}, request),
        "mend_count": len(mend),
    }
    return JsonResponse(answer)


@require_safe
@coaches
def draft_gaps(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What the draft leaves open, weighed against all recipes."""
    row = draft_for(request.member, pk)
    held = selectors.protocol_of(row)
    book = selectors.book_of(row.protocol.practice)
    template = _part(request, "draft_gaps")
    beside_the_table = template.startswith("plans/_")
    found = [
        gap
        for gap in gaps(held, book.foods, book.recipes)
        if not (beside_the_table and gap.is_mistake)  # there the mistakes have a list of their own
    ]
    return render(request, template, _draft_context(row) | {"gaps": say_gaps(found, held, book.foods)})


@require_safe
@coaches
def draft_changes(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The draft against the published version, in words; it is published from here."""
    return _changes_page(request, draft_for(request.member, pk))


@require_POST
@coaches
def draft_publish(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Publish the draft as the next version."""
    row = draft_for(request.member, pk)
    try:
        held = services.draft_publish(
            draft=row, seen=request.POST.get("seen", ""), by=request.member.user, at=clock.now()
        )
    except Refused as refused:
        return _changes_page(request, row, refused.problems)
    messages.success(
        request,
        _("Version %(number)d is published. Eaters stay on theirs until you move them.")
        % {"number": held.number},
    )
    return redirect("protocol", pk=pk)


@require_http_methods(["GET", "POST"])
@coaches
def draft_discard(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask, then throw the draft away."""
    row = draft_for(request.member, pk)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        try:
            services.draft_discard(
                draft=row, seen=request.POST.get("seen", ""), by=request.member.user, at=clock.now()
            )
        except Refused as refused:
            problems = refused.problems
        else:
            messages.success(request, _("The draft is discarded."))
            kept = protocols_for(request.member).filter(pk=pk).exists()
            return redirect("protocol", pk=pk) if kept else redirect("protocols")
    context = _draft_context(row) | {"problems": problems, "state": selectors.edit_state(row)}
    return render(request, "plans/draft_discard.html", context)


def _draft_context(row: Any) -> dict[str, Any]:
    return {
        "draft": row,
        "pk": row.protocol_id,
        "seen": row.digest,
        "protocol": selectors.protocol_of(row),
        "is_published": row.number > 1,
    }


def _part(request: HttpRequest, name: str) -> str:
    """The template of a page, or of its inner part where a script asked for that."""
    return f"plans/_{name}.html" if wants_part(request) else f"plans/{name}.html"


def _rows_of(section: dict[str, Any]) -> list[dict[str, Any]]:
    return [*([section["head"]] if section["head"] else []), *section["foods"]]


def _row_html(sheet: Sheet, target: Any, pk: UUID) -> str:
    """A line of the table as it is now; nothing for one the table has no longer."""
    line = sheet.table.line(target)
    groups = {food.group for food in sheet.table.foods.values()}
    if not line.has_own and not sheet.table.knows(target, groups):
        return ""
    return render_to_string(
        "plans/_draft_row.html", {"row": sheet.row(line), "panel_url": reverse("draft_panel", args=[pk])}
    )


def _cell_ids(asked: Any) -> list[str]:
    """The cells that were asked for: one a field, or many in one field, a line each."""
    return list(dict.fromkeys([*asked.getlist("cell"), *asked.get("cells", "").splitlines()]))


def _cells(table: Table, ids: list[str]) -> list[Cell]:
    """The cells these texts name. Raises Http404 for one the table cannot have."""
    if len(ids) > services.MOST_CELLS:
        raise Http404
    try:
        return [table.cell(*cell_of(text)) for text in ids]
    except (KeyError, ValueError) as error:
        raise Http404 from error


def _edited(request: HttpRequest, row: Any) -> Any:
    """Make the edit that was asked for. Raises Refused."""
    posted = request.POST
    common: dict[str, Any] = {
        "draft": row,
        "seen": posted.get("seen", ""),
        "by": request.member.user,
        "at": clock.now(),
    }
    match posted.get("do", ""):
        case "set":
            return services.cells_set(cells=_cell_ids(posted), values=typed_values(posted.dict()), **common)
        case "clear":
            return services.cells_clear(cells=_cell_ids(posted), **common)
        case "undo":
            return services.draft_undo(**common)
        case "redo":
            return services.draft_redo(**common)
    raise Refused(Problem(0, "do", _("Nothing was asked for."), _("Load the page again.")))


def _refusal(request: HttpRequest, sheet: Sheet, refused: Refused) -> dict[str, Any]:
    """Why an edit was refused, and the rows it was about as they are."""
    known = {str(line.target): line.target for section in sheet.table.sections for line in _lines_of(section)}
    about = {text.rpartition("@")[0] for text in _cell_ids(request.POST)} & known.keys()
    return {
        "stale": any(problem.field == "seen" for problem in refused.problems),
        "problems": [
            {"field": problem.field, "message": str(problem.message), "fix": str(problem.fix)}
            for problem in refused.problems
        ],
        "rows": {
            text: _row_html(sheet, known[text], request.resolver_match.kwargs["pk"]) for text in sorted(about)
        },
    }


def _lines_of(section: Any) -> tuple[Any, ...]:
    return (*((section.head,) if section.head else ()), *section.foods)


def _refused_page(request: HttpRequest, row: Any, table: Table, refused: Refused) -> HttpResponse:
    """A refused edit without a script: the panel again with what was typed, or the table with the reason."""
    cells = _cells(table, _cell_ids(request.POST))
    if cells and request.POST.get("do") == "set":
        foods = dict(table.foods)
        return _panel_page(request, row, cells, foods, request.POST.dict(), refused.problems)
    for problem in refused.problems:
        messages.error(request, f"{problem.message} {problem.fix}")
    return redirect("draft", pk=row.protocol_id)


def _panel_page(
    request: HttpRequest, row: Any, cells: list[Cell], foods: Any, typed: Any = None, problems: Any = ()
) -> HttpResponse:
    practice = request.member.practice
    sheet = sheet_of(selectors.protocol_of(row), foods, System(practice.units))
    published = _compared(row)
    kitchen = Kitchen(
        foods,
        selectors.recipes_of(practice),
        selectors.protocol_of(published) if published is not None else None,
    )
    context = _draft_context(row) | panel_context(cells, sheet, kitchen, typed=typed, problems=problems)
    pages = dict(recipes_for(request.member).values_list("key", "pk"))
    for recipe in context["recipes"]:
        recipe["pk"] = pages.get(recipe["key"])
    return render(request, _part(request, "draft_panel"), context)


def _compared(row: Any) -> Any:
    """What a draft is compared with: the newest published version, or for a new protocol the one it is a copy of."""
    return selectors.newest_published(row.protocol) or row.basis


def _changes_page(request: HttpRequest, row: Any, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    new, foods = selectors.protocol_of(row), selectors.foods_of(row.protocol.practice)
    against = _compared(row)
    parts: list[dict[str, Any]] = []
    if against is not None:
        old = selectors.protocol_of(against)
        names = Names(foods, old, new, System(request.member.practice.units))
        parts = by_stage(differences(old, new, foods), names)
    context = _draft_context(row) | {
        "against": against,
        "parts": parts,
        "mend": mend_lines(new, foods),
        "problems": problems,
    }
    return render(request, "plans/draft_changes.html", context)


def _sieves(sieve: Sieve, table: Table) -> list[dict[str, Any]]:
    groups = [section.group for section in table.sections if section.group]
    choices = {
        "group": (_("Group"), {name: name for name in groups}, ""),
        "only": (
            _("Rows"),
            {OWN: _("only with rows of their own"), MEND: _("only to be mended")},
            "",
        ),
        "stage": (_("Stages"), {stage.key: stage.title for stage in table.stages}, ""),
    }
    values = {"group": sieve.group, "only": sieve.only, "stage": sieve.stage}
    return [
        {
            "name": name,
            "label": label,
            "value": values[name],
            "options": [{"value": value, "label": text} for value, text in options.items()],
            "empty_label": empty,
        }
        for name, (label, options, empty) in choices.items()
    ]
