"""Finding foods by the names people type: the name itself, a synonym, singular or plural, whatever the case."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from plans.domain.filing.lookup import folded

MOST_SUGGESTIONS = 3


@dataclass(frozen=True, slots=True)
class FoodName:
    """A food by its key, with the name shown and the other names that find it."""

    key: str
    name: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unknown:
    """A typed name that found nothing, with the nearest names there are."""

    typed: str
    nearest: tuple[str, ...] = ()


def find_foods(typed: str, foods: Iterable[FoodName]) -> tuple[tuple[str, ...], tuple[Unknown, ...]]:
    """The keys of the foods named in a text, separated by commas or line ends, and the names that found nothing.

    A food whose own name has a comma in it ("Beef bones, meaty") is found too: the longest name that fits wins.
    """
    listed = tuple(foods)
    index = _index(listed)
    found: dict[str, None] = {}
    unknown = []
    for line in typed.replace(";", "\n").splitlines():
        parts = [part.strip() for part in line.split(",") if part.strip()]
        while parts:
            taken = _longest(parts, index)
            if taken:
                found[index[_plain(" ".join(parts[:taken]))]] = None
            else:
                unknown.append(Unknown(parts[0], _nearest(parts[0], listed, index)))
            parts = parts[taken or 1 :]
    return tuple(found), tuple(unknown)


def _longest(parts: list[str], index: Mapping[str, str]) -> int:
    """How many parts from the first on make a known name together; 0 for none."""
    return next((n for n in range(len(parts), 0, -1) if _plain(" ".join(parts[:n])) in index), 0)


def _index(foods: Iterable[FoodName]) -> Mapping[str, str]:
    """Plain words to keys; a food's own name wins over another food's synonym."""
    index: dict[str, str] = {}
    for food in foods:
        for name in food.names:
            index.setdefault(_plain(name), food.key)
    for food in foods:
        index[_plain(food.key)] = food.key
    for food in foods:
        index[_plain(food.name)] = food.key
    return index


def _nearest(word: str, foods: Iterable[FoodName], index: Mapping[str, str]) -> tuple[str, ...]:
    names = {food.key: food.name for food in foods}
    plain = _plain(word)
    inside = [known for known in index if plain in known.split()]
    close = get_close_matches(plain, index, n=MOST_SUGGESTIONS * 2, cutoff=0.6)
    keys = dict.fromkeys(index[known] for known in [*close, *inside])
    return tuple(names[key] for key in keys)[:MOST_SUGGESTIONS]


def _plain(words: str) -> str:
    """Words as names are compared: folded, and without a plural s."""
    return " ".join(_singular(word) for word in folded(words).split())


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
