"""What is asked of a batch. Grams, millilitres, minutes and whole days; moments are aware."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from plans.domain.batch.jars import JarStock
from plans.domain.batch.trade import (
    EVAPORATION_PER_HOUR,
    HELD_BACK_ML_PER_G,
    MEAT_SHARE,
    MOST_STRENGTH,
    SIMMER_MIN,
    Kind,
)

MOST_POTS = 6
"""No kitchen has more, and every way to use them is tried."""


@dataclass(frozen=True, slots=True)
class Need:
    """Adult portions by day, and what one of them takes. With vegetables the batch is a soup, without them a stock."""

    portions: Mapping[date, Decimal]
    broth_ml: Decimal
    meat_g: Decimal = Decimal(0)
    vegetables_g: Decimal = Decimal(0)

    @property
    def total(self) -> Decimal:
        """Portions in all."""
        return sum(self.portions.values(), Decimal(0))


@dataclass(frozen=True, slots=True)
class Table:
    """Who eats: what matters at the stove. Foods they must not have are dealt with before a batch is asked for."""

    loose_stools: bool = False
    garlic_badly_borne: bool = False
    small_child: bool = False


@dataclass(frozen=True, slots=True)
class Stove:
    """Usable volumes of the pots (what they hold without boiling over), and burners."""

    pots_ml: tuple[Decimal, ...]
    burners: int


@dataclass(frozen=True, slots=True)
class Chilling:
    """How the household cools: what its dishes hold where it stands no deeper than a shallow layer, and iced water."""

    shallow_ml: Decimal = Decimal(0)
    iced_water: bool = False


@dataclass(frozen=True, slots=True)
class Assumed:
    """The caller's own figures in the place of the usual ones of practice."""

    simmer_min: Decimal | None = None
    evaporation_per_hour: Decimal | None = None
    held_back_ml_per_g: Decimal | None = None
    meat_share: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """A need, or bones at hand, or both; what there is to cook with; when to begin and when to be done.

    ``most_strength`` is how strong a batch may become before pots are filled a second time: 1 is never. ``fridge_days``
    are the recipe's own.
    """

    kind: Kind
    starts_at: datetime
    zone: str
    stove: Stove
    need: Need | None = None
    bones_g: Decimal | None = None
    jars: tuple[JarStock, ...] = ()
    freezer: bool = True
    finish_by: datetime | None = None
    table: Table = Table()
    chilling: Chilling = Chilling()
    assumed: Assumed = field(default_factory=Assumed)
    elevation_ft: Decimal = Decimal(0)
    most_strength: Decimal = MOST_STRENGTH
    fridge_days: int | None = None


@dataclass(frozen=True, slots=True)
class Figures:
    """The assumptions an ask settles on: usual ones, or its own within the range of practice."""

    simmer_min: Decimal
    evaporation_per_hour: Decimal
    held_back_ml_per_g: Decimal
    meat_share: Decimal


def figures_of(ask: Ask) -> Figures:
    """The assumptions of an ask. Raises ValueError for one outside the range of practice."""
    own = ask.assumed
    return Figures(
        simmer_min=SIMMER_MIN[ask.kind].of(own.simmer_min),
        evaporation_per_hour=EVAPORATION_PER_HOUR.of(own.evaporation_per_hour),
        held_back_ml_per_g=HELD_BACK_ML_PER_G.of(own.held_back_ml_per_g),
        meat_share=MEAT_SHARE[ask.kind].of(own.meat_share),
    )


def check(ask: Ask) -> None:
    """Raises ValueError for what no batch can be made of, naming it."""
    problems = {
        "neither a need nor bones": ask.need is None and ask.bones_g is None,
        "no bones": ask.bones_g is not None and ask.bones_g <= 0,
        "no pot, or a pot that holds nothing": not ask.stove.pots_ml or min(ask.stove.pots_ml) <= 0,
        "more pots than a kitchen has": len(ask.stove.pots_ml) > MOST_POTS,
        "no burner": ask.stove.burners < 1,
        "a moment without a zone": ask.starts_at.tzinfo is None
        or (ask.finish_by is not None and ask.finish_by.tzinfo is None),
        "a strength out of range": not 1 <= ask.most_strength <= MOST_STRENGTH,
        "nothing to eat": ask.need is not None and _is_empty(ask.need),
    }
    found = [problem for problem, is_so in problems.items() if is_so]
    if found:
        raise ValueError("; ".join(found))


def _is_empty(need: Need) -> bool:
    amounts = (need.broth_ml, need.meat_g, need.vegetables_g, *need.portions.values())
    return need.total <= 0 or need.broth_ml <= 0 or min(amounts) < 0
