"""An eater's measures as a reader of the practice's units sees them, rounded for show."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from clients.domain.body_measures import Measures
from clients.models import Measures as MeasuresRow
from coaching.domain.units import CM_PER_INCH, INCHES_PER_FOOT, System, convert
from plans.domain.body import Activity

ACTIVITY_MEANS = {
    Activity.INACTIVE: gettext_lazy("the day’s usual moving about, mostly sitting"),
    Activity.LOW_ACTIVE: gettext_lazy("that, and about an hour’s brisk walk or the like on most days"),
    Activity.ACTIVE: gettext_lazy(
        "on the feet for much of the day, or an hour’s exercise and more every day"
    ),
    Activity.VERY_ACTIVE: gettext_lazy("hard bodily work, or hours of exercise every day"),
}
"""A guide to choose by, from memory. The categories are published as levels of energy and not in such words."""
_TENTH = Decimal("0.1")


def measure_words(measures: Measures, system: System) -> list[dict[str, Any]]:
    """What is known, as pairs of what and how much."""
    activity = MeasuresRow.Activity(measures.activity).label if measures.activity else None
    feeding = MeasuresRow.Feeding(measures.feeding).label if measures.feeding else None
    pairs = [
        (_("Weight"), weight_words(measures.weight_kg, system)),
        (_("Height"), height_words(measures.height_cm, system)),
        (_("How active"), activity),
        (
            _("Pregnancy"),
            None if measures.pregnancy_week is None else _("week %(n)d") % {"n": measures.pregnancy_week},
        ),
        (_("Weight before the pregnancy"), weight_words(measures.weight_before_kg, system)),
        (_("Breast-feeding"), feeding),
    ]
    return [{"term": term, "value": value} for term, value in pairs if value]


def activity_choices() -> list[tuple[str, Any]]:
    """The categories of activity, each with what it means."""
    labels = MeasuresRow.Activity
    return [(key.value, f"{labels(key).label}: {meaning}") for key, meaning in ACTIVITY_MEANS.items()]


def weight_words(weight_kg: Decimal | None, system: System) -> str:
    """``62.5 kg`` or ``137.8 lb``; empty for none."""
    if weight_kg is None:
        return ""
    if system == System.US:
        return _("%(n)s lb") % {"n": _shown(convert(weight_kg, "kg", "lb"))}
    return _("%(n)s kg") % {"n": _shown(weight_kg)}


def height_words(height_cm: Decimal | None, system: System) -> str:
    """``165 cm`` or ``5 ft 5 in``; empty for none."""
    if height_cm is None:
        return ""
    if system == System.METRIC:
        return _("%(n)s cm") % {"n": _shown(height_cm)}
    inches = (height_cm / CM_PER_INCH).quantize(_TENTH, ROUND_HALF_UP)
    return _("%(feet)s ft %(inches)s in") % {
        "feet": int(inches // INCHES_PER_FOOT),
        "inches": _shown(inches % INCHES_PER_FOOT),
    }


def _shown(number: Decimal) -> str:
    rounded = number.quantize(_TENTH, ROUND_HALF_UP)
    whole = rounded.to_integral_value()
    return number_format(whole if rounded == whole else rounded)
