"""What a week's pages show, in words: the board with what waits on it, an offered change, why there is no week."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils.http import urlencode

from clients.domain.revising import LASTING, Change, change_from_record, change_record, meal_text
from clients.selectors.people import local_time
from clients.selectors.revising import changes_of, locks_of, revision_under_way, standing_of
from clients.services.weeks import no_week_of, week_values
from clients.views.stock_chart import stock_chart
from clients.views.week_board import Marks, week_board
from clients.views.week_offer import offer_words
from clients.wording.nutrition import energy_words
from clients.wording.revising import ChangeWords
from clients.wording.wants import order_words
from clients.wording.weeks import (
    COST,
    conflict_words,
    offers,
    quality_words,
    reason_words,
    relaxation_words,
)
from coaching.domain.units import System
from plans.domain.batch.week_need import stock_needs
from plans.domain.brief import Brief, Reason, Week
from plans.domain.eaten import past_at
from plans.domain.intake_week import ENERGY
from plans.domain.plated import mean_kcal

OF_THE_KITCHEN = {"more-minutes", "longer-at-home", "midday-at-home", "larger-pot", "a-freezer"}
"""What can be relaxed on the page of the kitchen."""
OF_A_REVISION = {"unlock-meal", "drop-wish"}
"""What can be relaxed on the board."""


def week_page(row, at: datetime) -> dict[str, Any]:
    """The context of a week's page, by the week's state."""
    context = {"week": row, "household": row.household}
    if row.state == row.State.NONE:
        return context | _no_week(row)
    if row.state == row.State.PLANNED:
        return context | _board(row, at)
    return context | _offer(row, at) if row.state == row.State.OFFERED else context


def _board(row, at: datetime) -> dict[str, Any]:
    """The board of a planned week. Only the standing week can be changed."""
    week, brief = week_values(row)
    now = local_time(row.household, at)
    today, past = now.date(), past_at(now, row.start)
    waiting = changes_of(row.waiting)
    standing = standing_of(row.household, row.start)
    is_over = past.day >= week.days
    marks = Marks(today=today, past=past, locks=locks_of(row), waiting=waiting)
    words = ChangeWords(week, brief)
    revision = revision_under_way(row)
    system = System(row.household.practice.units)
    return {
        "board": week_board(week, brief, system, marks),
        "standing": standing,
        "editable": standing == row.pk and not is_over,
        "is_over": is_over,
        "waiting": _listed(waiting, words),
        "lasting": _listed((one for one in changes_of(row.changes) if one.kind in LASTING), words),
        "revision": revision,
        "is_answered": revision is not None
        and revision.state != row.State.NONE
        and (revision.waiting, revision.locks) == (row.waiting, row.locks),
        "batches": _batches(row, week, brief),
        "stock": stock_chart(week, brief, system),
        "eaters": _eaters(row, week, brief),
        "quality": quality_words(week.gap),
        "wanted": order_words(brief.wants),
        "tight": [reason_words(reason) for reason in week.tight],
        "costs": [{"term": COST[part], "value": cost} for part, cost in week.objective.items() if cost],
    }


def _offer(row, at: datetime) -> dict[str, Any]:
    """An offered week beside the standing one."""
    week, brief = week_values(row)
    before, was = week_values(row.basis)
    words = offer_words(row)
    units, now = System(row.household.practice.units), local_time(row.household, at)
    plain = Marks(today=now.date(), past=past_at(now, row.start), locks=locks_of(row.basis))
    marks = replace(plain, was=words.was(), pots=words.notes())
    return {
        "asked": [change.words for change in _listed(changes_of(row.waiting), ChangeWords(before, brief))],
        "is_same": words.changes.none,
        "meals": words.meals(),
        "pots": words.pots(),
        "minutes": words.minutes(),
        "costs": words.costs(),
        "board": week_board(week, brief, units, marks),
        "old_board": week_board(before, was, units, plain),
        "is_overtaken": standing_of(row.household, row.start) != row.basis_id,
        "quality": quality_words(week.gap),
    }


def _no_week(row) -> dict[str, Any]:
    answer = no_week_of(row)
    asked = changes_of(row.waiting)
    return {
        "conflicts": conflict_words(answer.conflicts),
        "relaxations": [_relaxation(offer, row, asked) for offer in offers(answer.relaxations)],
        "asked": [] if row.basis is None else _listed(asked, ChangeWords(*week_values(row.basis))),
    }


def _relaxation(offer: Sequence[Reason], row, asked: Iterable[Change]) -> dict[str, str]:
    """What would help, and the button or the page that does it, where there is one for all it takes."""
    help_, reason = {"words": relaxation_words(offer)}, offer[0]
    if {one.code for one in offer} <= OF_THE_KITCHEN:
        return help_ | {"url": reverse("kitchen_edit", args=[row.household_id])}
    if row.basis is None or len(offer) > 1 or reason.code not in OF_A_REVISION:
        return help_
    on = datetime.fromisoformat(str(reason.facts["on"])).date()
    meal = f"{(on - row.start).days}-{reason.facts['slot']}"
    if reason.code == "unlock-meal":
        return help_ | {"unlock": meal}
    wish = next((one for one in asked if meal in [meal_text(named) for named in one.meals]), None)
    return help_ | {"take_back": token_of(wish)} if reason.code == "drop-wish" and wish else help_


def _listed(changes: Iterable[Change], words: ChangeWords) -> list["ListedChange"]:
    return [ListedChange(words.say(change), token_of(change)) for change in changes]


@dataclass(frozen=True, slots=True)
class ListedChange:
    """A change in words, and the text a form names it by."""

    words: str
    token: str


def token_of(change: Change) -> str:
    """A change as a form carries it."""
    return json.dumps(change_record(change), separators=(",", ":"), sort_keys=True)


def change_named(token: str) -> Change:
    """The change a form carries. Raises ValueError for a text that names none."""
    try:
        return change_from_record(json.loads(token))
    except (AttributeError, IndexError, KeyError, RecursionError, TypeError) as error:
        raise ValueError(token) from error


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
    """Everyone with a plate, each with the page on what the plan holds for them and its energy at a glance."""
    eating = {plate.eater for plate in week.plates}
    return [
        {
            "name": eater.name,
            "url": reverse("week_nutrition", args=[row.pk, eater.key]),
            "energy": energy_words(mean_kcal(week, brief, eater.key), eater.targets.get(ENERGY)),
        }
        for eater in brief.eaters
        if eater.key in eating
    ]
