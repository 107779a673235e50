"""The common jars by name."""

from django.utils.translation import gettext_lazy as _

JAR = {
    "half-gallon-wide": _("Half-gallon jars (1.9 l), wide mouth"),
    "litre-wide": _("Litre jars, wide mouth"),
    "quart-wide": _("Quart jars (0.95 l), wide mouth"),
    "quart-narrow": _("Quart jars (0.95 l), narrow mouth"),
    "half-litre-wide": _("Half-litre jars, wide mouth"),
    "pint-wide": _("Pint jars (0.47 l), wide mouth"),
    "pint-narrow": _("Pint jars (0.47 l), narrow mouth"),
}
"""Several of them, as a heading or a label."""

JAR_COUNTED = {
    "half-gallon-wide": _("half-gallon (1.9 l), wide mouth"),
    "litre-wide": _("litre, wide mouth"),
    "quart-wide": _("quart (0.95 l), wide mouth"),
    "quart-narrow": _("quart (0.95 l), narrow mouth"),
    "half-litre-wide": _("half-litre, wide mouth"),
    "pint-wide": _("pint (0.47 l), wide mouth"),
    "pint-narrow": _("pint (0.47 l), narrow mouth"),
}
"""The size alone, after a number."""
