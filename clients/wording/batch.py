"""A batch in words: kinds, places, and every note and warning. Figures are rounded here and nowhere earlier."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction
from typing import Any

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from clients.wording.jars import JAR_COUNTED
from clients.wording.weekdays import WEEKDAY
from coaching.domain.units import METRES_PER_FOOT, System, celsius, millilitres_per, whole
from plans.domain.batch.remarks import PRACTICE, Remark
from plans.domain.batch.trade import Kind
from plans.printables.words import (
    NO_BREAK,
    amount_words,
    day_words,
    listed,
    number_words,
    portions_words,
    span_words,
)

KIND = {
    Kind.POULTRY: gettext_lazy("Poultry"),
    Kind.PORK: gettext_lazy("Pork"),
    Kind.BEEF: gettext_lazy("Beef"),
    Kind.LAMB: gettext_lazy("Lamb"),
    Kind.GAME: gettext_lazy("Game"),
    Kind.FISH: gettext_lazy("Fish"),
}
STOCK = {
    Kind.POULTRY: gettext_lazy("Poultry stock"),
    Kind.PORK: gettext_lazy("Pork stock"),
    Kind.BEEF: gettext_lazy("Beef stock"),
    Kind.LAMB: gettext_lazy("Lamb stock"),
    Kind.GAME: gettext_lazy("Game stock"),
    Kind.FISH: gettext_lazy("Fish stock"),
}
SOUP = {
    Kind.POULTRY: gettext_lazy("Poultry soup"),
    Kind.PORK: gettext_lazy("Pork soup"),
    Kind.BEEF: gettext_lazy("Beef soup"),
    Kind.LAMB: gettext_lazy("Lamb soup"),
    Kind.GAME: gettext_lazy("Game soup"),
    Kind.FISH: gettext_lazy("Fish soup"),
}
BONES = {
    Kind.POULTRY: gettext_lazy("Poultry, meaty bones"),
    Kind.PORK: gettext_lazy("Pork, meaty bones"),
    Kind.BEEF: gettext_lazy("Beef, meaty bones"),
    Kind.LAMB: gettext_lazy("Lamb, meaty bones"),
    Kind.GAME: gettext_lazy("Game, meaty bones"),
    Kind.FISH: gettext_lazy("Fish, bones and heads"),
}
SOURCE = {
    "fresh": gettext_lazy("fresh from the pot"),
    "kept": gettext_lazy("from the refrigerator"),
    "thawed": gettext_lazy("from the freezer"),
}
PLACE = {"fridge": gettext_lazy("refrigerator"), "freezer": gettext_lazy("freezer")}
_CUT = {
    "feet": gettext_lazy("feet"),
    "tails": gettext_lazy("tails"),
    "hocks": gettext_lazy("hocks"),
    "necks": gettext_lazy("necks"),
}
WARNING = {
    "cooling-too-slow-split-shallow": gettext_lazy(
        "When %(vessel)s comes off the heat, %(broth_ml)s are cooling at once, and the shallow dishes take "
        "%(shallow_ml)s: the rest does not cool in time by itself. Fill more dishes, no deeper than %(depth_in)s, or "
        "stand the pot in iced water and stir, so that it is cool by %(first_by)s."
    ),
    "finish-too-late": gettext_lazy(
        "The last pot leaves the heat at %(off_heat_at)s, after %(finish_by)s. Begin earlier, or choose bones that "
        "take less time."
    ),
    "pot-too-small": gettext_lazy(
        "The pots have room for %(water_ml)s of water, and the bones would take %(asked_ml)s. It comes out "
        "%(strength)s times as strong as usual, which is fine: let it down with %(let_down_ml)s of hot water in all, "
        "bowl by bowl."
    ),
    "bones-left": gettext_lazy(
        "%(bones_g)s of bones find no room or no time in the pots. Freeze them for another day, or use a larger pot."
    ),
    "bones-short": gettext_lazy(
        "There are %(bones_g)s of bones, and the portions ask for %(needed_g)s. The last days get less."
    ),
    "vegetables-beside": gettext_lazy(
        "%(vegetables_g)s of the vegetables do not fit into the pots. Boil them in a pan beside them."
    ),
    "a-sip-over": gettext_lazy("%(left_ml)s is over and not worth a jar: a cup for the cook."),
    "jars-short": gettext_lazy(
        "There is no jar for %(left_ml)s. %(more)d more would hold it (%(size)s). Clean boxes with lids do as well."
    ),
    "headspace-of-the-quart": gettext_lazy(
        "No table names the room to leave in the freezer for jars so large (%(size)s). Here it is that of the quart; "
        "two smaller jars are the safer choice."
    ),
    "day-before-batch": gettext_lazy(
        "%(on)s comes before the batch is cooked: %(portions)s must come from elsewhere."
    ),
    "day-out-of-reach": gettext_lazy(
        "%(on)s is too late for this batch to be kept safely: cook again for these %(portions)s."
    ),
    "broth-short": gettext_lazy("%(broth_ml)s of broth are missing on the last days."),
    "meat-short": gettext_lazy("%(meat_g)s of meat are missing on the last days."),
}
"""What will not go well, and what to do about it."""
NOTE = {
    "sets-firmest": gettext_lazy("A stock sets firmest with %(cuts)s among the bones."),
    "peel-carrots": gettext_lazy(
        "Peel carrots and take out their seeds and tough cores while stools are loose."
    ),
    "celery-comes-out": gettext_lazy("Where celery may be eaten, let it cook along whole and take it out."),
    "garlic-whole-time": gettext_lazy(
        "Garlic is badly borne at this table: where it may be eaten at all, let it cook the whole time, then take it "
        "out."
    ),
    "garlic-pressed-at-the-end": gettext_lazy(
        "Where garlic may be eaten, press it in at the end and let it boil up once."
    ),
    "skim": gettext_lazy("Bring it up slowly from cold water and lift off the grey foam."),
    "bare-simmer": gettext_lazy(
        "Keep a bare simmer with the lid ajar for %(planned_min)s: only a bubble or two breaks the surface. "
        "%(least_min)s to %(most_min)s are usual."
    ),
    "simmers-longer-up-here reckoned": gettext_lazy(
        "At %(elevation_ft)s water boils cooler: the simmer here is a quarter longer already."
    ),
    "simmers-longer-up-here": gettext_lazy(
        "At %(elevation_ft)s water boils cooler. No figure is published for this height: simmer a little longer, and "
        "go by the thermometer."
    ),
    "core": gettext_lazy("The meat on the bones must reach %(fahrenheit)s in the thickest part."),
    "child-share-before-salt": gettext_lazy("Ladle out the small child’s share before any salt goes in."),
    "salt-to-taste": gettext_lazy("Salt with about %(salt_ml)s to begin with, the rest to taste."),
    "boil-down-if-thin": gettext_lazy(
        "If it tastes thin, boil it down without a lid once the bones are out. The salt stays in, so salt after that."
    ),
    "blend-skin-back": gettext_lazy("Soft skin and cartilage may be blended and stirred back in."),
    "fat-to-taste": gettext_lazy("Leave the fat in or lift it off when cold, as each eater bears it."),
    "brine-when-cool-enough-to-eat": gettext_lazy(
        "Where live-culture brine is open for an eater, stir it in only when the bowl is cool enough to eat."
    ),
    "cool-by": gettext_lazy(
        "Cool %(vessel)s below %(first_f)s by %(first_by)s and below %(cold_f)s by %(cold_by)s. What is not that "
        "cold by then is thrown away."
    ),
    "spare-broth freezer": gettext_lazy(
        "%(broth_ml)s as they stand in the jar are left over: freeze them, at their best until %(until)s."
    ),
    "spare-broth fridge": gettext_lazy(
        "%(broth_ml)s as they stand in the jar are left over: eat them by %(until)s."
    ),
    "spare-meat freezer": gettext_lazy("%(meat_g)s of meat are left over: freeze it, best by %(until)s."),
    "spare-meat fridge": gettext_lazy("%(meat_g)s of meat are left over: eat it by %(until)s."),
    "reheat": gettext_lazy("Reheat to %(fahrenheit)s all through, a broth to a full boil."),
    "no-water-bath-canning": gettext_lazy(
        "Do not can stock in a water bath: that takes a pressure canner and a tested recipe. Jars here go into the "
        "refrigerator or the freezer and are not shelf-stable."
    ),
}
"""How it is cooked. A code whose words depend on a fact stands here once for each."""


@dataclass(frozen=True, slots=True)
class Said:
    """A note or warning in words, and who published it; no source means common practice."""

    words: str
    source: str


def remark_words(remark: Remark, *, system: System, pots: Sequence[str]) -> Said:
    """One remark as a sentence. ``pots`` are the kitchen's pots by name. Raises KeyError for a code without words."""
    template = (WARNING | NOTE)[_code(remark)]
    facts = {name: _fact(name, value, system, pots) for name, value in remark.facts.items()}
    words = str(template) % facts
    source = "" if remark.source == PRACTICE else remark.source
    return Said(f"{words[:1].upper()}{words[1:]}", source)


def at_home_words(minutes: int, day: str, at_home_min: int) -> Said:
    """That the pots are on the heat for longer than anybody is at home in one go on that weekday."""
    words = _(
        "From the first pot on to the last one off the heat it takes %(span)s, and on %(day)s somebody is at home for "
        "%(home)s in one go. Choose another day, and leave no pot on the heat alone."
    )
    facts = {"span": span_words(minutes), "day": WEEKDAY[day], "home": span_words(at_home_min)}
    return Said(words % facts, "")


def _code(remark: Remark) -> str:
    if remark.facts.get("reckoned"):
        return f"{remark.code} reckoned"
    return f"{remark.code} {remark.facts['place']}" if "place" in remark.facts else remark.code


def _fact(name: str, value: Any, system: System, pots: Sequence[str]) -> Any:
    if isinstance(value, datetime):
        return moment_words(value)
    if isinstance(value, date):
        return day_words(value)
    if name in _BY_NAME:
        return _BY_NAME[name](value)
    if name == "vessel":
        return pots[value]
    if name == "salt_ml":
        return salt_words(value)
    unit = name.rsplit("_", 1)[-1]
    if unit in ("ml", "g"):
        return amount_words(value, unit, None, system)
    if unit == "ft":
        return height_words(value, system)
    return at_most_words(value, system) if unit == "in" else value


def salt_words(salt_ml: Decimal) -> str:
    """Salt by the spoon in every kitchen."""
    return amount_words(salt_ml, "ml", None, System.US)


def degrees_words(fahrenheit: Decimal | int) -> str:
    """``70 °F (21 °C)``."""
    return _("%(fahrenheit)d\u00a0°F (%(celsius)d\u00a0°C)") % {
        "fahrenheit": fahrenheit,
        "celsius": whole(celsius(Decimal(fahrenheit))),
    }


def moment_words(at: datetime) -> str:
    """``Monday 7 December, 14:30``."""
    return date_format(at, _("l j F, H:i"))


def clock_words(at: datetime, day: date) -> str:
    """``14:30``, with the day before it when it is another one than the reader thinks of."""
    return date_format(at, _("H:i")) if at.date() == day else date_format(at, _("D j M, H:i"))


def height_words(feet: Decimal, system: System) -> str:
    """``5,280 feet (1,609 m)``."""
    high = {
        System.US: _("%(n)s feet") % {"n": number_format(round(feet), force_grouping=True)},
        System.METRIC: _("%(n)s m")
        % {"n": number_format(round(feet * METRES_PER_FOOT), force_grouping=True)},
    }
    other = System.METRIC if system is System.US else System.US
    return f"{high[system]} ({high[other]})"


def at_least_words(inches: Decimal, system: System) -> str:
    """A depth to keep at least, centimetres rounded up to halves: ``1 ½ in (4 cm)``."""
    return _depth_words(inches, system, ROUND_CEILING)


def at_most_words(inches: Decimal, system: System) -> str:
    """A depth not to exceed, centimetres rounded down to halves: ``2 in (5 cm)``."""
    return _depth_words(inches, system, ROUND_FLOOR)


def _depth_words(inches: Decimal, system: System, rounding: str) -> str:
    half_cm = (inches * Decimal("5.08")).to_integral_value(rounding)
    us = f"{number_words(Fraction(inches))}{NO_BREAK}{_('in')}"
    metric = f"{number_words(half_cm / 2)}{NO_BREAK}{_('cm')}"
    return f"{us} ({metric})" if system is System.US else f"{metric} ({us})"


def strength_words(strength: Decimal, let_down_per_ml: Decimal, system: System) -> str:
    """How strong it came out, and what to do about it in the bowl."""
    if strength == 1:
        return _("Of the usual strength.")
    return _("%(strength)s times as strong as usual, which is fine: %(let_down)s") % {
        "strength": _times(strength),
        "let_down": let_down_words(let_down_per_ml, system),
    }


def let_down_words(let_down_per_ml: Decimal, system: System) -> str:
    """What brings a measure from the jar to the usual strength; nothing when it is so already."""
    if not let_down_per_ml:
        return ""
    if system is System.US:
        measure, base = _("cup"), millilitres_per("cup")
    else:
        measure, base = _("100 ml"), Decimal(100)
    water = amount_words(let_down_per_ml * base, "ml", None, system)
    return _("to each %(measure)s from the jar add %(water)s of hot water.") % {
        "measure": measure,
        "water": water,
    }


def _times(strength: Decimal) -> str:
    return number_format(max(round(strength, 1), Decimal("1.1")).normalize())


_BY_NAME: Mapping[str, Callable[[Any], Any]] = {
    "portions": portions_words,
    "strength": _times,
    "size": lambda size: str(JAR_COUNTED[size]),
    "cuts": lambda cuts: listed([str(_CUT[cut]) for cut in cuts.split()], last=_("or")),
    "fahrenheit": degrees_words,
    "first_f": degrees_words,
    "cold_f": degrees_words,
    "planned_min": lambda minutes: span_words(int(minutes)),
    "least_min": lambda minutes: span_words(int(minutes)),
    "most_min": lambda minutes: span_words(int(minutes)),
}
