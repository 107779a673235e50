"""Who gets what from each page. The walk compares it with the running program."""

from dataclasses import dataclass

from tests.cast import Cast

ROLES = ("nobody", "client", "other_client", "assistant", "coach", "other_coach", "owner", "foreign_coach")

THIRD_PARTY: set[str] = set()
"""Names of allauth's pages, which carry their own sign-in rules."""

OPEN: set[str] = {"alive"}
"""Pages that need no sign-in."""


@dataclass(frozen=True)
class Page:
    """``yes`` are the roles that get the page itself; ``ok`` is the status they see; all others get 404, nobody the sign-in.

    ``own`` names the row kind in the URL: only people with a right to that row get it.
    """

    yes: frozenset[str]
    ok: frozenset[int] = frozenset({200})
    post_only: bool = False
    open: bool = False
    has_rows: bool = False

    def expected(self, role: str) -> frozenset[int]:
        if self.open or role in self.yes:
            return self.ok
        return frozenset({302}) if role == "nobody" else frozenset({404})


PAGES: dict[str, Page] = {}


def rows_for(cast: Cast, *, foreign: bool = False) -> dict[str, dict[str, str]]:
    """URL arguments for each page: rows of the coach's household, or of the practice next door."""
    return {name: {} for name in PAGES}
