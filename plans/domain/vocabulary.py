"""The closed word lists of the book: what a file may say and what the engine understands.

Every importer, form and printed sheet takes its words from here, so a word is added in one place.
"""

from enum import IntEnum, StrEnum


class Allowance(IntEnum):
    """What a stage says of a food in a form; a lower number is stricter."""

    NOT_YET = 0
    FLAVOUR_ONLY = 1
    FIRST_TASTES = 2
    AS_PREPARED = 3
    FREELY = 4

    @property
    def word(self) -> str:
        """The word used in files: ``not yet`` … ``freely``."""
        return self.name.lower().replace("_", " ")

    @classmethod
    def from_word(cls, word: str) -> "Allowance":
        """Read the word used in files. Raises KeyError for any other word."""
        return _ALLOWANCE_BY_WORD[word]


_ALLOWANCE_BY_WORD = {allowance.word: allowance for allowance in Allowance}

COOKING = (
    "raw",
    "broth",
    "boiled",
    "steamed",
    "stewed",
    "baked",
    "roasted",
    "fried",
    "grilled",
    "fermented",
    "culture-liquid",
    "cultured",
    "dried",
    "juiced",
    "rendered",
    "infused",
)
HANDLING = (
    "peeled",
    "deseeded",
    "pureed",
    "minced",
    "grated",
    "soaked",
    "boned",
    "skinned",
    "strained",
    "yolk-only",
    "pitted",
)
FORM_WORDS = frozenset(COOKING + HANDLING)

FAMILIES = (
    "milk",
    "egg",
    "fish",
    "crustacean",
    "mollusc",
    "tree-nut",
    "peanut",
    "wheat",
    "gluten",
    "soy",
    "sesame",
    "celery",
    "mustard",
    "lupin",
    "sulphite",
)
FAMILY_IMPLIES = {"wheat": ("gluten",)}

AISLES = (
    "vegetables",
    "fruit",
    "herbs-spices",
    "meat",
    "fish",
    "eggs-dairy",
    "fats",
    "pantry",
    "drinks",
    "frozen",
    "home-made",
)

LIMITS = (
    "honey",
    "whole-nuts",
    "choking",
    "raw-milk",
    "raw-sprouts",
    "raw-egg",
    "liver",
    "high-vitamin-k",
    "high-mercury",
    "alcohol",
)


class Slot(StrEnum):
    """A time at the table, in the order of the day."""

    BREAKFAST = "breakfast"
    MUG = "mug"
    MIDDAY = "midday"
    EVENING = "evening"


class Use(StrEnum):
    """How an ingredient takes part in a dish."""

    BASE = "base"
    PLATE = "plate"
    OPTIONAL = "optional"
    FLAVOUR = "flavour"


CONDITIONS = ("loose-stools", "constipation", "reflux", "nausea", "flare")
RECIPE_KINDS = ("main", "breakfast", "stock", "side")
LEAD_IN_KINDS = ("use-up", "shop", "culture", "render", "cook", "freeze", "ready")
LEANINGS = ("none", "meat", "vegetables")
