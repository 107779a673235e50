"""What an eater may eat on a day, and why: every food of the book, searched and narrowed, and what opens next."""

from datetime import date, timedelta
from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from clients.access import eater_for
from clients.selectors.cautions import packet_blocks
from clients.selectors.people import local_date
from clients.selectors.protocols import foods_named
from clients.services.eater_foods import EaterFoods, eaters_foods
from coaching import clock
from coaching.practice.access import coaches
from coaching.web.parts import wants_part
from plans.domain.vocabulary import Allowance
from plans.wording import ALLOWANCE

PAGE_SIZE = 50
FARTHEST = timedelta(days=731)
"""How far from today a day may be looked at: two years either way."""


@require_safe
@coaches
def eater_foods(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Every food for one eater on one day, with its allowance, forms, amount and reasons."""
    eater = eater_for(request.member, pk)
    practice = eater.household.practice
    today = local_date(eater.household, clock.now())
    typed = request.GET.get("on", "").strip()[:10]
    on = _day(typed, today)
    (answers,) = eaters_foods([eater], practice=practice, on=on or today, today=today)
    q, group, word = (request.GET.get(name, "").strip()[:80] for name in ("q", "group", "allowance"))
    keys = [
        key
        for key in foods_named(practice, q=q, group=group)
        if not word or answers.given[key].allowance.word == word
    ]
    is_whole = "all" in request.GET
    pages = Paginator(keys, max(1, len(keys)) if is_whole else PAGE_SIZE)
    page = pages.get_page(request.GET.get("page"))
    context = {
        "eater": eater,
        "household": eater.household,
        "answers": answers,
        "today": today,
        "typed": typed if typed and on is None else "",
        "blocks": packet_blocks(eater.household),
        "ahead": answers.ahead_words(),
        "page_obj": page,
        "page_range": pages.get_elided_page_range(page.number),
        "rows": [{"food": answers.foods[key], "words": answers.words(key, to_staff=True)} for key in page],
        "q": q,
        "sieves": _sieves(answers, group, word),
        "is_whole": is_whole,
    }
    template = "clients/_eater_foods_rows.html" if wants_part(request) else "clients/eater_foods.html"
    return render(request, template, context)


def _day(typed: str, today: date) -> date | None:
    """The day that was asked for; None for none, for what is no day, and for one out of reach."""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return None
    return day if abs(day - today) <= FARTHEST else None


def _sieves(answers: EaterFoods, group: str, word: str) -> list[dict[str, object]]:
    groups = sorted({food.group for food in answers.foods.values()})
    return [
        {
            "name": "group",
            "label": _("Group"),
            "value": group,
            "options": [{"value": name, "label": name} for name in groups],
        },
        {
            "name": "allowance",
            "label": _("Allowance"),
            "value": word,
            "options": [{"value": one.word, "label": ALLOWANCE[one]} for one in Allowance],
        },
    ]
