"""From a need to bones and water, and from bones and water to pots.

What goes in comes out: the water poured on is broth, steam and what the bones hold back. A pot that cannot take all the
water its bones ask for gives a stronger broth; ``let_down_ml`` is the water that brings it back to the usual strength.
Nothing is rounded.
"""

from dataclasses import dataclass
from decimal import Decimal

from plans.domain.batch.trade import BONES_G_PER_ML, water_ml_for

TINY = Decimal("1e-9")
"""Less than this is what division leaves over, not food."""


@dataclass(frozen=True, slots=True)
class Losses:
    """What is assumed of a simmer: the share of water that boils away in all, what a gram of bones holds back."""

    evaporated: Decimal
    held_back_ml_per_g: Decimal

    def broth_ml_per_g(self) -> Decimal:
        """Broth of the usual strength that a gram of bones gives; more than nothing within the ranges of practice."""
        return water_ml_for(Decimal(1)) * (1 - self.evaporated) - self.held_back_ml_per_g


@dataclass(frozen=True, slots=True)
class Filling:
    """What goes into one pot and what comes of it. ``strength`` is usual water to water poured on; 1 is usual."""

    pot_ml: Decimal
    bones_g: Decimal
    asked_ml: Decimal
    water_ml: Decimal
    evaporated_ml: Decimal
    held_back_ml: Decimal
    broth_ml: Decimal
    let_down_ml: Decimal

    @property
    def strength(self) -> Decimal:
        """How much less water there is on the bones than usual, as a ratio from 1; a pot just full is no stronger."""
        ratio = self.asked_ml / self.water_ml
        return ratio if ratio > 1 + TINY else Decimal(1)

    @property
    def full_ml(self) -> Decimal:
        """The room that bones and water take."""
        return self.bones_g / BONES_G_PER_ML + self.water_ml


def bones_g_for_broth(broth_ml: Decimal, losses: Losses) -> Decimal:
    """The bones for an amount of broth of the usual strength."""
    return broth_ml / losses.broth_ml_per_g()


def bones_g_for_meat(meat_g: Decimal, meat_share: Decimal) -> Decimal:
    """The bones with enough meat on them; none where there is no meat to pick."""
    return meat_g / meat_share if meat_share else Decimal(0)


def pot_holds_g(pot_ml: Decimal, strength: Decimal = Decimal(1)) -> Decimal:
    """The bones a pot takes with the water for a strength."""
    return pot_ml / (1 / BONES_G_PER_ML + water_ml_for(Decimal(1)) / strength)


def fill_pot(pot_ml: Decimal, bones_g: Decimal, losses: Losses) -> Filling:
    """Bones in a pot, with the usual water or as much as there is room for."""
    asked = water_ml_for(bones_g)
    water = min(asked, pot_ml - bones_g / BONES_G_PER_ML)
    evaporated = water * losses.evaporated
    held_back = bones_g * losses.held_back_ml_per_g
    return Filling(
        pot_ml=pot_ml,
        bones_g=bones_g,
        asked_ml=asked,
        water_ml=water,
        evaporated_ml=evaporated,
        held_back_ml=held_back,
        broth_ml=water - evaporated - held_back,
        let_down_ml=(asked - water) * (1 - losses.evaporated),
    )


def share_out(bones_g: Decimal, pots_ml: tuple[Decimal, ...]) -> tuple[Decimal, ...]:
    """Bones in proportion to the pots, so that each is equally full and equally strong."""
    room = sum(pots_ml, Decimal(0))
    return tuple(bones_g * pot / room for pot in pots_ml)


@dataclass(frozen=True, slots=True)
class BoiledDown:
    """A thin stock boiled down: how much stronger it is, and what salt it then holds in a millilitre."""

    strength: Decimal
    salt_g_per_ml: Decimal


def boiled_down(broth_ml: Decimal, to_ml: Decimal, *, salt_g: Decimal = Decimal(0)) -> BoiledDown:
    """Boil a broth down. Water leaves, salt stays. Raises ValueError unless less is left, and something."""
    if not 0 < to_ml <= broth_ml:
        raise ValueError("boiling down leaves less than there was, and something")
    return BoiledDown(strength=broth_ml / to_ml, salt_g_per_ml=salt_g / to_ml)
