"""What a batch has to say, as codes with facts; wording happens outside."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

PRACTICE = "common practice, no source"
"""The source of what the trade knows and nobody published."""

Fact = Decimal | int | str | date | datetime


@dataclass(frozen=True, slots=True)
class Remark:
    """A code that has wording in every language, the facts to fill in (exact, not rounded) and where it is from."""

    code: str
    facts: Mapping[str, Fact] = field(default_factory=dict)
    source: str = PRACTICE
