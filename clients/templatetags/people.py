"""How people and cautions are put in words on a page."""

from decimal import Decimal
from typing import Any

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clients.domain.blocks import Block
from clients.domain.people import WEEKDAYS, KitchenFacts, NewEnrolment
from clients.domain.presence import away_from_record
from clients.domain.screening import Strength
from clients.models import Eater
from clients.wording.blocks import block_words
from clients.wording.families import FAMILY
from clients.wording.presence import away_words
from clients.wording.screening import STRENGTH_MEANS, caution_words
from clients.wording.weekdays import WEEKDAY
from coaching.domain.units import System, convert
from plans.printables.words import span_words

register = template.Library()
YEARS_FROM_MONTHS = 24


@register.filter
def age(months: int) -> str:
    """An age for a reader: months up to two years, then years."""
    if months < YEARS_FROM_MONTHS:
        return ngettext("%(n)s month", "%(n)s months", months) % {"n": months}
    years = months // 12
    return ngettext("%(n)s year", "%(n)s years", years) % {"n": years}


@register.filter
def family(key: str) -> str:
    """An allergen family by name."""
    return str(FAMILY.get(key, key))


@register.simple_tag
def words_of(caution: Any, emergency_number: str) -> dict[str, Any]:
    """A caution's title, meaning and strength in words, and what the strength asks for while nobody has signed off."""
    words = caution_words(caution.rule, caution.facts, emergency_number)
    strength = Strength(caution.strength)
    return {
        "title": words.title,
        "meaning": words.meaning,
        "strength": strength.value.replace("-", "_"),
        "points": [] if getattr(caution, "sign_off", None) else [str(STRENGTH_MEANS[strength])],
    }


@register.simple_tag
def block_of(block: Block, emergency_number: str) -> str:
    """What keeps a household from weeks and packets, as a sentence."""
    return block_words(block, emergency_number)


@register.filter
def stage_day(day: int) -> str:
    """Where someone is in a stage: its day, or the days until it begins."""
    if day >= 1:
        return _("day %(day)s") % {"day": day}
    return ngettext("begins in %(days)s day", "begins in %(days)s days", 1 - day) % {"days": 1 - day}


@register.filter
def weekdays(kitchen: KitchenFacts) -> list[dict[str, Any]]:
    """The week of a kitchen: minutes of cooking, the longest time at home, and whether the day is busy or out."""
    return [
        {
            "label": WEEKDAY[day],
            "minutes": kitchen.hands_on_min.get(day, 0),
            "busy": day in kitchen.busy,
            "at_home": span_words(kitchen.at_home_min[day]) if day in kitchen.at_home_min else "",
            "out": day in kitchen.out,
        }
        for day in WEEKDAYS
    ]


@register.filter
def eats_elsewhere(eater: Eater) -> list[str]:
    """The meals an eater eats elsewhere every week, a line for each slot."""
    return away_words(away_from_record(eater.away))


@register.simple_tag
def pot_size(litres: Decimal, units: str) -> str:
    """A pot's size in the practice's own unit."""
    if units == System.US:
        quarts = round(convert(litres, "l", "quart"), 2).normalize()
        return _("%(n)s quarts") % {"n": f"{quarts:f}"}
    return _("%(n)s litres") % {"n": f"{litres.normalize():f}"}


@register.filter
def named(names: dict[str, str], key: str) -> str:
    """A food by name; its key if the book does not hold it any more."""
    return names.get(key, key)


@register.simple_tag
def place_of(enrolment: NewEnrolment, choices: list[tuple[Any, Any]]) -> str:
    """The protocol and stage of an enrolment that is only typed so far."""
    wanted = f"{enrolment.version}:{enrolment.stage}"
    for protocol, stages in choices[1:]:
        for value, title in stages:
            if value == wanted:
                return f"{protocol}, {title}"
    return ""
