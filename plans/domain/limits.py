"""Limits of age and condition: who must not eat what, whatever a protocol says, and who should be told something.

A food carries limits by name (``vocabulary.LIMITS``). A limit bars a food, bars it unless it is prepared in a safe
form, or only gives a notice. What bars a food bars it as a flavour, too. A safe form binds flavours where the danger
stays behind in the dish when the food is taken out, as germs do, and not where it is the shape of the piece, which
leaves with it. Every row names its source. Where sources differ the stricter one stands. Local food codes
and a licensed clinician overrule this table; they can only be stricter here, through an eater's instructions.
"""

from calendar import monthrange
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from plans.domain.book import Food, Form

PREGNANT = "pregnant"
BREASTFEEDING = "breastfeeding"
WEAK_IMMUNITY = "weak-immunity"
WARFARIN = "warfarin"
FLAGS = frozenset((PREGNANT, BREASTFEEDING, WEAK_IMMUNITY, WARFARIN))
"""What must be known of an eater, besides the birthday, for the limits to hold."""

HEATED = tuple(
    frozenset((word,))
    for word in ("boiled", "steamed", "stewed", "baked", "roasted", "fried", "grilled", "broth")
)
SOFT = tuple(
    frozenset((word,))
    for word in (
        "boiled",
        "steamed",
        "stewed",
        "baked",
        "roasted",
        "pureed",
        "minced",
        "grated",
        "broth",
        "juiced",
    )
)
GROUND = (frozenset(("pureed",)), frozenset(("minced",)))

MILK_ONLY_BELOW_MONTHS = 4
"""No solid food before this age (American Academy of Pediatrics and CDC: about 6 months, never before 4)."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One row: whom it concerns and what it asks.

    It concerns eaters younger than ``below_months``, at least ``from_years`` old, or with one of ``flags``. With
    ``forms`` the food stays open in those forms, and with ``stays_behind`` it may flavour only in them; ``notice`` only
    informs. ``inherited``: holds for whatever contains the food, too.
    """

    name: str
    code: str
    source: str
    below_months: int = 0
    from_years: int = 0
    flags: frozenset[str] = frozenset()
    forms: tuple[Form, ...] = ()
    stays_behind: bool = False
    notice: bool = False
    inherited: bool = True


_HIGH_RISK = frozenset((PREGNANT, WEAK_IMMUNITY))

LIMITS = (
    Limit(
        "honey",
        "honey-under-one",
        "CDC, Foods and Drinks to Avoid or Limit, 2020; INSPQ (Quebec): also when cooked or baked",
        below_months=12,
    ),
    Limit(
        "honey",
        "sugar-under-two",
        "CDC, Foods and Drinks to Avoid or Limit: no added sugars before 24 months (honey counted: from memory)",
        below_months=24,
        notice=True,
    ),
    Limit(
        "whole-nuts",
        "nuts-under-five",
        "UK NHS, Foods to avoid giving babies and young children: 5 years (from memory); US sources say 4",
        below_months=60,
        forms=GROUND,
        inherited=False,
    ),
    Limit(
        "choking",
        "choking-under-four",
        "USDA MyPlate, Choking hazards; University of Illinois Extension, Prevent choking: under 4 years",
        below_months=48,
        forms=SOFT,
        inherited=False,
    ),
    Limit(
        "raw-milk",
        "raw-milk",
        "CDC, raw milk advice to consumers, 2016: under 5 years, pregnant, 65 and over, weak immunity",
        below_months=60,
        from_years=65,
        flags=_HIGH_RISK,
    ),
    Limit(
        "raw-sprouts",
        "raw-sprouts",
        "FDA, Selecting and serving produce safely: young children, elderly, pregnant, weak immunity (from memory)",
        below_months=60,
        from_years=65,
        flags=_HIGH_RISK,
        forms=HEATED,
        stays_behind=True,
    ),
    Limit(
        "raw-egg",
        "raw-egg",
        "foodsafety.gov, Safe Minimum Internal Temperatures: eggs until firm; the same people at risk (from memory)",
        below_months=60,
        from_years=65,
        flags=_HIGH_RISK,
        forms=HEATED,
        stays_behind=True,
    ),
    Limit(
        "liver",
        "liver-in-pregnancy",
        "UK NHS advice by way of Tommy's, Foods to avoid in pregnancy: vitamin A",
        flags=frozenset((PREGNANT,)),
    ),
    Limit(
        "liver",
        "liver-for-children",
        "Institute of Medicine, vitamin A upper level (2001, from memory) against USDA figures for chicken liver",
        below_months=14 * 12,
        notice=True,
    ),
    Limit(
        "high-mercury",
        "high-mercury",
        "FDA and EPA, Advice about Eating Fish: pregnant, breast-feeding, children to 11 (from memory)",
        below_months=12 * 12,
        flags=frozenset((PREGNANT, BREASTFEEDING)),
    ),
    Limit(
        "alcohol",
        "alcohol",
        "CDC, Alcohol Use During Pregnancy; Dietary Guidelines on breast-feeding and minors (from memory)",
        below_months=18 * 12,
        flags=frozenset((PREGNANT, BREASTFEEDING)),
    ),
    Limit(
        "high-vitamin-k",
        "vitamin-k-steady",
        "NIH Office of Dietary Supplements, Vitamin K: with warfarin keep the amount steady, do not avoid",
        flags=frozenset((WARFARIN,)),
        notice=True,
        inherited=False,
    ),
)


def birthday(born: date, *, months: int) -> date:
    """The day an age is reached. Where the month lacks the day it is the day after: born 29 February 2024, twelve
    months are reached on 1 March 2025, the later and therefore the safer day."""
    year, month = divmod(born.year * 12 + born.month - 1 + months, 12)
    month += 1
    if born.day <= 28 or born.day <= monthrange(year, month)[1]:
        return date(year, month, born.day)
    return date(year + month // 12, month % 12 + 1, 1)


def younger_than(born: date, on: date, *, months: int) -> bool:
    """Whether an age is still to be reached on a day."""
    return on < birthday(born, months=months)


def concerns(limit: Limit, born: date, flags: Iterable[str], on: date) -> bool:
    """Whether a limit holds for an eater on a day."""
    if limit.below_months and younger_than(born, on, months=limit.below_months):
        return True
    if limit.from_years and not younger_than(born, on, months=12 * limit.from_years):
        return True
    return not limit.flags.isdisjoint(flags)


def foods_by_limit(
    foods: Mapping[str, Food], made_of: Mapping[str, frozenset[str]]
) -> dict[Limit, tuple[str, ...]]:
    """For each limit the keys of the foods it meets, in order. ``made_of`` lists a food itself and all it contains."""
    return {
        limit: tuple(
            sorted(
                key
                for key in foods
                if any(
                    limit.name in foods[part].limits
                    for part in (made_of[key] if limit.inherited else (key,))
                    if part in foods
                )
            )
        )
        for limit in LIMITS
    }
