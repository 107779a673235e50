"""Whether something is in the book already: a food by one of its names, a recipe by its title and what is in it.

A guess that a person looks at, never a reason to refuse. The thresholds are the house's own (common practice, no
source), set so that one pair of the shipped recipes is pointed at: stewed apple as a side and
in a bowl.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from plans.domain.book import Food, Recipe
from plans.domain.filing.lookup import FoodLookup, folded
from plans.domain.fit import portion_grams

SAME_TITLE = 0.8
SAME_FOODS, LEAST_SHARED = 0.9, 3
"""Two dishes of one or two foods may well be different dishes; their titles decide."""
LIKE_TITLE, LIKE_FOODS = 0.5, 0.8
MOST_LIKE = 5
_SMALL_WORDS = frozenset(("a", "an", "and", "from", "in", "my", "of", "on", "or", "our", "the", "to", "with"))


@dataclass(frozen=True, slots=True)
class NameTaken:
    """A name that already finds another food."""

    name: str
    food: str


@dataclass(frozen=True, slots=True)
class Likeness:
    """A recipe of the book like another one: both shares go from 0, nothing in common, to 1, the same."""

    key: str
    title: float
    foods: float
    shared: int
    """How many foods are in both."""


@dataclass(frozen=True, slots=True)
class _Profile:
    key: str
    words: frozenset[str]
    shares: Mapping[str, float]

    @property
    def marks(self) -> frozenset[str]:
        """What a recipe must share one of to be looked at at all: a word of the title, or its weightiest food."""
        weightiest = max(self.shares, key=lambda food: self.shares[food], default="")
        return self.words | {f"={weightiest}"}


class RecipeLikeness:
    """The recipes of a book, laid out to be compared with one after another."""

    def __init__(self, recipes: Iterable[Recipe], foods: Mapping[str, Food]) -> None:
        self._foods = foods
        self._by_mark: dict[str, list[_Profile]] = {}
        for recipe in recipes:
            profile = _profile(recipe, foods)
            for mark in profile.marks:
                self._by_mark.setdefault(mark, []).append(profile)

    def like(self, recipe: Recipe) -> tuple[Likeness, ...]:
        """Recipes so like this one that they may be the same, the likest first; one with its very key is itself."""
        own = _profile(recipe, self._foods)
        near = {other.key: other for mark in own.marks for other in self._by_mark.get(mark, ())}
        near.pop(recipe.key, None)
        found = (_likeness(own, other) for other in near.values())
        likest = sorted(filter(_is_near, found), key=lambda one: (-one.title - one.foods, one.key))
        return tuple(likest[:MOST_LIKE])


def names_taken(food: Food, foods: Iterable[Food]) -> tuple[NameTaken, ...]:
    """The names of a food that already find another one, each other food once."""
    lookup = FoodLookup(other for other in foods if other.key != food.key)
    taken: dict[str, NameTaken] = {}
    for name in (food.name, *food.names, food.key):
        other = lookup.named(name)
        if other:
            taken.setdefault(other, NameTaken(name, other))
    return tuple(taken.values())


def title_likeness(one: str, other: str) -> float:
    """How much two titles have in common: shared words in all words; small words and a plural s do not count."""
    return _shared(_words(one), _words(other))


def foods_likeness(one: Recipe, other: Recipe, foods: Mapping[str, Food]) -> float:
    """How much of the weight of two dishes is the same food: the Jaccard index of their shares by weight."""
    return _shared_weight(_shares(one, foods), _shares(other, foods))


def _profile(recipe: Recipe, foods: Mapping[str, Food]) -> _Profile:
    return _Profile(recipe.key, _words(recipe.title), _shares(recipe, foods))


def _likeness(one: _Profile, other: _Profile) -> Likeness:
    return Likeness(
        key=other.key,
        title=_shared(one.words, other.words),
        foods=_shared_weight(one.shares, other.shares),
        shared=len(one.shares.keys() & other.shares.keys()),
    )


def _is_near(found: Likeness) -> bool:
    is_same_food = found.foods >= SAME_FOODS and found.shared >= LEAST_SHARED
    is_both = found.title >= LIKE_TITLE and found.foods >= LIKE_FOODS
    return is_same_food or is_both or found.title >= SAME_TITLE


def _words(title: str) -> frozenset[str]:
    bare = "".join(sign if sign.isalnum() else " " for sign in folded(title))
    return frozenset(word.removesuffix("s") for word in bare.split() if word not in _SMALL_WORDS)


def _shares(recipe: Recipe, foods: Mapping[str, Food]) -> dict[str, float]:
    """Each food's share of the weight. What cannot be weighed does not count."""
    weights: dict[str, Decimal] = {}
    for part, weight in zip(recipe.ingredients, portion_grams(recipe, foods), strict=True):
        if weight.is_finite():
            weights[part.food] = weights.get(part.food, Decimal(0)) + weight
    whole = sum(weights.values(), Decimal(0))
    return {food: float(weight / whole) for food, weight in weights.items()} if whole else {}


def _shared(one: frozenset[str], other: frozenset[str]) -> float:
    both = one | other
    return len(one & other) / len(both) if both else 0.0


def _shared_weight(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    both = one.keys() | other.keys()
    most = sum(max(one.get(food, 0.0), other.get(food, 0.0)) for food in both)
    least = sum(min(one.get(food, 0.0), other.get(food, 0.0)) for food in both)
    return least / most if most else 0.0
