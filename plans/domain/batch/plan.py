"""A batch planned whole: bones, pots, times, broth, jars, servings, and what there is to say.

``batch_for`` is the door. It takes an ask and the published figures, and asks neither clock nor storage.
"""

from dataclasses import replace
from datetime import UTC, timedelta
from decimal import ROUND_CEILING, Decimal

from coaching.domain.calendar import wall_clock
from plans.domain.batch.asking import Ask, Figures, check, figures_of
from plans.domain.batch.jars import Jarred, Place, fill
from plans.domain.batch.outcome import Batch, Pot
from plans.domain.batch.pots import Way, best_way
from plans.domain.batch.safety import (
    Keeping,
    KitchenSafety,
    cooling_of,
    core_temp_f,
    keeping_of,
    simmer_stretch,
)
from plans.domain.batch.saying import notes_of, warnings_of
from plans.domain.batch.scaling import Losses, bones_g_for_broth, bones_g_for_meat, fill_pot, share_out
from plans.domain.batch.servings import Served, Serving, serve
from plans.domain.batch.trade import BONES_G_PER_ML, BRING_UP_MIN, HANDS_ON_MIN, salt_ml_for
from plans.domain.planner.setting import FRESH, THAWED

VEGETABLES_G_PER_ML = Decimal(1)
"""How dense cooked vegetables are, for the room they take. Common practice, no source."""


def batch_for(ask: Ask, safety: KitchenSafety) -> Batch:
    """Plan a batch. Raises ValueError for an ask nothing can be made of, see ``asking.check``."""
    check(ask)
    figures = figures_of(ask)
    simmer_min = _whole_minutes(figures.simmer_min * simmer_stretch(ask.elevation_ft, safety))
    losses = Losses(figures.evaporation_per_hour * simmer_min / 60, figures.held_back_ml_per_g)
    needed_g = _needed_g(ask, figures, losses)
    asked_g = needed_g if ask.bones_g is None else ask.bones_g
    way = best_way(
        asked_g,
        ask.stove.pots_ml,
        ask.stove.burners,
        elapsed_min=BRING_UP_MIN + simmer_min,
        hands_on_min=HANDS_ON_MIN,
        within_min=_within_min(ask),
        most_strength=ask.most_strength,
    )
    bones_g = min(asked_g, way.most_g)
    pots = _pots(way, bones_g, ask, losses, safety)
    keeping = keeping_of(min(pot.off_heat_at.date() for pot in pots), safety, fridge_days=ask.fridge_days)
    meat_g = bones_g * figures.meat_share
    served = _served(ask, pots, meat_g, keeping)
    vegetables_g = sum((serving.vegetables_g for serving in served.servings), Decimal(0))
    jarred = _jarred(ask, served, safety)
    batch = Batch(
        kind=ask.kind,
        needed_g=needed_g,
        bones_g=bones_g,
        bones_left_g=asked_g - bones_g,
        simmer_min=simmer_min,
        core_temp_f=core_temp_f(ask.kind),
        pots=pots,
        salt_ml=salt_ml_for(sum((pot.filling.asked_ml for pot in pots), Decimal(0))),
        meat_g=meat_g,
        meat_left_g=served.left_meat_g,
        vegetables_g=vegetables_g,
        vegetables_beside_g=_beside_g(pots, served, vegetables_g),
        keeping=keeping,
        servings=served.servings,
        spare_ml=served.left_ml,
        jars=jarred.jars,
        jarless_ml=jarred.left_ml,
        warnings=served.remarks,
        notes=(),
    )
    return replace(batch, warnings=warnings_of(batch, ask, safety), notes=notes_of(batch, ask, safety))


def _whole_minutes(minutes: Decimal) -> int:
    return int(minutes.to_integral_value(ROUND_CEILING))


def _needed_g(ask: Ask, figures: Figures, losses: Losses) -> Decimal:
    """The bones that give the broth and the meat of the need, whichever asks for more."""
    if ask.need is None:
        return Decimal(0)
    portions = ask.need.total
    return max(
        bones_g_for_broth(portions * ask.need.broth_ml, losses),
        bones_g_for_meat(portions * ask.need.meat_g, figures.meat_share),
    )


def _within_min(ask: Ask) -> int | None:
    """Whole minutes there are, in elapsed time also on a day the clocks change; None without an end."""
    if ask.finish_by is None:
        return None
    return (ask.finish_by.astimezone(UTC) - ask.starts_at.astimezone(UTC)) // timedelta(minutes=1)


def _pots(way: Way, bones_g: Decimal, ask: Ask, losses: Losses, safety: KitchenSafety) -> tuple[Pot, ...]:
    volumes = tuple(ask.stove.pots_ml[vessel] for vessel in way.pots)
    start = ask.starts_at.astimezone(UTC)
    pots = []
    for vessel, turn, volume, share in zip(
        way.pots, way.turns, volumes, share_out(bones_g, volumes), strict=True
    ):
        off_heat = start + timedelta(minutes=turn.end_min)
        pots.append(
            Pot(
                vessel=vessel,
                burner=turn.burner,
                starts_at=wall_clock(start + timedelta(minutes=turn.start_min), ask.zone),
                off_heat_at=wall_clock(off_heat, ask.zone),
                filling=fill_pot(volume, share, losses),
                cooling=cooling_of(off_heat, ask.zone, safety),
            )
        )
    return tuple(pots)


def _served(ask: Ask, pots: tuple[Pot, ...], meat_g: Decimal, keeping: Keeping) -> Served:
    broth_ml = sum((pot.filling.broth_ml for pot in pots), Decimal(0))
    let_down_ml = sum((pot.filling.let_down_ml for pot in pots), Decimal(0))
    if ask.need is None:
        return Served((), broth_ml, meat_g, ())
    return serve(
        ask.need,
        broth_ml=broth_ml,
        let_down_ml=let_down_ml,
        meat_g=meat_g,
        keeping=keeping,
        freezer=ask.freezer,
    )


def _solids_ml(servings: tuple[Serving, ...]) -> Decimal:
    """The room that meat and vegetables take in a soup; from a stock the meat is kept apart."""
    if not any(serving.vegetables_g for serving in servings):
        return Decimal(0)
    return sum(
        (each.meat_g / BONES_G_PER_ML + each.vegetables_g / VEGETABLES_G_PER_ML for each in servings),
        Decimal(0),
    )


def _beside_g(pots: tuple[Pot, ...], served: Served, vegetables_g: Decimal) -> Decimal:
    """Vegetables that find no room in the pots once the bones are out and the meat is back in."""
    broth_ml = sum((pot.filling.broth_ml for pot in pots), Decimal(0))
    meat_ml = sum((serving.meat_g for serving in served.servings), Decimal(0)) / BONES_G_PER_ML
    room_ml = sum((pot.filling.pot_ml for pot in pots), Decimal(0)) - broth_ml - meat_ml
    return max(vegetables_g - max(room_ml, Decimal(0)) * VEGETABLES_G_PER_ML, Decimal(0))


def _jarred(ask: Ask, served: Served, safety: KitchenSafety) -> Jarred:
    """What is not eaten fresh, in jars: first what is frozen, since that cannot wait in the pot."""
    thawed = tuple(serving for serving in served.servings if serving.source == THAWED)
    kept = tuple(serving for serving in served.servings if serving.source not in (FRESH, THAWED))
    frozen_ml = sum((serving.jar_ml for serving in thawed), Decimal(0)) + _solids_ml(thawed)
    kept_ml = sum((serving.jar_ml for serving in kept), Decimal(0)) + _solids_ml(kept)
    spare = {Place.FREEZER if ask.freezer else Place.FRIDGE: served.left_ml}
    spare_frozen_ml, spare_kept_ml = (spare.get(place, Decimal(0)) for place in (Place.FREEZER, Place.FRIDGE))
    frozen = fill(frozen_ml + spare_frozen_ml, ask.jars, Place.FREEZER, safety, spare_ml=spare_frozen_ml)
    chilled = fill(kept_ml + spare_kept_ml, frozen.spare, Place.FRIDGE, safety, spare_ml=spare_kept_ml)
    return Jarred(frozen.jars + chilled.jars, frozen.left_ml + chilled.left_ml, chilled.spare)
