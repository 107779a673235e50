"""What a clinician asked an eater to leave out, and for how long. An instruction can only forbid."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Instruction:
    """Food keys left out on a clinician's word from ``said_on`` on; ``until`` is the first day without it, if any."""

    foods: frozenset[str]
    said_by: str
    said_on: date
    until: date | None = None

    def holds(self, on: date) -> bool:
        """Whether it is in force on a day."""
        return self.said_on <= on and (self.until is None or on < self.until)


def forbidden_on(instructions: Iterable[Instruction], on: date) -> frozenset[str]:
    """The foods that some instruction leaves out on a day."""
    return frozenset().union(*(said.foods for said in instructions if said.holds(on)))


def words_of(instructions: Iterable[Instruction], on: date) -> dict[str, tuple[Instruction, ...]]:
    """For each food left out on a day, the instructions that say so, the earliest first."""
    found: dict[str, tuple[Instruction, ...]] = {}
    for said in sorted(instructions, key=lambda said: (said.said_on, said.said_by)):
        if said.holds(on):
            for food in said.foods:
                found[food] = (*found.get(food, ()), said)
    return found
