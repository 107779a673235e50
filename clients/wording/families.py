"""Allergen families by name."""

from django.utils.translation import gettext_lazy as _

FAMILY = {
    "milk": _("Milk"),
    "egg": _("Egg"),
    "fish": _("Fish"),
    "crustacean": _("Crustaceans (prawn, crab, lobster)"),
    "mollusc": _("Molluscs (mussel, squid, snail)"),
    "tree-nut": _("Tree nuts"),
    "peanut": _("Peanut"),
    "wheat": _("Wheat"),
    "gluten": _("Gluten (wheat, rye, barley, oats)"),
    "soy": _("Soy"),
    "sesame": _("Sesame"),
    "celery": _("Celery"),
    "mustard": _("Mustard"),
    "lupin": _("Lupin"),
    "sulphite": _("Sulphites"),
}
