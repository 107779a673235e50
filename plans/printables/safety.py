"""Food-safety figures every packet prints, each with its publisher. Local food codes overrule them, if stricter.

What batches go by too is read from their file, so that each figure has one place. Temperatures are whole degrees as the
chart prints them, both scales side by side.
"""

from dataclasses import dataclass

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from coaching.domain.units import celsius, whole
from plans.selectors import kitchen_safety

CORE_SOURCE = _("HHS and USDA, foodsafety.gov, Safe Minimum Internal Temperatures")
KEEP_SOURCE = _("HHS and USDA, foodsafety.gov, Cold Food Storage Chart")
KITCHEN_SOURCE = _(
    "USDA FSIS, Danger Zone; FDA, Tips to Chill; FDA Food Code 2022, 3-501.14; USDA FSIS, Big Thaw"
)

_FIGURES = kitchen_safety()
FRIDGE_MOST_DAYS = int(_FIGURES.fridge_most_days)
"""Cooked dishes, soups and stews keep three to four days (foodsafety.gov, Cold Food Storage Chart)."""
FREEZER_BEST_DAYS = int(_FIGURES.freezer_best_days)
"""Soups and stews are at their best for two to three months in the freezer (the same chart)."""
CHILL_WITHIN_HOURS = int(_FIGURES.cool_first_hours)
"""Perishable food is refrigerated within this time (FDA, Tips to Chill; USDA FSIS, Danger Zone)."""
REHEAT_F = int(_FIGURES.reheat_f)
REHEAT_C = whole(celsius(_FIGURES.reheat_f))
_COOKED_KEEPS = format_lazy(
    _("{least} to {most} days"), least=int(_FIGURES.fridge_least_days), most=FRIDGE_MOST_DAYS
)


@dataclass(frozen=True, slots=True)
class Core:
    """One row of the temperature chart."""

    food: object
    fahrenheit: int
    celsius: int
    rest_minutes: int = 0


CORE = (
    Core(_("Poultry, whole, in pieces or minced"), 165, 74),
    Core(_("Minced meat and sausages"), 160, 71),
    Core(_("Rabbit and venison"), 160, 71),
    Core(_("Beef, pork, veal and lamb in whole cuts"), 145, 63, rest_minutes=3),
    Core(_("Fish, or until it is opaque and flakes"), 145, 63),
    Core(_("Egg dishes; eggs on their own until white and yolk are firm"), 160, 71),
    Core(_("Leftovers, when they are reheated"), REHEAT_F, REHEAT_C),
)

KEEP = (
    (_("Soups and stews"), _COOKED_KEEPS, _("2 to 3 months")),
    (_("Cooked meat and poultry"), _COOKED_KEEPS, _("2 to 6 months")),
    (_("Raw poultry, mince and stewing meat"), _("1 to 2 days"), _("mince 3 to 4, poultry pieces 9 months")),
    (_("Raw steaks, chops and roasts"), _("3 to 5 days"), _("4 to 12 months")),
    (_("Raw fish"), _("1 to 3 days"), _("oily 2 to 3, lean 4 to 8 months")),
    (_("Eggs, raw in the shell"), _("3 to 5 weeks"), _("do not freeze in the shell")),
)

KITCHEN = (
    _("Refrigerate what is perishable within 2 hours; within 1 hour when the room is above 90 °F (32 °C)."),
    format_lazy(
        _(
            "Cool a pot fast: divide it into shallow dishes or stand it in iced water and stir. From {from_f} to "
            "{first_f} °F ({from_c} to {first_c} °C) within {first_hours} hours, to {cold_f} °F ({cold_c} °C) within "
            "{total_hours} hours in all."
        ),
        from_f=_FIGURES.cool_from_f,
        from_c=whole(celsius(_FIGURES.cool_from_f)),
        first_f=_FIGURES.cool_first_f,
        first_c=whole(celsius(_FIGURES.cool_first_f)),
        first_hours=_FIGURES.cool_first_hours,
        cold_f=_FIGURES.cool_cold_f,
        cold_c=whole(celsius(_FIGURES.cool_cold_f)),
        total_hours=_FIGURES.cool_total_hours,
    ),
    _("Refrigerator at 40 °F (4 °C) or below, freezer at 0 °F (−18 °C) or below."),
    _("Thaw in the refrigerator, a day for every 5 lb (2.3 kg), never on the worktop."),
    format_lazy(
        _("Reheat leftovers to {reheat_f} °F ({reheat_c} °C) all through, soups to a full boil."),
        reheat_f=REHEAT_F,
        reheat_c=REHEAT_C,
    ),
    _("Wash hands, boards and knives after raw meat, poultry, fish and eggs. Do not rinse raw poultry."),
)
