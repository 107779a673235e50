"""Where the batch goes: which day eats how much of it, fresh, kept in the refrigerator or thawed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from plans.domain.batch.asking import Need
from plans.domain.batch.remarks import Remark
from plans.domain.batch.safety import Keeping
from plans.domain.batch.scaling import TINY
from plans.domain.planner.setting import FRESH, KEPT, THAWED


@dataclass(frozen=True, slots=True)
class Serving:
    """What one day eats. ``broth_ml`` is of the usual strength, ``jar_ml`` as it stands in the jar.

    ``source`` is ``fresh``, ``kept`` or ``thawed``; what is thawed goes into the refrigerator on ``thaw_on``.
    """

    on: date
    portions: Decimal
    broth_ml: Decimal
    jar_ml: Decimal
    meat_g: Decimal
    vegetables_g: Decimal
    source: str
    thaw_on: date | None = None


@dataclass(frozen=True, slots=True)
class Served:
    """The servings by day, what is left over of broth (as it stands in the jar) and meat, and what fell short."""

    servings: tuple[Serving, ...]
    left_ml: Decimal
    left_meat_g: Decimal
    remarks: tuple[Remark, ...]


def serve(
    need: Need, *, broth_ml: Decimal, let_down_ml: Decimal, meat_g: Decimal, keeping: Keeping, freezer: bool
) -> Served:
    """Share a batch out by day, the earlier days first. A day no safe portion can reach is remarked on, and gets none.

    ``broth_ml`` is what was cooked, ``let_down_ml`` the water that brings it to the usual strength.
    """
    as_jarred = broth_ml / (broth_ml + let_down_ml)
    left_ml, left_meat_g = broth_ml + let_down_ml, meat_g
    servings: list[Serving] = []
    remarks: list[Remark] = []
    missed: dict[str, Decimal] = {}
    for on, portions in sorted(need.portions.items()):
        source = _source(on, keeping, freezer)
        if source is None:
            code = "day-before-batch" if on < keeping.made_on else "day-out-of-reach"
            remarks.append(Remark(code, {"on": on, "portions": portions}))
        elif portions:
            broth, meat = min(portions * need.broth_ml, left_ml), min(portions * need.meat_g, left_meat_g)
            left_ml, left_meat_g = left_ml - broth, left_meat_g - meat
            _note(missed, "broth-short", portions * need.broth_ml - broth)
            _note(missed, "meat-short", portions * need.meat_g - meat)
            servings.append(
                Serving(
                    on=on,
                    portions=portions,
                    broth_ml=broth,
                    jar_ml=broth * as_jarred,
                    meat_g=meat,
                    vegetables_g=portions * need.vegetables_g,
                    source=source,
                    thaw_on=on - timedelta(days=1) if source == THAWED else None,
                )
            )
    remarks += [Remark(code, {_UNIT[code]: amount}) for code, amount in sorted(missed.items())]
    return Served(tuple(servings), left_ml * as_jarred, left_meat_g, tuple(remarks))


_UNIT: Mapping[str, str] = {"broth-short": "broth_ml", "meat-short": "meat_g"}


def _note(missed: dict[str, Decimal], code: str, amount: Decimal) -> None:
    if amount > TINY:
        missed[code] = missed.get(code, Decimal(0)) + amount


def _source(on: date, keeping: Keeping, freezer: bool) -> str | None:
    if on == keeping.made_on:
        return FRESH
    if keeping.made_on < on <= keeping.use_by:
        return KEPT
    return THAWED if freezer and keeping.use_by < on <= keeping.best_by else None
