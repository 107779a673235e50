"""How a line of the shopping list is said, on paper and on the phone, in the language that is active."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import ROUND_CEILING, Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.brief import Reason
from plans.domain.leftovers import DISH, FREEZE, KEEPS, USE_WITHIN
from plans.domain.packs import weighed_out
from plans.domain.quantities import shown
from plans.domain.shopping import Line
from plans.printables.words import days_words, listed, shown_words, weight_words

SPOILS_SOON = ("meat", "fish")
"""Aisles whose raw food keeps only days (foodsafety.gov, Cold Food Storage Chart)."""


def packs_words(packs: Iterable[tuple[Decimal, int]], food: Food, system: System) -> str:
    """``1 × 1 kg (2 lb 3 oz)``, several sizes joined by a plus."""
    return " + ".join(
        _("%(count)d × %(size)s") % {"count": count, "size": weight_words(size, food, system)}
        for size, count in packs
    )


def buy_words(short_g: Decimal, packs: Sequence[tuple[Decimal, int]], food: Food, system: System) -> str:
    """What to take from the shelf: whole packs, or loose food rounded up as a shop weighs it out."""
    if packs:
        return packs_words(packs, food, system)
    return weight_words(weighed_out(short_g, food, system), food, system)


def needed_words(line: Line, food: Food, system: System) -> str:
    """How much of it the week takes as bought, of vegetables and fruit with the pieces that makes."""
    words = shown_words(shown(line.gross_g, "g", food, system))
    piece_g = food.unit_weights_g.get("piece")
    if piece_g is None or food.aisle not in ("vegetables", "fruit"):
        return words
    pieces = int((line.need_g / piece_g).to_integral_value(ROUND_CEILING))
    return f"{words}, " + ngettext("about %(count)d", "about %(count)d", pieces) % {"count": pieces}


def house_words(line: Line, food: Food, system: System) -> str:
    """What of it is in the house and taken off, or nothing."""
    if not line.from_house_g:
        return ""
    return _("%(amount)s from what is in the house") % {
        "amount": weight_words(line.from_house_g, food, system)
    }


def spoils_words(line: Line, food: Food, *, shops_on: date, freezer: bool) -> str:
    """When raw meat and fish are cooked, and what to do with what would wait too long in the refrigerator."""
    if food.aisle not in SPOILS_SOON:
        return ""
    days = sorted({taking.on for taking in line.takings})
    words = _("for %(days)s") % {"days": listed([date_format(on, "D") for on in days])}
    keeps = food.fridge_days
    if keeps is None or (days[-1] - shops_on).days <= keeps:
        return words
    advice = (
        ngettext(
            "freeze at once what waits more than %(days)d day",
            "freeze at once what waits more than %(days)d days",
            keeps,
        )
        if freezer
        else ngettext(
            "buy it no more than %(days)d day before", "buy it no more than %(days)d days before", keeps
        )
    )
    return f"{words}; {advice % {'days': keeps}}"


def left_words(line: Line, places: Sequence[Reason], food: Food, system: System) -> str:
    """What is left over and where it could go, as sentences; nothing when ``places`` is empty."""
    if not places:
        return ""
    dishes = [
        _("%(dish)s on %(day)s")
        % {"dish": one.facts["dish"], "day": date_format(date.fromisoformat(str(one.facts["on"])), "l")}
        for one in places
        if one.code == DISH
    ]
    sentences = [_("%(amount)s left over.") % {"amount": weight_words(line.left_g, food, system)}]
    if dishes:
        sentences.append(_("More of it could go into %(dishes)s.") % {"dishes": listed(dishes, last=_("or"))})
    sentences += [_put_away_words(one) for one in places if one.code != DISH]
    return " ".join(sentences)


def _put_away_words(place: Reason) -> str:
    return {
        FREEZE: _("Use it within %(days)s of opening it, or freeze it: then it keeps %(frozen)s."),
        USE_WITHIN: _("Use it within %(days)s of opening it."),
        KEEPS: _("It keeps: put it down as in the house."),
    }[place.code] % {key: days_words(int(days)) for key, days in place.facts.items()}
