"""The components page in a real browser, and the colours it is drawn with."""

import re
from itertools import product
from pathlib import Path

import pytest

from tests.browser.conftest import LOOKS, PHONE

STYLES = Path(__file__).resolve().parents[2] / "coaching" / "static" / "ladlework"
WORDS = ("ink", "ink-soft", "mark", "mark-deep")
GROUNDS = ("paper", "leaf", "tint")
READABLE, VISIBLE = 4.5, 3.0
"""WCAG 2.2, criteria 1.4.3 (words) and 1.4.11 (lines that carry meaning)."""


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_axe_finds_nothing(visit, width: int, scheme: str) -> None:
    seen = visit("/components/", role="coach", width=width, scheme=scheme)
    assert seen.axe() == []
    assert seen.complaints == []


@pytest.mark.parametrize("width", [320, PHONE, 768])
def test_nothing_runs_off_sideways(visit, width: int) -> None:
    """320 px is also what 400 % zoom leaves of a 1280 px window (WCAG 2.2, 1.4.10)."""
    assert visit("/components/", role="coach", width=width).sideways() == 0


def test_axe_finds_nothing_in_forced_colours(visit) -> None:
    """Contrast is left out: there the reader's system picks both colours, and axe still sees ours."""
    seen = visit("/components/", role="coach", forced_colors="active")
    assert seen.axe(without=("color-contrast",)) == []


def test_the_keyboard_is_always_seen(visit) -> None:
    page = visit("/components/", role="coach").page
    bare = []
    for _ in range(60):
        page.keyboard.press("Tab")
        line = page.evaluate(
            "(() => { const at = document.activeElement, look = getComputedStyle(at);"
            " return [at.outerHTML.slice(0, 80), look.outlineStyle, parseFloat(look.outlineWidth)]; })()"
        )
        on_page = not line[0].startswith("<body")  # past the last stop the browser has its own
        if on_page and (line[1] == "none" or line[2] < 2):
            bare.append(line)
    assert bare == []


def test_the_first_stop_skips_to_the_page(visit) -> None:
    page = visit("/accounts/login/").page
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_a_question_opens_and_closes_by_keyboard(visit) -> None:
    page = visit("/components/", role="coach").page
    page.locator("[data-opens=ask-sample]").focus()
    page.keyboard.press("Enter")
    assert page.locator("#ask-sample").is_visible()
    page.keyboard.press("Escape")
    assert page.locator("#ask-sample").is_hidden()
    assert page.evaluate("document.activeElement.dataset.opens") == "ask-sample"


def test_the_chosen_look_stays(visit) -> None:
    page = visit("/components/", role="coach", scheme="light").page
    by_day = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.get_by_role("button", name="Night").click()
    page.reload()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != by_day
    assert page.get_by_role("button", name="Night").get_attribute("aria-pressed") == "true"
    page.get_by_role("button", name="As device").click()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == by_day


def test_a_form_is_sent_once_however_often_it_is_pressed(visit) -> None:
    page = visit("/components/", role="coach").page
    sent = []

    def hold(route) -> None:
        sent.append(route.request.url)
        page.wait_for_timeout(300)
        route.fulfill(status=204)

    page.route(
        "**/components/", lambda route: hold(route) if route.request.method == "POST" else route.continue_()
    )
    page.locator("[data-opens=ask-sample]").click()
    page.evaluate(
        "(() => { const send = document.querySelector('#ask-sample [type=submit]'); send.click(); send.click(); })()"
    )
    page.wait_for_timeout(600)
    assert len(sent) == 1
    assert page.locator("#ask-sample [type=submit]").get_attribute("aria-busy") == "true"


def test_words_and_lines_stand_out_by_day_and_by_night() -> None:
    """Contrast by the formula of WCAG 2.2 (relative luminance)."""
    weak = []
    for look, colours in _tokens().items():
        wanted = [(*pair, READABLE) for pair in product(WORDS, GROUNDS)]
        wanted += [("edge", ground, VISIBLE) for ground in GROUNDS]
        wanted += [
            ("on-mark", "fill", READABLE),
            ("on-mark", "fill-deep", READABLE),
            ("paper", "ink", READABLE),
        ]
        for front, back, least in wanted:
            ratio = _contrast(colours[front], colours[back])
            if ratio < least:
                weak.append(f"{look}: {front} on {back} is {ratio:.2f}, wants {least}")
    assert weak == []


def test_the_two_lists_of_the_night_agree() -> None:
    tokens = _tokens()
    assert tokens["night by device"] == tokens["night by choice"]


def test_colours_are_stated_in_one_place() -> None:
    elsewhere = {
        sheet.name: found
        for sheet in STYLES.glob("*.css")
        if sheet.name not in {"tokens.css", "print.css"}
        and (found := re.findall(r"#[0-9a-fA-F]{3,8}\b(?!\s*\{)|\brgba?\([^)]*\)", sheet.read_text()))
    }
    assert elsewhere == {"forms.css": ["#fff"]}, "only the square code to scan must be on white"


def _tokens() -> dict[str, dict[str, str]]:
    """The colours by day, and both lists by night, read from the style sheet."""
    sheet = (STYLES / "tokens.css").read_text()
    day, device, choice = (
        dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", part))
        for part in re.split(r"@media \(prefers-color-scheme: dark\)|:root\[data-theme=\"night\"\]", sheet)
    )
    return {"day": day, "night by device": device, "night by choice": choice}


def _contrast(one: str, other: str) -> float:
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
