"""What keeps a household from weeks and packets."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Block:
    """One thing in the way.

    ``code`` is ``not-set-up``, ``no-consent``, ``clinician-first`` or ``do-not-start``; the last two name an eater, the
    rule with its facts, and the caution.
    """

    code: str
    eater: str = ""
    rule: str = ""
    facts: Mapping[str, str | int] = field(default_factory=dict)
    caution: UUID | None = None
