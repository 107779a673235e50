"""What clinicians asked eaters to leave out: as the rules understand it, and as a list."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.domain.instructions import Instruction
from clients.models import Eater
from clients.models import Instruction as InstructionRow


@dataclass(frozen=True, slots=True)
class InstructionLine:
    """One instruction with its foods by name."""

    row: InstructionRow
    foods: tuple[str, ...]
    in_force: bool


def instruction_of(row: InstructionRow) -> Instruction:
    """A stored instruction as the rules understand it; one that was ended holds until then."""
    ends = [on for on in (row.until, row.ended_on) if on is not None]
    return Instruction(frozenset(row.foods), row.said_by, row.said_on, min(ends, default=None))


def instructions_of(eaters: Iterable[Eater]) -> dict[UUID, tuple[Instruction, ...]]:
    """Every instruction to each eater, past ones too, in one query."""
    found: dict[UUID, list[Instruction]] = {eater.pk: [] for eater in eaters}
    for row in InstructionRow.objects.filter(eater__in=found).order_by("said_on", "recorded_at", "pk"):
        found[row.eater_id].append(instruction_of(row))
    return {pk: tuple(said) for pk, said in found.items()}


def instruction_lines(eater: Eater, names: Mapping[str, str], today: date) -> list[InstructionLine]:
    """Every instruction of an eater, past ones too, the newest first. ``names`` are foods by key."""
    rows = InstructionRow.objects.filter(eater=eater).select_related("recorded_by", "ended_by")
    return [line_of(row, names, today) for row in rows.order_by("-said_on", "-recorded_at")]


def line_of(row: InstructionRow, names: Mapping[str, str], today: date) -> InstructionLine:
    """One stored instruction with its foods by name."""
    foods = tuple(names.get(key, key) for key in row.foods)
    return InstructionLine(row, foods, instruction_of(row).holds(today))
