"""The shopping list on a phone: ticks without a page load, kept by the server, and a lost connection that is told."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from clients.models import Consent, ShoppingTick, Store
from coaching import clock
from tests.browser.conftest import LOOKS, PHONE
from tests.clients.weeks.small_book import file_book, open_foods
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY

URL = "/me/shopping/"


@pytest.fixture
def week(cast):
    """A week that has not begun, whatever the day."""
    file_book(cast.practice)
    open_foods(cast.version)
    home = cast.household
    Consent.objects.create(client=home.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON)
    return keep_week(home, clock.today_in("UTC") + timedelta(days=3))


def test_ticks_in_a_hurry_are_all_kept_and_can_be_undone(visit, week):
    seen = visit(URL, role="client", width=PHONE)
    page = seen.page
    page.evaluate("for (const one of document.querySelectorAll('button.shop-tick')) one.click()")
    expect(page.locator("#shop-progress")).to_contain_text("4 of 4")
    assert ShoppingTick.objects.count() == 4
    page.locator("#tick-carrot").press("Enter")
    expect(page.locator("#tick-carrot")).to_have_attribute("aria-pressed", "false")
    expect(page.locator("#tick-carrot")).to_be_focused()
    expect(page.locator("#shop-progress")).to_contain_text("3 of 4")
    assert page.url.endswith(URL)
    assert seen.complaints == []


def test_a_lost_connection_is_told_and_nothing_looks_ticked(visit, week):
    page = visit(URL, role="client", width=PHONE).page
    page.context.set_offline(True)
    page.locator("#tick-carrot").click()
    expect(page.locator("#shop-lost")).to_be_visible()
    expect(page.locator("#tick-carrot")).to_have_attribute("aria-pressed", "false")
    page.context.set_offline(False)
    expect(page.locator("#shop-lost")).to_be_visible()
    page.locator("#tick-carrot").click()
    expect(page.locator("#tick-carrot")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#shop-lost")).to_be_hidden()


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_axe_finds_nothing_on_full_pages(visit, cast, week, width: int, scheme: str):
    day = clock.today_in("UTC")
    for food, best_by in (("parsnip", None), ("carrot", day - timedelta(days=1))):
        Store.objects.create(
            household=cast.household, food=food, amount_g=5000, best_by=best_by, noted_on=day
        )
    for food, grams in (("carrot", 100), ("leek", 300), ("bones", 90000)):
        ShoppingTick.objects.create(
            household=cast.household, start=week.start, food=food, amount_g=grams, ticked_at=NOON
        )
    for role, path in (
        ("client", URL),
        ("client", f"{URL}house/"),
        ("coach", f"/weeks/{week.pk}/shopping/"),
        ("coach", f"/households/{cast.household.pk}/stores/"),
    ):
        seen = visit(path, role=role, width=width, scheme=scheme)
        assert seen.axe() == [], path
        assert seen.sideways() <= 0, path
        assert seen.complaints == [], path
