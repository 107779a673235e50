"""Jars: how far to fill them for the freezer and the refrigerator, and which of those at hand hold a batch."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum

from coaching.domain.units import millilitres_per
from plans.domain.batch.safety import KitchenSafety
from plans.domain.batch.scaling import TINY

FRIDGE_HEADSPACE_IN = Decimal("0.5")
"""What is left empty under a lid in the refrigerator. Common practice, no source."""
A_SIP_ML = Decimal(60)
"""What is over and not worth a jar of its own: a quarter of a cup, for the cook. Common practice, no source."""


class Place(StrEnum):
    """Where a jar goes."""

    FRIDGE = "fridge"
    FREEZER = "freezer"


@dataclass(frozen=True, slots=True)
class JarSize:
    """A kind of jar: what it holds up to the brim, whether its mouth is narrow, how high it stands inside."""

    key: str
    volume_ml: Decimal
    narrow: bool
    height_in: Decimal


def _jar(key: str, unit: str, units: str, narrow: bool, height_in: str) -> JarSize:
    return JarSize(key, Decimal(units) * millilitres_per(unit), narrow, Decimal(height_in))


HALF_GALLON = _jar("half-gallon-wide", "gallon", "0.5", False, "9")
COMMON_JARS = (
    HALF_GALLON,
    _jar("litre-wide", "l", "1", False, "6.5"),
    _jar("quart-wide", "quart", "1", False, "6.5"),
    _jar("quart-narrow", "quart", "1", True, "6.5"),
    _jar("half-litre-wide", "l", "0.5", False, "4.5"),
    _jar("pint-wide", "pint", "1", False, "4.5"),
    _jar("pint-narrow", "pint", "1", True, "4.75"),
)
"""The jars kitchens have. Heights are a little less than common jars stand, so that a headspace takes more of the jar
rather than less; from memory, no source."""


@dataclass(frozen=True, slots=True)
class JarStock:
    """So many jars of a size."""

    size: JarSize
    count: int


@dataclass(frozen=True, slots=True)
class FilledJar:
    """One jar with what is in it. ``headspace_in`` is the least to leave empty below the brim."""

    size: JarSize
    holds_ml: Decimal
    headspace_in: Decimal
    place: Place


@dataclass(frozen=True, slots=True)
class Jarred:
    """A batch in jars: ``left_ml`` found none, ``spare`` are the jars still empty."""

    jars: tuple[FilledJar, ...]
    left_ml: Decimal
    spare: tuple[JarStock, ...]


def headspace_in(size: JarSize, place: Place, safety: KitchenSafety) -> Decimal:
    """Inches to leave empty. The freezing table ends at the quart: a larger jar takes the quart's figure."""
    if place is Place.FRIDGE:
        return FRIDGE_HEADSPACE_IN
    if size.volume_ml <= millilitres_per("pint"):
        return safety.headspace_narrow_pint_in if size.narrow else safety.headspace_wide_pint_in
    return safety.headspace_narrow_quart_in if size.narrow else safety.headspace_wide_quart_in


def headspace_is_published(size: JarSize) -> bool:
    """Whether the freezing table has a row for a jar of this size."""
    return size.volume_ml <= millilitres_per("quart")


def most_ml(size: JarSize, place: Place, safety: KitchenSafety) -> Decimal:
    """How much a jar takes with its headspace, and in the freezer also with room for ice to grow.

    A jar is taken for a straight cylinder. A real one narrows upwards, so that its topmost inch holds less than the
    inch reckoned here, and the space left is never lower than it should be.
    """
    share = 1 - headspace_in(size, place, safety) / size.height_in
    if place is Place.FREEZER:
        share = min(share, 1 / (1 + safety.ice_growth))
    return max(size.volume_ml * share, Decimal(0))


def fill(
    amount_ml: Decimal,
    stock: Iterable[JarStock],
    place: Place,
    safety: KitchenSafety,
    *,
    spare_ml: Decimal = Decimal(0),
) -> Jarred:
    """Put an amount into jars: the largest full, the rest into the smallest that holds it.

    ``spare_ml`` of it is meant for nobody: a sip of that opens no jar of its own.
    """
    sip_ml = min(A_SIP_ML, spare_ml)
    counts = {each.size: each.count for each in stock}
    rooms = {size: room for size in counts if (room := most_ml(size, place, safety)) > 0}
    jars: list[FilledJar] = []
    left = amount_ml
    while left > (max(sip_ml, TINY) if jars else TINY) and (size := _next(left, counts, rooms)):
        holds = min(left, rooms[size])
        jars.append(FilledJar(size, holds, headspace_in(size, place, safety), place))
        counts[size] -= 1
        left -= holds
    return Jarred(tuple(jars), left, tuple(JarStock(size, count) for size, count in counts.items()))


def jars_for(amount_ml: Decimal, size: JarSize, place: Place, safety: KitchenSafety) -> int:
    """How many jars of one size an amount takes."""
    return int((amount_ml / most_ml(size, place, safety)).to_integral_value(ROUND_CEILING))


def _next(left: Decimal, counts: dict[JarSize, int], rooms: dict[JarSize, Decimal]) -> JarSize | None:
    free = sorted((size for size in rooms if counts[size] > 0), key=lambda size: (rooms[size], size.key))
    holding = [size for size in free if rooms[size] >= left]
    return holding[0] if holding else free[-1] if free else None
