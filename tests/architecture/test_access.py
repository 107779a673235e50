"""Every URL × every role, walked from the URLconf: a page that is not in the table fails the build."""

import re
import uuid
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from coaching.practice.access import rule_of
from coaching.practice.middleware import GUARDED_ELSEWHERE
from tests.architecture.access_table import OPEN, PAGES, ROLES, THIRD_PARTY, Page, rows_for


def named_urls() -> Iterator[tuple[str, str, object]]:
    """(name, route, view) of every URL of the running program."""

    def walk(patterns, route: str) -> Iterator[tuple[str, str, object]]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns, route + str(pattern.pattern))
            elif isinstance(pattern, URLPattern):
                yield pattern.name, route + str(pattern.pattern), pattern.callback

    yield from walk(get_resolver().url_patterns, "")


def own_urls() -> dict[str, tuple[str, object]]:
    return {
        name: (route, view)
        for name, route, view in named_urls()
        if not view.__module__.startswith(GUARDED_ELSEWHERE)
    }


def fill(route: str, ids: dict[str, str]) -> str:
    """A concrete path: each argument takes the id the page's rows give it, or a random one that names nothing."""

    def value(match: re.Match) -> str:
        return str(ids.get(match["name"], uuid.uuid4()))

    return "/" + re.sub(r"<(?:\w+:)?(?P<name>\w+)>", value, route)


def test_every_page_has_a_row_in_the_table_and_every_row_a_page():
    assert set(own_urls()) == set(PAGES)


def test_third_party_pages_are_the_ones_we_know():
    theirs = {name for name, _, view in named_urls() if view.__module__.startswith(GUARDED_ELSEWHERE)}
    assert theirs == THIRD_PARTY


def test_every_view_carries_an_access_rule():
    assert [name for name, (_, view) in own_urls().items() if rule_of(view) is None] == []


def test_pages_open_to_all_are_the_ones_we_mean():
    assert {name for name, (_, view) in own_urls().items() if rule_of(view).open} == OPEN


@pytest.mark.parametrize("role", ROLES)
def test_walk(cast, sign_in, noon, role: str):
    """The answer to a GET (or to an empty POST where a page only takes those) is the one in the table."""
    ids = rows_for(cast)
    wrong = []
    for name, page in PAGES.items():
        browser: Client = sign_in(None if role == "nobody" else role)
        response = ask(browser, fill(own_urls()[name][0], ids[name]), page)
        expected = page.expected(role)
        if response.status_code not in expected:
            wrong.append(f"{name} as {role}: {response.status_code}, expected {sorted(expected)}")
        if role == "nobody" and response.status_code == 302 and not page.open:
            assert response["Location"].startswith("/accounts/login/"), name
    assert wrong == []


def ask(browser: Client, path: str, page: Page):
    response = browser.post(path, {}) if page.post_only else browser.get(path)
    if response.streaming:
        b"".join(
            response
        )  # reading a file to its end closes it; closing the answer would close the database too
    return response


@pytest.mark.parametrize("role", ["client", "coach", "owner", "assistant"])
def test_rows_next_door_do_not_exist(cast, sign_in, noon, role: str):
    """With ids of another practice in the place of one's own, every page answers 404 to both GET and POST."""
    ids = rows_for(cast, foreign=True)
    wrong = []
    for name, page in PAGES.items():
        if not page.has_rows or page.open:
            continue
        path = fill(own_urls()[name][0], ids[name])
        for method in ("get", "post"):
            response = getattr(sign_in(role), method)(path)
            if response.status_code not in {404, 405}:
                wrong.append(f"{method} {name} as {role}: {response.status_code}")
    assert wrong == []
