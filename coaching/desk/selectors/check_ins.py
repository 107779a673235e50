"""Check-ins as the coach reads them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from clients.models import CheckIn
from clients.wording.check_in import RED_FLAG, STOOL_FORM, SYMPTOM


@dataclass(frozen=True, slots=True)
class CheckInLine:
    """One report in words; blank where nothing was answered. ``answered`` red flags are closed."""

    pk: UUID
    on: date
    by: str
    symptoms: str
    stool: str
    energy: int | None
    sleep_hours: Decimal | None
    mood: int | None
    foods_tried: str
    notes: str
    flags: tuple[str, ...]
    answered: bool


def check_in_lines(check_ins: Iterable[CheckIn]) -> list[CheckInLine]:
    """The reports of one page, in the order given."""
    return [_line(check_in) for check_in in check_ins]


def _line(check_in: CheckIn) -> CheckInLine:
    rated = sorted(check_in.symptoms.items(), key=lambda pair: -pair[1])
    stool = str(STOOL_FORM[check_in.stool_form]) if check_in.stool_form else ""
    count = "" if check_in.stool_count is None else f"{check_in.stool_count}×"
    return CheckInLine(
        pk=check_in.pk,
        on=check_in.on,
        by=check_in.get_by_display(),
        symptoms=", ".join(f"{SYMPTOM.get(key, key)} {rating}" for key, rating in rated),
        stool=" ".join(part for part in (count, stool) if part),
        energy=check_in.energy,
        sleep_hours=check_in.sleep_hours,
        mood=check_in.mood,
        foods_tried=check_in.foods_tried,
        notes=check_in.notes,
        flags=tuple(str(RED_FLAG[key]) for key in check_in.red_flags),
        answered=check_in.flags_answered_at is not None,
    )
