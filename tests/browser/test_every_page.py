"""Every page of the house in a real browser, at both widths: axe finds nothing, nothing runs off the side."""

import pytest

from tests.architecture.access_table import PAGES, rows_for
from tests.architecture.test_access import fill, own_urls
from tests.browser.conftest import DESK, PHONE

FILES = {
    "foods_file",
    "recipes_file",
    "recipe_file",
    "recipe_photo",
    "protocol_file",
    "packet_file",
    "portal_packet",
}
NO_PAGE = FILES | {"home", "alive"}


def who(name: str) -> str | None:
    """Someone the page opens to: its client, its coach, the owner, or nobody for an open one."""
    page = PAGES[name]
    if page.open:
        return None
    return next(role for role in ("client", "coach", "owner") if role in page.yes)


READABLE = [name for name, page in PAGES.items() if name not in NO_PAGE and not page.post_only]


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("role", ["client", "coach", "owner", None], ids=str)
def test_axe_finds_nothing(visit, cast, role: str | None, width: int):
    ids = rows_for(cast)
    found = []
    for name in [name for name in READABLE if who(name) == role]:
        seen = visit(fill(own_urls()[name][0], ids[name]), role=role, width=width)
        found += [f"{name}: {line}" for line in seen.axe()]
        found += [f"{name}: runs {seen.sideways()} px off the side"] if seen.sideways() > 0 else []
        found += [f"{name}: {complaint}" for complaint in seen.complaints]
        # A page that polls would go on asking beside the next sign-in, and the database of tests has one writer.
        seen.page.context.close()
    assert found == []
