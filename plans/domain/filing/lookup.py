"""Finding a food by what people call it."""

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from functools import cached_property

from plans.domain.book import Food


class FoodLookup:
    """The foods of a book by key, name and other names; case, hyphens and a plural s make no difference."""

    def __init__(self, foods: Iterable[Food]) -> None:
        self.foods = {food.key: food for food in foods}
        self.groups = sorted({food.group for food in self.foods.values()})

    @cached_property
    def _keys(self) -> dict[str, str]:
        """Keys by folded name; made when a name is first looked up, as most rows name their food by its key."""
        keys: dict[str, str] = {}
        for food in self.foods.values():
            for name in (food.key, food.name, *food.names):
                keys.setdefault(folded(name), food.key)
        return keys

    @cached_property
    def _stems(self) -> list[tuple[frozenset[str], str]]:
        return [(_stems(name), key) for name, key in self._keys.items()]

    def __contains__(self, key: str) -> bool:
        return key in self.foods

    def named(self, name: str) -> str:
        """The key of the food with this very name, or nothing."""
        asked = folded(name)
        spellings = (asked, asked.removesuffix("s"), asked.removesuffix("es"), f"{asked}s")
        return next((self._keys[spelling] for spelling in spellings if spelling in self._keys), "")

    def within(self, words: str) -> str:
        """The key of the food whose name has the most words among these: “bone-in chicken thighs” is a chicken thigh.

        Nothing when no name is wholly there. Of names equally long the first in the book is taken.
        """
        said = _stems(words)
        best = max(
            ((len(stems), key) for stems, key in self._stems if stems <= said),
            key=lambda found: found[0],
            default=None,
        )
        return best[1] if best else ""

    def nearest(self, name: str) -> str:
        """The key of the food with the nearest name, or nothing when none is near."""
        found = self.named(name) or self.within(name)
        if found:
            return found
        near = get_close_matches(folded(name)[:80], self._keys, n=1, cutoff=0.75)
        return self._keys[near[0]] if near else ""


def folded(words: str) -> str:
    """Words as they are looked up: lower case, no accents, hyphens and commas as spaces."""
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", words) if not unicodedata.combining(sign))
    return " ".join(bare.casefold().replace("-", " ").replace(",", " ").split())


def _stems(words: str) -> frozenset[str]:
    return frozenset(word.removesuffix("s") for word in folded(words).split())
