"""What a week's page shows, in words: the table, the stove with its reasons, and how good the plan is."""

from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from clients.services.weeks import no_week_of, week_values
from clients.views.stock_chart import stock_chart
from clients.wording.wants import order_words
from clients.wording.weeks import COST, quality_words, reason_words
from coaching.domain.units import System
from plans.domain.batch.week_need import stock_needs
from plans.domain.brief import Brief, Week
from plans.printables.facts import WeekSheet
from plans.printables.week import cook_words, week_sheet


def week_page(row) -> dict[str, Any]:
    """The context of a week's page, by the week's state."""
    context = {"week": row, "household": row.household}
    if row.state == row.State.NONE:
        answer = no_week_of(row)
        return context | {
            "conflicts": [reason_words(reason) for reason in answer.conflicts],
            "relaxations": [reason_words(reason) for reason in answer.relaxations],
        }
    if row.state == row.State.ASKED:
        return context
    week, brief = week_values(row)
    system = System(row.household.practice.units)
    sheet = week_sheet(week=week, brief=brief, system=system)
    return context | {
        "sheet": sheet,
        "stove": _stove(week, brief, system, sheet),
        "batches": _batches(row, week, brief),
        "stock": stock_chart(week, brief, system),
        "eaters": _eaters(row, week, brief),
        "quality": quality_words(week.gap),
        "wanted": order_words(brief.wants),
        "costs": [{"term": COST[part], "value": cost} for part, cost in week.objective.items() if cost],
    }


def _batches(row, week: Week, brief: Brief) -> list[dict[str, Any]]:
    """The pots of stock, each with the page that works it out."""
    page = reverse("batch", args=[row.household_id])
    return [
        {
            "stock": needed.recipe.title,
            "on": needed.on,
            "url": f"{page}?{urlencode({'week': row.pk, 'cook': key})}",
        }
        for key, needed in stock_needs(week, brief).items()
    ]


def _eaters(row, week: Week, brief: Brief) -> list[dict[str, str]]:
    """Everyone with a plate, each with the page on what the plan holds for them."""
    eating = {plate.eater for plate in week.plates}
    return [
        {"name": eater.name, "url": reverse("week_nutrition", args=[row.pk, eater.key])}
        for eater in brief.eaters
        if eater.key in eating
    ]


def _stove(week: Week, brief: Brief, system: System, sheet: WeekSheet) -> list[dict[str, Any]]:
    """What to cook and to thaw, day by day, each pot with its reasons."""
    words = cook_words(week=week, brief=brief, system=system)
    rows = [
        (
            cook.on,
            {
                "why": words[cook.key],
                "note": " ".join(reason_words(reason) for reason in cook.why),
            },
        )
        for cook in sorted(week.cooks, key=lambda cook: (cook.on, cook.key))
    ]
    eve = week.start - timedelta(days=1)
    days = [
        (eve, sheet.before),
        *((week.start + timedelta(days=place), day) for place, day in enumerate(sheet.days)),
    ]
    rows += [(on, {"why": line}) for on, day in days if day is not None for line in day.freezer]
    rows.sort(key=lambda row: row[0])
    seen: set[date] = set()
    listed = []
    for on, row in rows:
        listed.append(row | {"who": "" if on in seen else date_format(on, _("l j M"))})
        seen.add(on)
    return listed
