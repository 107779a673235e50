"""Words that several sheets share: amounts, forms, dates, lists. Call these while the packet's language is active."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, ngettext_lazy

from coaching.domain.units import MASS, SPOONS, VOLUME, Shown, System
from plans.domain.book import Food, Form
from plans.domain.quantities import millilitres, shown
from plans.domain.vocabulary import COOKING, HANDLING
from plans.wording import FORM

_WORK = frozenset(HANDLING)
_HEATED = frozenset(
    frozenset((word,)) for word in ("boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled")
)
COOKED_IN_STEPS = frozenset(
    ("broth", "boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled", "infused")
)
"""What the steps of a recipe do to a food; the rest has to be done, or bought so, beforehand."""
_FORM_ORDER = {word: place for place, word in enumerate((*COOKING, *HANDLING))}

_UNITS = {
    "g": gettext_lazy("g"),
    "kg": gettext_lazy("kg"),
    "oz": gettext_lazy("oz"),
    "lb": gettext_lazy("lb"),
    "ml": gettext_lazy("ml"),
    "l": gettext_lazy("l"),
    "tsp": gettext_lazy("tsp"),
    "tbsp": gettext_lazy("tbsp"),
    "fl-oz": gettext_lazy("fl oz"),
}
_COUNTED = {
    "cup": ngettext_lazy("cup", "cups", "number"),
    "pint": ngettext_lazy("pint", "pints", "number"),
    "quart": ngettext_lazy("quart", "quarts", "number"),
    "gallon": ngettext_lazy("gallon", "gallons", "number"),
    "slice": ngettext_lazy("slice", "slices", "number"),
    "bunch": ngettext_lazy("bunch", "bunches", "number"),
    "leaf": ngettext_lazy("leaf", "leaves", "number"),
    "fillet": ngettext_lazy("fillet", "fillets", "number"),
    "handful": ngettext_lazy("handful", "handfuls", "number"),
    "sprig": ngettext_lazy("sprig", "sprigs", "number"),
    "can": ngettext_lazy("can", "cans", "number"),
    "head": ngettext_lazy("head", "heads", "number"),
    "stalk": ngettext_lazy("stalk", "stalks", "number"),
    "floret": ngettext_lazy("floret", "florets", "number"),
    "stick": ngettext_lazy("stick", "sticks", "number"),
    "clove": ngettext_lazy("clove", "cloves", "number"),
    "spear": ngettext_lazy("spear", "spears", "number"),
    "bulb": ngettext_lazy("bulb", "bulbs", "number"),
}
_FRACTIONS = {
    Fraction(1, 8): "⅛",
    Fraction(1, 4): "¼",
    Fraction(1, 3): "⅓",
    Fraction(3, 8): "⅜",
    Fraction(1, 2): "½",
    Fraction(5, 8): "⅝",
    Fraction(2, 3): "⅔",
    Fraction(3, 4): "¾",
    Fraction(7, 8): "⅞",
}
NO_BREAK = "\u00a0"
_OTHER = {System.METRIC: System.US, System.US: System.METRIC}


def day_words(on: date) -> str:
    """``Monday 7 December``."""
    return date_format(on, _("l j F"))


def date_words(on: date) -> str:
    """``7 December 2026``."""
    return date_format(on, _("j F Y"))


def short_day_words(on: date) -> str:
    """``Mon 7``."""
    return date_format(on, _("D j"))


def period_words(first: date, last: date) -> str:
    """``7 to 13 December 2026``, naming month and year once where they are the same."""
    if first.year != last.year:
        begin = date_words(first)
    elif first.month != last.month:
        begin = date_format(first, _("j F"))
    else:
        begin = date_format(first, _("j"))
    return _("%(first)s to %(last)s") % {"first": begin, "last": date_words(last)}


def span_words(minutes: int) -> str:
    """``40 min``, ``2 h``, ``1 h 20 min``."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return _("%(minutes)d min") % {"minutes": rest}
    if not rest:
        return _("%(hours)d h") % {"hours": hours}
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": rest}


def listed(words: Sequence[str], *, last: str = "") -> str:
    """``a, b and c``; ``last`` takes the place of "and"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last or _('and')} {words[-1]}"


def sentence_case(text: str) -> str:
    """The text with a capital first letter, the rest as it is."""
    return text[:1].upper() + text[1:]


def forms_words(forms: Iterable[Form]) -> str:
    """Forms to choose from, what they share said once: ``boiled or puréed, peeled``. No forms, no words.

    Forms that ask for the same work are said together: ``boiled or stewed, peeled; raw, peeled, grated``.
    """
    choices = [frozenset(form) for form in forms]
    if not choices:
        return ""
    shared = frozenset.intersection(*choices) if len(choices) > 1 else frozenset(choices[0] & _WORK)
    by_work: dict[Form, list[Form]] = {}
    for form in choices:
        by_work.setdefault((form - shared) & _WORK, []).append(form - shared - _WORK)
    parts = [words for words in (_choice_words(cooking, work) for work, cooking in by_work.items()) if words]
    chosen = (
        "; ".join(parts)
        if any("," in part for part in parts) and len(parts) > 1
        else listed(parts, last=_("or"))
    )
    return ", ".join(words for words in (chosen, _form_words(shared)) if words)


def _choice_words(cooking: Iterable[Form], work: Form) -> str:
    """Ways to cook, and the work they all ask for; all the ways to heat a food are said as one."""
    ways = dict.fromkeys(form for form in cooking if form)
    if ways.keys() >= _HEATED:
        words = [_("cooked any way"), *(_form_words(form) for form in ways if form not in _HEATED)]
    else:
        words = [_form_words(form) for form in ways]
    return ", ".join(part for part in (listed(words, last=_("or")), _form_words(work)) if part)


def preparation_words(form: Form) -> str:
    """What to do to a food before the steps begin: ``peeled, seeds out``."""
    return _form_words(form - COOKED_IN_STEPS)


def _form_words(form: Iterable[str]) -> str:
    return ", ".join(str(FORM[word]) for word in sorted(form, key=_FORM_ORDER.__getitem__))


def amount_words(quantity: Decimal, unit: str, food: Food | None, system: System) -> str:
    """An amount as a cook of this system reads it, the other system in brackets: ``600 g (1 lb 5 oz)``."""
    first = shown_words(shown(quantity, unit, food, system))
    if unit not in MASS and (unit in SPOONS or unit not in VOLUME):
        return first
    second = shown_words(shown(quantity, unit, food, _OTHER[system]))
    return first if second == first else f"{first} ({second})"


def weight_words(weight_g: Decimal, food: Food | None, system: System) -> str:
    """A weight as a shop sells it: by volume for what is poured, else by mass."""
    poured = None if food is None or food.density_g_per_ml is None else millilitres(weight_g, "g", food)
    if poured is not None:
        return amount_words(poured, "ml", food, system)
    return amount_words(weight_g, "g", None, system)


def shown_words(parts: Iterable[Shown]) -> str:
    """``1 ½ cups``, ``2 lb 4 oz``, ``600 g``."""
    return " ".join(_part_words(part) for part in parts)


def _part_words(part: Shown) -> str:
    """Number and unit, which no line break parts."""
    number = number_words(part.number)
    if part.unit == "piece":
        return number
    if part.unit in _UNITS:
        return f"{number}{NO_BREAK}{_UNITS[part.unit]}"
    if part.unit in _COUNTED:
        return f"{number}{NO_BREAK}{_COUNTED[part.unit] % {'number': 1 if part.number <= 1 else 2}}"
    return f"{number}{NO_BREAK}{part.unit}"


def number_words(number: Decimal | Fraction) -> str:
    """A number for a cook: ``1.25`` in the language's own way, or ``1 ½``."""
    if isinstance(number, Fraction):
        whole, rest = divmod(number, 1)
        if not rest:
            return str(whole)
        part = _FRACTIONS.get(rest, f"{rest.numerator}/{rest.denominator}")
        return f"{whole}{NO_BREAK}{part}" if whole else part
    return number_format(number.normalize() if number != number.to_integral_value() else int(number))


def by_name(foods: Iterable[Food]) -> list[Food]:
    """Foods in the order of their names."""
    return sorted(foods, key=lambda food: (food.name.casefold(), food.key))


def short_names(foods: Iterable[Food]) -> dict[str, str]:
    """Names as they read within a line, by key: small first letter, and without what follows a comma ("Chicken thigh,
    bone in") unless another food would then be called the same."""
    cut = {food.key: (food.name.partition(",")[0], food.name.partition(",")[2].strip()) for food in foods}
    taken = Counter(_small(head).casefold() for head, _tail in cut.values())
    return {
        key: _small(head) if not tail or taken[_small(head).casefold()] == 1 else f"{_small(head)} ({tail})"
        for key, (head, tail) in cut.items()
    }


def _small(name: str) -> str:
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def days_words(days: int) -> str:
    """``1 day``, ``10 days``."""
    return ngettext("%(count)d day", "%(count)d days", days) % {"count": days}


def portions_words(portions: Decimal) -> str:
    """``1 portion``, ``4 ½ portions``: to the nearest half from two on, so that a cook can count them."""
    steps = Fraction(1, 4) if portions < 2 else Fraction(1, 2)
    rounded = (Fraction(portions) / steps + Fraction(1, 2)) // 1 * steps
    number = number_words(rounded)
    return ngettext("%(number)s portion", "%(number)s portions", 1 if rounded <= 1 else 2) % {
        "number": number
    }
