"""The page to read before cooking: when to ask for help, hot enough, cold soon, and what holds for this table."""

from django.utils.translation import ngettext

from plans.printables import safety
from plans.printables.facts import CareSigns, CautionNote, Cautions, CoreRow, KeepRow


def cautions(*, notes: tuple[CautionNote, ...], care: tuple[CareSigns, ...]) -> Cautions:
    """The sheet. ``notes`` are the household’s own cautions, ``care`` the signs for a clinician, most urgent first."""
    return Cautions(
        notes=notes,
        core=tuple(
            CoreRow(str(row.food), row.fahrenheit, row.celsius, rest_words(row.rest_minutes))
            for row in safety.CORE
        ),
        core_source=str(safety.CORE_SOURCE),
        keep=tuple(KeepRow(str(food), str(fridge), str(freezer)) for food, fridge, freezer in safety.KEEP),
        keep_source=str(safety.KEEP_SOURCE),
        kitchen=tuple(str(line) for line in safety.KITCHEN),
        kitchen_source=str(safety.KITCHEN_SOURCE),
        care=care,
    )


def rest_words(minutes: int) -> str:
    """How long to leave meat alone after the heat; nothing for food that needs no rest."""
    if not minutes:
        return ""
    return ngettext("then %(count)d minute of rest", "then %(count)d minutes of rest", minutes) % {
        "count": minutes
    }
