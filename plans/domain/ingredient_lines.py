"""Reading an ingredient as cooks write it: “2 1/2 lb bone-in chicken thighs”, “500 g carrots, peeled”.

What is read is a proposal for a person to look over. Every guess is named as a doubt; how a food is cooked is taken
from the words of the line and never guessed, because allowances hang on it.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from plans.domain.filing.lookup import FoodLookup, folded
from plans.domain.quantities import grams
from plans.domain.records import form_of, number_text
from plans.domain.vocabulary import COOKING, FORM_WORDS

MOST_LINE = 300


class Doubt(StrEnum):
    """What a person must look at before the ingredient is used."""

    NO_QUANTITY = "no_quantity"
    RANGE = "range"
    NO_FOOD = "no_food"
    FOOD_GUESSED = "food_guessed"
    NOT_WEIGHABLE = "not_weighable"
    NO_FORM = "no_form"


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """A line as it was written, what was read from it, as text for a form, and the doubts that remain."""

    line: str
    quantity: str = ""
    unit: str = ""
    food: str = ""
    form: str = ""
    size: str = ""
    use: str = ""
    doubts: tuple[Doubt, ...] = ()


_UNIT_WORDS = {
    "g": "g gr gram grams gramme grammes",
    "kg": "kg kilo kilos kilogram kilograms kilogramme kilogrammes",
    "oz": "oz ounce ounces",
    "lb": "lb lbs pound pounds",
    "ml": "ml millilitre millilitres milliliter milliliters",
    "l": "l litre litres liter liters",
    "tsp": "tsp tsps teaspoon teaspoons",
    "tbsp": "tbsp tbsps tbs tablespoon tablespoons",
    "cup": "cup cups",
    "fl-oz": "fl-oz floz",
    "pint": "pint pints pt",
    "quart": "quart quarts qt qts",
    "gallon": "gallon gallons",
}
_UNITS = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}
_DONE = {
    "skinless": "skinned",
    "boneless": "boned",
    "deboned": "boned",
    "seeded": "deseeded",
    "seedless": "deseeded",
    "stoned": "pitted",
    "puree": "pureed",
    "shredded": "grated",
    "sieved": "strained",
}
_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?"
_AMOUNT = re.compile(
    rf"^\s*(?:about |approx\.? |ca\.? )?({_NUMBER}|an?\b)(?:\s*(?:-|to\b|or\b)\s*({_NUMBER}))?\s*",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_FLUID_OUNCES = re.compile(r"\b(?:us\s+)?fl(?:uid)?\.?\s*(?:oz|ounces?)\b\.?", re.IGNORECASE)
_SIZES = frozenset({"small", "medium", "large"})


def read_ingredient(line: str, lookup: FoodLookup) -> IngredientLine:
    """What can be read from a line. Ounces, cups and pints are taken as US measures."""
    text = _plain(line)
    quantity, is_range, rest = _amount(text)
    outside = _BRACKETS.sub(" ", rest)
    unit, rest = _unit(outside)
    named, _, after = rest.partition(",")
    food, is_guess = _food(named, rest, lookup)
    unit = _named_unit(unit, named, after, food, lookup)
    form = _form(text)
    doubts = [
        (quantity is None, Doubt.NO_QUANTITY),
        (is_range, Doubt.RANGE),
        (not food, Doubt.NO_FOOD),
        (bool(food) and is_guess, Doubt.FOOD_GUESSED),
        (
            bool(food) and quantity is not None and _weight(quantity, unit, food, lookup) is None,
            Doubt.NOT_WEIGHABLE,
        ),
        (not form_of(form) & frozenset(COOKING), Doubt.NO_FORM),
    ]
    return IngredientLine(
        line=line[:MOST_LINE],
        quantity="" if quantity is None else number_text(quantity),
        unit=unit,
        food=food,
        form=form,
        doubts=tuple(doubt for holds, doubt in doubts if holds),
    )


def _plain(line: str) -> str:
    """The line with ``½`` as ``1/2``, dashes as ``-``, ``2 x 400 g`` kept apart, and no odd spaces."""
    parts = []
    for sign in line[:MOST_LINE]:
        spelled = unicodedata.normalize("NFKC", sign)
        parts.append(f" {spelled.replace(chr(0x2044), '/')} " if "\u2044" in spelled else spelled)
    text = re.sub(r"[‐-―−]", "-", "".join(parts))
    return " ".join(_FLUID_OUNCES.sub("fl-oz", text).split())


def _amount(text: str) -> tuple[Decimal | None, bool, str]:
    """The number in front, whether it is the first of a range, and the rest."""
    found = _AMOUNT.match(text)
    if not found:
        return None, False, text
    number = Decimal(1) if found[1].lower() in ("a", "an") else _number(found[1])
    rest = text[found.end() :]
    if rest[:2].lower() == "x " and (times := _AMOUNT.match(rest[2:])) and number is not None:
        each = _number(times[1]) if times[1][0].isdigit() else None
        return (None if each is None else number * each), False, rest[2 + times.end() :]
    return number, bool(found[2]), rest


def _number(typed: str) -> Decimal | None:
    try:
        total = sum(Fraction(part.replace(",", ".")) for part in typed.split())
    except ZeroDivisionError:
        return None
    if not 0 < total <= 1_000_000:
        return None
    return round(Decimal(total.numerator) / Decimal(total.denominator), 4)


def _unit(text: str) -> tuple[str, str]:
    """A unit in front and the rest; no unit in front gives none."""
    first, _, rest = text.strip().partition(" ")
    unit = _UNITS.get(first.rstrip(".").lower(), "")
    return (unit, rest.strip().removeprefix("of ")) if unit else ("", text.strip())


def _food(named: str, rest: str, lookup: FoodLookup) -> tuple[str, bool]:
    """The food a line means, and whether that is only the nearest guess."""
    bare = " ".join(word for word in folded(named).split() if word not in _SIZES)
    exact = lookup.named(bare)
    if exact:
        return exact, False
    without_care = " ".join(word for word in bare.split() if _care(word) is None)
    return lookup.named(without_care) or lookup.within(rest) or lookup.nearest(without_care), True


def _named_unit(unit: str, named: str, after: str, food: str, lookup: FoodLookup) -> str:
    """The unit in front, else one the food names (clove, stalk, medium), else a piece."""
    if unit or not food:
        return unit
    said = {
        word
        for spelled in folded(f"{named} {after}").split()
        for word in (spelled, spelled.removesuffix("s"))
    }
    known = (name for name in lookup.foods[food].unit_weights_g if name not in _UNITS.values())
    return next((name for name in known if name in said), "piece")


def _weight(quantity: Decimal, unit: str, food: str, lookup: FoodLookup) -> Decimal | None:
    return grams(quantity, unit, lookup.foods[food])


def _form(text: str) -> str:
    words = (_care(word) for word in folded(re.sub(r"[();.]", " ", text)).split())
    return " + ".join(dict.fromkeys(word for word in words if word))


def _care(word: str) -> str | None:
    """The word of the vocabulary for what is done to a food, or None."""
    return word if word in FORM_WORDS else _DONE.get(word)
