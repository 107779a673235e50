"""The coach's first screen: who needs me, and why."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from coaching import clock
from coaching.desk.access import clients_for
from coaching.desk.selectors.board import BoardRow, board_rows
from coaching.desk.wording import ATTENTION, ATTENTION_SHORT
from coaching.practice.access import Role, staff
from coaching.web.parts import wants_part

PAGE_SIZE = 50


@require_safe
@staff
def board(request: HttpRequest) -> HttpResponse:
    """Every client the member looks after, the most pressing first; search, filter, sort and page by GET."""
    member = request.member
    today = clock.today_in(member.practice.time_zone)
    health = member.role != Role.ASSISTANT
    rows = board_rows(clients_for(member), today=today, health=health)
    wanted = _wanted(request)
    shown = _sorted([row for row in rows if _matches(row, wanted)], wanted["sort"])
    page = Paginator(shown, PAGE_SIZE).get_page(request.GET.get("page"))
    context = {
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "rows": [_for_page(row) for row in page],
        "q": wanted["q"],
        "sieves": _sieves(rows, wanted),
        "is_sieved": any(wanted[key] for key in ("q", "why", "stage")),
        "all_count": len(rows),
        "needing_count": sum(1 for row in rows if row.pressing),
        "today": today,
        "health": health,
    }
    template = "desk/_board_rows.html" if wants_part(request) else "desk/board.html"
    return render(request, template, context)


def _wanted(request: HttpRequest) -> dict[str, str]:
    return {key: request.GET.get(key, "").strip()[:80] for key in ("q", "why", "stage", "sort")}


def _matches(row: BoardRow, wanted: dict[str, str]) -> bool:
    words = wanted["q"].casefold().split()
    text = " ".join([row.name, row.household, row.email, *(line.eater for line in row.lines)]).casefold()
    if not all(word in text for word in words):
        return False
    if wanted["why"] == "any" and not row.attention:
        return False
    if wanted["why"] not in ("", "any") and wanted["why"] not in {reason.code for reason in row.attention}:
        return False
    return not wanted["stage"] or wanted["stage"] in {line.stage for line in row.lines}


def _sorted(rows: list[BoardRow], by: str) -> list[BoardRow]:
    """The board's own order is the default; by name and by longest silence are the others."""
    if by == "name":
        return sorted(rows, key=lambda row: row.name.casefold())
    if by == "silence":
        return sorted(
            rows, key=lambda row: (row.last_check_in is not None, row.last_check_in, row.name.casefold())
        )
    return rows


def _for_page(row: BoardRow) -> dict[str, object]:
    reasons = [
        {"code": reason.code, "words": ATTENTION[reason.code] % reason.facts} for reason in row.attention
    ]
    return {"row": row, "reasons": reasons}


def _sieves(rows: list[BoardRow], wanted: dict[str, str]) -> list[dict[str, object]]:
    codes = {reason.code for row in rows for reason in row.attention}
    stages = sorted({line.stage for row in rows for line in row.lines})
    return [
        {
            "name": "why",
            "label": _("Needs me because"),
            "value": wanted["why"],
            "options": [{"value": "any", "label": _("Any reason")}]
            + [{"value": code, "label": ATTENTION_SHORT[code]} for code in ATTENTION_SHORT if code in codes],
        },
        {
            "name": "stage",
            "label": _("Stage"),
            "value": wanted["stage"],
            "options": [{"value": stage, "label": stage} for stage in stages],
        },
        {
            "name": "sort",
            "label": _("Order"),
            "value": wanted["sort"],
            "empty_label": _("Most pressing first"),
            "options": [
                {"value": "name", "label": _("By name")},
                {"value": "silence", "label": _("Longest silence first")},
            ],
        },
    ]
