"""Published kitchen safety for a batch: when it must be cold, how long it keeps, how hot it gets.

The figures are handed in, read from one file that names the source of each. Hours are elapsed hours, also across a
change of the clocks; dates are the household's own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal, InvalidOperation

from coaching.domain.calendar import wall_clock
from plans.domain.batch.trade import Kind
from plans.domain.filing.core_temperature import group_core_temp_f


@dataclass(frozen=True, slots=True)
class KitchenSafety:
    """The figures of the file, each under the name it has there, with its unit at the end. ``sources`` are by name."""

    cool_from_f: Decimal
    cool_first_f: Decimal
    cool_first_hours: Decimal
    cool_cold_f: Decimal
    cool_total_hours: Decimal
    shallow_depth_in: Decimal
    reheat_f: Decimal
    fridge_least_days: Decimal
    fridge_most_days: Decimal
    freezer_best_days: Decimal
    headspace_wide_pint_in: Decimal
    headspace_wide_quart_in: Decimal
    headspace_narrow_pint_in: Decimal
    headspace_narrow_quart_in: Decimal
    ice_growth: Decimal
    altitude_longer_ft: Decimal
    altitude_quarter_ft: Decimal
    altitude_more: Decimal
    sources: Mapping[str, str]


FIGURES = frozenset(field.name for field in fields(KitchenSafety)) - {"sources"}


def kitchen_safety_from_rows(rows: Iterable[Mapping[str, str]]) -> KitchenSafety:
    """The figures from rows of text such as a CSV reader gives.

    Raises KeyError for a missing column, ValueError for a figure that is unknown, missing, named twice, without source
    or no finite number above nothing.
    """
    values: dict[str, Decimal] = {}
    sources: dict[str, str] = {}
    for row in rows:
        name, source = row["figure"], row["source"].strip()
        if name not in FIGURES or name in values or not source:
            raise ValueError(f"{name!r} is unknown, named twice or without source")
        values[name] = _positive(name, row["value"])
        sources[name] = source
    if missing := FIGURES - values.keys():
        raise ValueError(f"no figure for {', '.join(sorted(missing))}")
    return KitchenSafety(**values, sources=sources)


def _positive(name: str, text: str) -> Decimal:
    try:
        value = Decimal(text)
    except InvalidOperation as error:
        raise ValueError(f"{name!r} is no number: {text!r}") from error
    if not value.is_finite() or value <= 0:
        raise ValueError(f"{name!r} is not above nothing: {text!r}")
    return value


@dataclass(frozen=True, slots=True)
class Cooling:
    """By when a pot is how cold. The moments are aware and show the household's wall clock."""

    from_at: datetime
    first_f: Decimal
    first_by: datetime
    cold_f: Decimal
    cold_by: datetime


def cooling_of(off_heat_at: datetime, zone: str, safety: KitchenSafety) -> Cooling:
    """The two deadlines of a pot taken off the heat at an aware moment.

    The published clock starts when the food falls through 135 °F. Ours starts when the pot leaves the heat, which is
    earlier, so that nobody has to catch that moment.
    """
    start = off_heat_at.astimezone(UTC)
    return Cooling(
        from_at=wall_clock(start, zone),
        first_f=safety.cool_first_f,
        first_by=wall_clock(start + _hours(safety.cool_first_hours), zone),
        cold_f=safety.cool_cold_f,
        cold_by=wall_clock(start + _hours(safety.cool_total_hours), zone),
    )


def _hours(hours: Decimal) -> timedelta:
    return timedelta(seconds=int(hours * 3600))


@dataclass(frozen=True, slots=True)
class Keeping:
    """How long a batch keeps: eaten from the refrigerator up to ``use_by``, frozen at its best up to ``best_by``."""

    made_on: date
    use_by: date
    best_by: date


def keeping_of(made_on: date, safety: KitchenSafety, *, fridge_days: int | None = None) -> Keeping:
    """The days of a batch. ``fridge_days`` is the recipe's own figure; the chart's most is never exceeded.

    Without it the chart's shorter figure stands, since an older USDA chart gives meat broth only one to two days.
    """
    days = safety.fridge_least_days if fridge_days is None else min(fridge_days, safety.fridge_most_days)
    return Keeping(
        made_on=made_on,
        use_by=made_on + timedelta(days=int(days)),
        best_by=made_on + timedelta(days=int(safety.freezer_best_days)),
    )


_GROUP = {Kind.POULTRY: "poultry", Kind.GAME: "game"}


def core_temp_f(kind: Kind) -> int:
    """The least core temperature of the meat on the bones, as the chart for recipes has it."""
    return group_core_temp_f(_GROUP.get(kind, kind.value))


def simmer_stretch(elevation_ft: Decimal, safety: KitchenSafety) -> Decimal:
    """By how much a simmer takes longer this high up: a quarter from 5,000 ft on, else nothing that is published."""
    return 1 + safety.altitude_more if elevation_ft >= safety.altitude_quarter_ft else Decimal(1)
