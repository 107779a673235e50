"""The foods of the practice: list, file, hand in."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from coaching.practice.access import COACHES, coaches, staff
from coaching.web.parts import wants_part
from plans import selectors
from plans.access import foods_for
from plans.domain.filing.foods import FoodsFile, foods_csv, foods_yaml
from plans.domain.records import food_from_record
from plans.services import foods as services
from plans.views.downloads import text_file, writer_for
from plans.views.uploads import Upload, upload_page
from plans.views.wording import filed_words

PAGE_SIZE = 50
EXAMPLE = """\
schema: ladlework/foods/1
foods:
  - key: carrot
    name: Carrot
    names: [carrots]
    group: soft roots
    aisle: vegetables
    unit_weights: {piece: 61, cup: 128}
    edible_share: 0.89
"""


@require_safe
@staff
def foods(request: HttpRequest) -> HttpResponse:
    """Foods by group and name; search and sieve by GET."""
    mine = foods_for(request.member)
    q, group = (request.GET.get(name, "").strip()[:80] for name in ("q", "group"))
    page = Paginator(selectors.foods_found(mine, q=q, group=group), PAGE_SIZE).get_page(
        request.GET.get("page")
    )
    groups = selectors.groups_of(mine)
    context = {
        "page_obj": page,
        "page_range": page.paginator.get_elided_page_range(page.number),
        "rows": [{"pk": row.pk, "food": food_from_record(row.document)} for row in page],
        "q": q,
        "sieves": [
            {
                "name": "group",
                "label": _("Group"),
                "value": group,
                "options": [{"value": name, "label": name} for name in groups],
            }
        ],
        "is_sieved": bool(q or group),
        "has_any": bool(groups),
        "may_change": request.member.role in COACHES,
    }
    template = "plans/_foods_rows.html" if wants_part(request) else "plans/foods.html"
    return render(request, template, context)


@require_http_methods(["GET", "POST"])
@coaches
def foods_import(request: HttpRequest) -> HttpResponse:
    """Hand in a foods file."""
    upload = Upload(
        title=gettext_lazy("Hand in foods"),
        lead=gettext_lazy("Foods with a key the book has are replaced, new keys are added, all others stay."),
        up=gettext_lazy("Foods"),
        up_name="foods",
        example=EXAMPLE,
        file=_file,
    )
    return upload_page(request, upload)


@require_safe
@staff
def foods_file(request: HttpRequest, kind: str) -> HttpResponse:
    """All foods as one file."""
    write = writer_for(kind, yaml=foods_yaml, csv=foods_csv)
    practice = request.member.practice
    held = tuple(selectors.own_foods_of(practice))
    return text_file(write(FoodsFile(held, selectors.sources_of(practice))), name="foods", kind=kind)


def _file(**kwargs: Any) -> str:
    return filed_words(services.foods_import(**kwargs))
