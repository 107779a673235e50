"""A planned batch: what goes into which pot when, what comes of it, and where it goes."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from plans.domain.batch.jars import FilledJar, Place
from plans.domain.batch.remarks import Remark
from plans.domain.batch.safety import Cooling, Keeping
from plans.domain.batch.scaling import Filling
from plans.domain.batch.servings import Serving
from plans.domain.batch.trade import Kind


@dataclass(frozen=True, slots=True)
class Pot:
    """One filling of one pot. ``vessel`` counts pots from 0, ``burner`` from 1; moments show wall clock."""

    vessel: int
    burner: int
    starts_at: datetime
    off_heat_at: datetime
    filling: Filling
    cooling: Cooling


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch, exact to the last digit: round it where it is shown.

    ``needed_g`` are the bones the need asks for, ``bones_left_g`` those no pot had room or time for. No day eats
    ``meat_left_g`` and ``spare_ml``, which is as it stands in the jar. ``vegetables_beside_g`` find no room in the pots
    once the bones are out, ``jarless_ml`` no jar. ``salt_ml`` is to begin with, then to taste.
    """

    kind: Kind
    needed_g: Decimal
    bones_g: Decimal
    bones_left_g: Decimal
    simmer_min: int
    core_temp_f: int
    pots: tuple[Pot, ...]
    salt_ml: Decimal
    meat_g: Decimal
    meat_left_g: Decimal
    vegetables_g: Decimal
    vegetables_beside_g: Decimal
    keeping: Keeping
    servings: tuple[Serving, ...]
    spare_ml: Decimal
    jars: tuple[FilledJar, ...]
    jarless_ml: Decimal
    warnings: tuple[Remark, ...]
    notes: tuple[Remark, ...]

    @property
    def water_ml(self) -> Decimal:
        """Water poured on in all."""
        return sum((pot.filling.water_ml for pot in self.pots), Decimal(0))

    @property
    def broth_ml(self) -> Decimal:
        """Broth strained off in all, as strong as it came out."""
        return sum((pot.filling.broth_ml for pot in self.pots), Decimal(0))

    @property
    def let_down_ml(self) -> Decimal:
        """Water that brings a strong broth back to the usual strength, added in the bowl."""
        return sum((pot.filling.let_down_ml for pot in self.pots), Decimal(0))

    @property
    def strength(self) -> Decimal:
        """Usual water to the water poured on; the same for every pot of a batch."""
        return max(pot.filling.strength for pot in self.pots)

    @property
    def let_down_per_ml(self) -> Decimal:
        """Water to add to a millilitre of broth from the jar; nothing when it is of the usual strength."""
        return self.let_down_ml / self.broth_ml

    @property
    def off_heat_at(self) -> datetime:
        """When the last pot leaves the heat, on the household's wall clock."""
        return max((pot.off_heat_at for pot in self.pots), key=datetime.timestamp)


@dataclass(frozen=True, slots=True)
class Label:
    """What to write on a jar: either eaten from the refrigerator by a day, or frozen on a day and best by another."""

    kind: Kind
    made_on: date
    eat_by: date | None
    freeze_by: date | None
    best_by: date | None
    let_down_per_ml: Decimal


def label_of(batch: Batch, jar: FilledJar) -> Label:
    """The label of one jar. A jar for the freezer goes there as soon as the last pot must be cold."""
    frozen = jar.place is Place.FREEZER
    cold_on = max(pot.cooling.cold_by.date() for pot in batch.pots)
    return Label(
        kind=batch.kind,
        made_on=batch.keeping.made_on,
        eat_by=None if frozen else batch.keeping.use_by,
        freeze_by=cold_on if frozen else None,
        best_by=batch.keeping.best_by if frozen else None,
        let_down_per_ml=batch.let_down_per_ml,
    )
