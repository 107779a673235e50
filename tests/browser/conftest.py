"""A real browser for the pages that need one: signing in, widths, day and night, and what axe finds."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, Page, sync_playwright

from coaching.practice.models import User

FLAGS = (
    "--no-sandbox",
    "--headless",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE, DESK = 390, 1280
"""The two widths every page is looked at, in CSS pixels."""
LOOKS = [(width, scheme) for width in (PHONE, DESK) for scheme in ("light", "dark")]
"""Phone and desk, day and night: ``@pytest.mark.parametrize(("width", "scheme"), LOOKS)``."""
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""axe-core runs its target-size rule only when the tag of WCAG 2.2 is asked for by name."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "browser" in item.path.parts:
            item.add_marker(pytest.mark.browser)


@dataclass
class Visit:
    """One open page, and everything the browser complained about since it was opened."""

    page: Page
    complaints: list[str] = field(default_factory=list)

    def axe(self, *, without: tuple[str, ...] = ()) -> list[str]:
        """Every violation and every open question axe has, one line each; an empty list is wanted.

        Left out is what axe always asks about the letters in a drawing: it takes any drawing for a picture and cannot
        tell what is behind them. They wear the ink and the grounds whose contrast ``test_components`` works out.
        ``without`` names rules to leave out; say why where it is used.
        """
        # preload reads style sheets a second time, by itself, and trips over @import.
        options = {"runOnly": WCAG, "preload": False, "rules": {rule: {"enabled": False} for rule in without}}
        found = Axe().run(self.page, options=options).response
        return [
            f"{kind} {rule['id']} at {node['target']}: {node['html'][:120]}"
            for kind in ("violations", "incomplete")
            for rule in found[kind]
            for node in rule["nodes"]
            if not (
                kind == "incomplete" and rule["id"] == "color-contrast" and node["html"].startswith("<text")
            )
        ]

    def sideways(self) -> int:
        """How many pixels the page is wider than the window."""
        return self.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for the whole run."""
    # Playwright keeps an event loop in this thread; Django would otherwise refuse plain queries beside it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=list(FLAGS))
        yield chromium
        chromium.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def visit(browser: Browser, live_server, cast) -> Iterator[Callable[..., Visit]]:
    """``visit("/board/", role="coach", width=390, scheme="dark")`` opens a page as someone of the cast, or as ``user``.

    Further keywords go to the browser context, such as ``forced_colors="active"``.
    """
    contexts = []

    def opened(
        path: str,
        *,
        role: str | None = None,
        user: User | None = None,
        width: int = DESK,
        scheme: str = "light",
        **more,
    ) -> Visit:
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            **({"reduced_motion": "reduce"} | more),
        )
        contexts.append(context)
        context.set_default_timeout(10_000)
        who = cast.user(role) if role is not None else user
        if who is not None:
            context.add_cookies([_session_cookie(who, live_server.url)])
        seen = Visit(context.new_page())
        seen.page.on("console", lambda said: said.type == "error" and seen.complaints.append(said.text))
        seen.page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        seen.page.goto(path)
        seen.page.evaluate("document.fonts.ready")
        return seen

    yield opened
    for context in contexts:
        context.close()


def _session_cookie(user, url: str) -> dict[str, str]:
    client = Client()
    client.force_login(user)
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": url}
