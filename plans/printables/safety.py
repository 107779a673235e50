"""Food-safety figures every packet prints, each with its publisher. Local food codes overrule them, if stricter.

Temperatures are whole degrees as the chart prints them, both scales side by side.
"""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

CORE_SOURCE = _("HHS and USDA, foodsafety.gov, Safe Minimum Internal Temperatures")
KEEP_SOURCE = _("HHS and USDA, foodsafety.gov, Cold Food Storage Chart")
KITCHEN_SOURCE = _(
    "USDA FSIS, Danger Zone; FDA, Tips to Chill; FDA Food Code 2022, 3-501.14; USDA FSIS, Big Thaw"
)

FRIDGE_MOST_DAYS = 4
"""Cooked dishes, soups and stews keep three to four days (foodsafety.gov, Cold Food Storage Chart)."""
FREEZER_BEST_DAYS = 90
"""Soups and stews are at their best for two to three months in the freezer (the same chart)."""
CHILL_WITHIN_HOURS = 2
"""Perishable food is refrigerated within this time (FDA, Tips to Chill; USDA FSIS, Danger Zone)."""
REHEAT_F = 165


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
    Core(_("Leftovers, when they are reheated"), REHEAT_F, 74),
)

KEEP = (
    (_("Soups and stews"), _("3 to 4 days"), _("2 to 3 months")),
    (_("Cooked meat and poultry"), _("3 to 4 days"), _("2 to 6 months")),
    (_("Raw poultry, mince and stewing meat"), _("1 to 2 days"), _("mince 3 to 4, poultry pieces 9 months")),
    (_("Raw steaks, chops and roasts"), _("3 to 5 days"), _("4 to 12 months")),
    (_("Raw fish"), _("1 to 3 days"), _("oily 2 to 3, lean 4 to 8 months")),
    (_("Eggs, raw in the shell"), _("3 to 5 weeks"), _("do not freeze in the shell")),
)

KITCHEN = (
    _("Refrigerate what is perishable within 2 hours; within 1 hour when the room is above 90 °F (32 °C)."),
    _(
        "Cool a pot fast: divide it into shallow dishes or stand it in iced water and stir. From 135 to 70 °F "
        "(57 to 21 °C) within 2 hours, to 41 °F (5 °C) within 6 hours in all."
    ),
    _("Refrigerator at 40 °F (4 °C) or below, freezer at 0 °F (−18 °C) or below."),
    _("Thaw in the refrigerator, a day for every 5 lb (2.3 kg), never on the worktop."),
    _("Reheat leftovers to 165 °F (74 °C) all through, soups to a full boil."),
    _("Wash hands, boards and knives after raw meat, poultry, fish and eggs. Do not rinse raw poultry."),
)
