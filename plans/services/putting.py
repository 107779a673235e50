"""Bringing rows to what a file says, whole files at a time."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coaching.practice.models import Practice, User
from coaching.practice.services import audit


@dataclass(frozen=True, slots=True)
class Filed:
    """What a file brought, or, when it was only checked, would bring. Keys in the order of the file."""

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    unchanged: tuple[str, ...] = ()
    like: tuple[tuple[str, str], ...] = ()
    """New things that may be in the book already: each with the one it is like, by name."""


class MayBeThere(Exception):
    """What was to be added may be in the book already. Nothing was changed; saying "anyway" adds it."""

    def __init__(self, *found: Any) -> None:
        self.found = found
        super().__init__("; ".join(map(str, found)))


def put(
    rows: Mapping[str, Any], held: Mapping[str, Any], fields: tuple[str, ...], *, check_only: bool
) -> Filed:
    """Create the rows that are not held yet, and bring the held ones to what the rows say."""
    new = [row for key, row in rows.items() if key not in held]
    differing = [
        key
        for key, row in rows.items()
        if key in held and any(getattr(row, field) != getattr(held[key], field) for field in fields)
    ]
    filed = Filed(
        added=tuple(row.key for row in new),
        changed=tuple(differing),
        unchanged=tuple(key for key in rows if key in held and key not in differing),
    )
    if check_only or not (new or differing):
        return filed
    table = type(next(iter(rows.values()))).objects
    for key in differing:
        for field in fields:
            setattr(held[key], field, getattr(rows[key], field))
    table.bulk_create(new, batch_size=500)
    table.bulk_update([held[key] for key in differing], fields, batch_size=100)
    return filed


def tell(practice: Practice, by: User | None, at: datetime, action: str, filed: Filed) -> None:
    """Note in the audit log how many rows a file added and changed."""
    facts = {"added": len(filed.added), "changed": len(filed.changed)}
    audit(practice=practice, user=by, action=action, facts=facts, at=at)
