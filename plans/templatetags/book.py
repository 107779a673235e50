"""How amounts, forms and the book's closed words are put on a page."""

from collections.abc import Iterable
from decimal import Decimal

from django import template
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coaching.domain.units import celsius, whole
from plans.domain.book import Form
from plans.domain.records import number_text
from plans.printables.words import forms_words, span_words
from plans.wording import ALLOWANCE, ALLOWANCE_MEANS, CONDITION, FAMILY, KIND, LEAD_IN_KIND, SLOT, USE

register = template.Library()

_WORDS = {
    "allowance": ALLOWANCE,
    "allowance_means": ALLOWANCE_MEANS,
    "condition": CONDITION,
    "family": FAMILY,
    "kind": KIND,
    "lead_in": LEAD_IN_KIND,
    "slot": SLOT,
    "use": USE,
}


@register.filter
def in_words(word: str, which: str) -> str:
    """A closed word of the book, such as ``main`` of the ``kind`` list, as people read it."""
    return str(_WORDS[which].get(word, word))


@register.filter
def form_words(forms: Iterable[Form]) -> str:
    """Forms to choose from: ``boiled soft or puréed, peeled``."""
    return capfirst(forms_words(forms))


@register.filter
def minutes(count: int) -> str:
    """``1 h 20 min``."""
    return span_words(count)


@register.filter
def number(value: Decimal) -> str:
    """A number without trailing zeros."""
    return number_text(value)


@register.filter
def both_degrees(fahrenheit: int) -> str:
    """``165 °F (74 °C)``, as the chart prints them."""
    return _("%(fahrenheit)d °F (%(celsius)d °C)") % {
        "fahrenheit": fahrenheit,
        "celsius": whole(celsius(Decimal(fahrenheit))),
    }
