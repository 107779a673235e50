"""What a reader hands on: text, lists and fields, each with the line it stands on. Nothing is interpreted yet."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Text:
    """A single value, as it was typed."""

    line: int
    text: str


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    line: int
    items: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Fields:
    """Named values in their order, names as typed, each with its own line."""

    line: int
    pairs: tuple[tuple[Text, "Node"], ...]


Node = Text | Items | Fields


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a file a value belongs, from the outside in: ``("rule 4", "food")``."""

    path: tuple[str, ...] = ()

    def __truediv__(self, name: str) -> "Place":
        return Place((*self.path, name))

    def __str__(self) -> str:
        """As a person says it: ``food of rule 4``."""
        return " of ".join(reversed(self.path)) or "file"

    def outwards(self) -> Iterator["Place"]:
        """This place, then each place round it."""
        for length in range(len(self.path), -1, -1):
            yield Place(self.path[:length])


def tree_of(value: Any, line: int = 0) -> Node:
    """Values that were typed elsewhere than in a file, as a tree, so that they are read by the same rules."""
    if isinstance(value, Mapping):
        return Fields(line, tuple((Text(line, name), tree_of(held, line)) for name, held in value.items()))
    if isinstance(value, list | tuple):
        return Items(line, tuple(tree_of(item, line) for item in value))
    return Text(line, str(value))
