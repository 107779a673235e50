"""What a batch has to say: warnings about what will not go well, and notes on how it is cooked, as codes with facts."""

from collections.abc import Iterator
from decimal import Decimal

from plans.domain.batch.asking import Ask
from plans.domain.batch.jars import A_SIP_ML, HALF_GALLON, Place, headspace_is_published, jars_for
from plans.domain.batch.outcome import Batch, Pot
from plans.domain.batch.remarks import Remark
from plans.domain.batch.safety import KitchenSafety
from plans.domain.batch.scaling import TINY
from plans.domain.batch.trade import FIRMEST, SIMMER_MIN, Kind

SALT_SOURCE = "UK Food Standards Agency, salt for babies and children"
CANNING_SOURCE = "NCHFP and USDA Complete Guide to Home Canning 2015, Meat Stock: pressure canner only"
CORE_SOURCE = "HHS and USDA, foodsafety.gov, Safe Minimum Internal Temperatures"


def warnings_of(batch: Batch, ask: Ask, safety: KitchenSafety) -> tuple[Remark, ...]:
    """What will not go well, the safety of it first, then what the servings have to say."""
    return (
        *_cooling(batch, ask, safety),
        *_late(batch, ask),
        *_pots(batch, ask),
        *_jars(batch, ask, safety),
        *batch.warnings,
    )


def notes_of(batch: Batch, ask: Ask, safety: KitchenSafety) -> tuple[Remark, ...]:
    """How it is cooked, in the order of the work."""
    return (*_before(batch, ask), *_simmering(batch, ask, safety), *_after(batch, ask, safety))


def _cooling(batch: Batch, ask: Ask, safety: KitchenSafety) -> Iterator[Remark]:
    if ask.chilling.iced_water:
        return
    for pot in batch.pots:
        broth_ml = sum((each.filling.broth_ml for each in _cooling_with(pot, batch)), Decimal(0))
        if broth_ml > ask.chilling.shallow_ml:
            facts = {
                "vessel": pot.vessel,
                "broth_ml": broth_ml,
                "shallow_ml": ask.chilling.shallow_ml,
                "depth_in": safety.shallow_depth_in,
                "first_by": pot.cooling.first_by,
            }
            yield Remark("cooling-too-slow-split-shallow", facts, safety.sources["shallow_depth_in"])


def _cooling_with(pot: Pot, batch: Batch) -> list[Pot]:
    """The pots that still stand in the shallow dishes when this one comes to them, and it itself."""
    at = pot.off_heat_at.timestamp()
    return [
        each for each in batch.pots if each.off_heat_at.timestamp() <= at < each.cooling.first_by.timestamp()
    ]


def _late(batch: Batch, ask: Ask) -> Iterator[Remark]:
    if ask.finish_by is not None and batch.off_heat_at.timestamp() > ask.finish_by.timestamp():
        yield Remark("finish-too-late", {"off_heat_at": batch.off_heat_at, "finish_by": ask.finish_by})


def _pots(batch: Batch, ask: Ask) -> Iterator[Remark]:
    if batch.strength > 1:
        asked_ml = sum((pot.filling.asked_ml for pot in batch.pots), Decimal(0))
        facts = {
            "strength": batch.strength,
            "asked_ml": asked_ml,
            "water_ml": batch.water_ml,
            "let_down_ml": batch.let_down_ml,
        }
        yield Remark("pot-too-small", facts)
    if batch.bones_left_g > TINY:
        yield Remark("bones-left", {"bones_g": batch.bones_left_g})
    if ask.bones_g is not None and ask.bones_g < batch.needed_g:
        yield Remark("bones-short", {"bones_g": ask.bones_g, "needed_g": batch.needed_g})
    if batch.vegetables_beside_g > TINY:
        yield Remark("vegetables-beside", {"vegetables_g": batch.vegetables_beside_g})


def _jars(batch: Batch, ask: Ask, safety: KitchenSafety) -> Iterator[Remark]:
    if batch.jars and TINY < batch.jarless_ml <= min(A_SIP_ML, batch.spare_ml):
        yield Remark("a-sip-over", {"left_ml": batch.jarless_ml})
    elif batch.jarless_ml > TINY:
        size = max((stock.size for stock in ask.jars), key=lambda each: each.volume_ml, default=HALF_GALLON)
        place = Place.FREEZER if ask.freezer else Place.FRIDGE
        more = jars_for(batch.jarless_ml, size, place, safety)
        yield Remark("jars-short", {"left_ml": batch.jarless_ml, "more": more, "size": size.key})
    for size in dict.fromkeys(jar.size for jar in batch.jars if jar.place is Place.FREEZER):
        if not headspace_is_published(size):
            yield Remark("headspace-of-the-quart", {"size": size.key})


def _before(batch: Batch, ask: Ask) -> Iterator[Remark]:
    yield Remark("sets-firmest", {"cuts": " ".join(FIRMEST)})
    if ask.table.loose_stools:
        yield Remark("peel-carrots")
    yield Remark("celery-comes-out")
    yield Remark("garlic-whole-time" if ask.table.garlic_badly_borne else "garlic-pressed-at-the-end")


def _simmering(batch: Batch, ask: Ask, safety: KitchenSafety) -> Iterator[Remark]:
    yield Remark("skim")
    usual = SIMMER_MIN[batch.kind]
    facts = {"planned_min": batch.simmer_min, "least_min": usual.least, "most_min": usual.most}
    yield Remark("bare-simmer", facts)
    if ask.elevation_ft >= safety.altitude_longer_ft:
        quarter = ask.elevation_ft >= safety.altitude_quarter_ft
        figure = "altitude_quarter_ft" if quarter else "altitude_longer_ft"
        facts = {"elevation_ft": ask.elevation_ft, "reckoned": int(quarter)}
        yield Remark("simmers-longer-up-here", facts, safety.sources[figure])
    yield Remark("core", {"fahrenheit": batch.core_temp_f}, CORE_SOURCE)
    if ask.table.small_child:
        yield Remark("child-share-before-salt", source=SALT_SOURCE)
    yield Remark("salt-to-taste", {"salt_ml": batch.salt_ml})
    if batch.strength == 1:
        yield Remark("boil-down-if-thin")


def _after(batch: Batch, ask: Ask, safety: KitchenSafety) -> Iterator[Remark]:
    if batch.kind is not Kind.FISH:
        yield Remark("blend-skin-back")
    yield Remark("fat-to-taste")
    yield Remark("brine-when-cool-enough-to-eat")
    for pot in batch.pots:
        facts = {
            "vessel": pot.vessel,
            "first_f": pot.cooling.first_f,
            "first_by": pot.cooling.first_by,
            "cold_f": pot.cooling.cold_f,
            "cold_by": pot.cooling.cold_by,
        }
        yield Remark("cool-by", facts, safety.sources["cool_total_hours"])
    yield from _left_over(batch, ask, safety)
    yield Remark("reheat", {"fahrenheit": safety.reheat_f}, safety.sources["reheat_f"])
    yield Remark("no-water-bath-canning", source=CANNING_SOURCE)


def _left_over(batch: Batch, ask: Ask, safety: KitchenSafety) -> Iterator[Remark]:
    """What no day eats: frozen, or eaten in time where there is no freezer."""
    figure = "freezer_best_days" if ask.freezer else "fridge_most_days"
    until = batch.keeping.best_by if ask.freezer else batch.keeping.use_by
    where = Place.FREEZER if ask.freezer else Place.FRIDGE
    left = {"spare-broth": ("broth_ml", batch.spare_ml), "spare-meat": ("meat_g", batch.meat_left_g)}
    for code, (unit, amount) in left.items():
        if amount > TINY:
            yield Remark(code, {unit: amount, "place": where.value, "until": until}, safety.sources[figure])
