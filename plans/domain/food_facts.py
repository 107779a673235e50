"""What the book says of one food, and why: inherited families, limits with their sources, the stages that open it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from plans.domain.book import Food, Protocol, Stage
from plans.domain.limits import LIMITS, Limit
from plans.domain.rulebook import Row, RuleBook
from plans.domain.vocabulary import FAMILIES


@dataclass(frozen=True, slots=True)
class FamilyFrom:
    """An allergen family of a food and the foods in it that bring it; the food's own key when it is its own."""

    family: str
    foods: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LimitFrom:
    """A limit that holds for a food, and the food in it that brings it; its own key when it is its own."""

    limit: Limit
    food: str


def families_from(key: str, foods: Mapping[str, Food]) -> tuple[FamilyFrom, ...]:
    """The families of a food and of all it is made of. ``foods`` have their own families only."""
    parts = tuple(_parts(key, foods))
    found = ((family, tuple(part.key for part in parts if family in part.families)) for family in FAMILIES)
    return tuple(FamilyFrom(family, keys) for family, keys in found if keys)


def limits_from(key: str, foods: Mapping[str, Food]) -> tuple[LimitFrom, ...]:
    """The limits that hold for a food, in the order of the table."""
    parts = tuple(_parts(key, foods))
    found = []
    for limit in LIMITS:
        bringing = next((part.key for part in parts if limit.name in part.limits), "")
        if bringing == key or (bringing and limit.inherited):
            found.append(LimitFrom(limit, bringing))
    return tuple(found)


def stages_of(food: Food, protocol: Protocol) -> tuple[tuple[Stage, Row], ...]:
    """What a protocol says of a food: its first stage, and each later stage that says something else."""
    tables = RuleBook.compile(protocol, (food,)).stages
    told: list[tuple[Stage, Row]] = []
    for stage in protocol.stages:
        row = tables[stage.key][food.key]
        if not told or (row.rule, row.given.allowance) != (told[-1][1].rule, told[-1][1].given.allowance):
            told.append((stage, row))
    return tuple(told)


def _parts(key: str, foods: Mapping[str, Food]) -> Iterator[Food]:
    """A food and all it is made of, itself first, however deep."""
    seen: set[str] = set()
    waiting = [key]
    while waiting:
        part = waiting.pop(0)
        if part in foods and part not in seen:
            seen.add(part)
            yield foods[part]
            waiting.extend(foods[part].contains)
