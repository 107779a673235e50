"""What the trade knows of stock. Common practice, no source, unless a figure names one.

Where kitchens differ a figure is ``Usual``: what is taken unless the caller knows better, within its range.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from coaching.domain.units import grams_per, millilitres_per


class Kind(StrEnum):
    """The animal a stock is made of."""

    POULTRY = "poultry"
    PORK = "pork"
    BEEF = "beef"
    LAMB = "lamb"
    GAME = "game"
    FISH = "fish"


@dataclass(frozen=True, slots=True)
class Usual:
    """A figure of practice with its range."""

    usual: Decimal
    least: Decimal
    most: Decimal

    def of(self, own: Decimal | None) -> Decimal:
        """The caller's own figure, or the usual one. Raises ValueError outside the range."""
        if own is None:
            return self.usual
        if not self.least <= own <= self.most:
            raise ValueError(f"{own} is not between {self.least} and {self.most}")
        return own


QUARTS_PER_POUND = Decimal(1)
"""US quarts of water to a pound of meaty bones: 2.5 lb take 2.5 quarts, 8 lb take 8. Common practice, no source."""

_LONG = Usual(Decimal(300), Decimal(240), Decimal(360))
SIMMER_MIN = {
    Kind.POULTRY: Usual(Decimal(105), Decimal(90), Decimal(120)),
    Kind.PORK: _LONG,
    Kind.BEEF: _LONG,
    Kind.LAMB: _LONG,
    Kind.GAME: _LONG,
    Kind.FISH: Usual(Decimal(35), Decimal(30), Decimal(40)),
}
"""Minutes at a bare simmer: poultry 1 ½ to 2 hours, red meat and game 4 to 6, fish 30 to 40 minutes. Common practice,
no source."""

_RED_MEAT = Usual(Decimal("0.25"), Decimal("0.05"), Decimal("0.5"))
MEAT_SHARE = {
    Kind.POULTRY: Usual(Decimal(157) / grams_per("lb"), Decimal("0.05"), Decimal("0.5")),
    Kind.PORK: _RED_MEAT,
    Kind.BEEF: _RED_MEAT,
    Kind.LAMB: _RED_MEAT,
    Kind.GAME: _RED_MEAT,
    Kind.FISH: Usual(Decimal(0), Decimal(0), Decimal("0.3")),
}
"""Grams of cooked meat to pick from a gram of raw meaty bones. Poultry: 157 g of stewed meat from one pound of
ready-to-cook chicken (USDA SR26, 05014). The rest and all ranges: common practice, no source."""

EVAPORATION_PER_HOUR = Usual(Decimal("0.05"), Decimal("0.01"), Decimal("0.08"))
"""Share of the water poured on that a bare simmer under a lid ajar drives off in an hour. No rate is published; common
practice, no source. With ``HELD_BACK_ML_PER_G`` it agrees with the ratio of the Culinary Institute of America, 8 lb and
6 quarts to 4 quarts."""

HELD_BACK_ML_PER_G = Usual(Decimal("0.1"), Decimal("0.05"), Decimal("0.2"))
"""What a gram of bones keeps when they are strained off. Common practice, no source."""

BONES_G_PER_ML = Decimal("1.05")
"""How dense meaty bones are, for the room they take in the pot. From memory, no source."""

MOST_STRENGTH = Decimal(3)
"""A pot that is too small gives a stronger batch, down to a third of the usual water: less does not cover the bones.
Common practice, no source."""

BRING_UP_MIN = 30
"""From cold water to the first bubbles. Common practice, no source."""
HANDS_ON_MIN = 20
"""At the pot while it comes up: rinsing, filling, skimming. Common practice, no source."""

SALT_ML_PER_WATER_ML = millilitres_per("tbsp") / (Decimal("2.5") * millilitres_per("quart"))
"""About one tablespoon to begin with for a pot of 2.5 quarts, then to taste. Common practice, no source."""

FIRMEST = ("feet", "tails", "hocks", "necks")
"""The cuts whose stock sets firmest. Common practice, no source."""


def water_ml_for(bones_g: Decimal) -> Decimal:
    """The water that a weight of meaty bones asks for."""
    return bones_g / grams_per("lb") * QUARTS_PER_POUND * millilitres_per("quart")


def salt_ml_for(water_ml: Decimal) -> Decimal:
    """The salt to begin with, as a volume; the rest is to taste."""
    return water_ml * SALT_ML_PER_WATER_ML
