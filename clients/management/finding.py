"""What the commands on households share: finding the one that is meant, reading a date."""

from datetime import date
from uuid import UUID

from django.core.management.base import CommandError

from clients.models import Household
from coaching.domain.errors import Refused


def household_meant(identifier: str, practice: str | None) -> Household:
    """The household with this id, within a practice if one is named. Raises CommandError."""
    rows = Household.objects.select_related("practice", "coach__user")
    if practice:
        rows = rows.filter(practice__slug=practice)
    try:
        household = rows.filter(pk=UUID(identifier)).first()
    except ValueError as error:
        raise CommandError(
            f"“{identifier}” is no household’s id. import_household prints it; it also stands in the page’s address."
        ) from error
    if household is None:
        where = f" in the practice “{practice}”" if practice else ""
        raise CommandError(f"There is no household {identifier}{where}.")
    return household


def day_meant(text: str) -> date:
    """A date written as YYYY-MM-DD. Raises CommandError."""
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise CommandError(f"“{text}” is no date. Write it as 2026-12-07.") from error


def refusal(refused: Refused) -> CommandError:
    """Why something was refused, one problem a line."""
    return CommandError("\n".join(f"{problem.message} {problem.fix}".strip() for problem in refused.problems))
