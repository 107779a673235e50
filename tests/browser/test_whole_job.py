"""The whole job in a real browser: from signing in through a packet and a check-in by mail to the board."""

import re
from datetime import UTC, date, datetime, time, timedelta
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pypdf import PdfReader

from coaching import clock
from coaching.desk.demo.load import demo_load
from coaching.desk.demo.scenario import PASSWORD, PRACTICE
from coaching.outbox.services import look_at_calendar, pump
from tests.browser.conftest import DESK, PHONE
from tests.postbox import Postbox, open_postbox, parts

ZONE = PRACTICE["time_zone"]


@pytest.fixture
def evening():
    """This evening where the practice is: check-ins are due, and the browser's own clock is not far away."""
    local = datetime.combine(clock.today_in(ZONE), time(18, 30), ZoneInfo(ZONE))
    with time_machine.travel(local.astimezone(UTC)):
        yield


@pytest.fixture
def postbox(settings, live_server):
    """A real mail server; links in mail lead to the running program."""
    with open_postbox() as box:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
        settings.SITE_URL = live_server.url
        yield box


def window(browser: Browser, url: str, width: int) -> Page:
    context: BrowserContext = browser.new_context(
        base_url=url, viewport={"width": width, "height": 900}, accept_downloads=True
    )
    context.set_default_timeout(15_000)
    return context.new_page()


def sign_in(page: Page, email: str) -> None:
    page.goto("/")
    page.get_by_label("Email").fill(email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/board/")


def go_on(page: Page, step: str) -> None:
    page.get_by_role("button", name="Save and go on").last.click()
    page.wait_for_url(f"**/{step}/")


def answer_screening(page: Page) -> None:
    """Nothing to report: every group of questions is answered with none of these."""
    for group in page.locator("input[type=checkbox][name$='-none']").all():
        group.check()


def take_on(page: Page, start: date) -> None:
    """The new-client form, step by step, for one eater who starts today."""
    page.get_by_role("link", name="New client").click()
    page.get_by_role("button", name="Begin a new client").click()
    page.locator("[name=name]").fill("Dana Reed")
    page.locator("[name=household]").fill("Reed")
    page.locator("[name=email]").fill("dana@example.org")
    go_on(page, "eaters")
    page.locator("[name$=-name]").first.fill("Dana")
    page.locator("[name$=-born]").first.fill("1986-04-12")
    page.locator("[name$=-sex]").first.select_option("female")
    go_on(page, "kitchen")
    page.locator("[name=pot_1]").fill("7.5")
    for minutes in page.locator("[name^=min_]").all():
        minutes.fill("75")
    go_on(page, "exclusions")
    page.locator("input[name$=-allergies][value=fish]").check()
    go_on(page, "screening")
    answer_screening(page)
    go_on(page, "consent")
    page.locator("[name=agreed]").check()
    go_on(page, "protocol")
    place = page.locator("[name$=-place]")
    place.select_option(place.locator("option").filter(has_text="Settle").first.get_attribute("value"))
    page.locator("[name$=-start_on]").fill(start.isoformat())
    go_on(page, "review")
    page.get_by_role("button", name="Make the household").click()
    page.wait_for_url("**/households/*/")


def make_packet(page: Page, tmp_path: Path) -> str:
    """Ask for a packet, wait as the coach does, download it; the text it holds."""
    page.get_by_role("link", name="Make a packet").click()
    page.get_by_role("button", name="Make the packet").click()
    page.wait_for_url("**/packets/*/")
    assert pump(limit=None).parked == 0
    expect(page.get_by_role("heading", name="Ready to print")).to_be_visible(timeout=20_000)
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Download the packet").click()
    file = tmp_path / "packet.pdf"
    waiting.value.save_as(file)
    return "\n".join(sheet.extract_text() for sheet in PdfReader(BytesIO(file.read_bytes())).pages)


def check_in_address(postbox: Postbox, to: str) -> str:
    """The one-form link in the reminder this person got."""
    (mail,) = [message for message in postbox.messages if to in message["To"] and "/c/" in parts(message)[0]]
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    return re.search(r"https?://\S+/c/\S+", parts(mail)[0])[0]


@pytest.mark.timeout(300)
def test_a_coach_and_a_client_do_the_whole_job(
    browser, live_server, transactional_db, evening, postbox, tmp_path
):
    today = clock.today_in(ZONE)
    demo_load(at=clock.now(), today=today)
    coach = window(browser, live_server.url, DESK)
    sign_in(coach, "jude@quillmere.example.org")
    take_on(coach, today)

    text = make_packet(coach, tmp_path)
    for words in ("Reed", "Hearth in five stages", "Settle", "112", "Fish", " stock"):
        assert words in text, words

    look_at_calendar(now=clock.now())
    report = pump(limit=None)
    assert (report.parked, report.retried) == (0, 0)
    phone = window(browser, live_server.url, PHONE)
    phone.goto(check_in_address(postbox, "dana@example.org"))
    assert phone.get_by_role("link").filter(has_text=re.compile("Board|Households")).count() == 0
    phone.locator("[name=symptom-bloating][value='3']").check()
    phone.get_by_label("Smooth and soft").check()
    phone.get_by_role("button", name="Send the check-in").click()
    expect(phone.get_by_role("heading", name="Thank you")).to_be_visible()

    coach.goto("/board/?q=Reed")
    row = coach.get_by_role("listitem").filter(has_text="Dana Reed").first
    expect(row).to_contain_text("Settle, day 1")
    expect(row).to_contain_text(f"last check-in {today.day}")


@pytest.mark.timeout(120)
def test_a_red_flag_answers_at_once_and_tells_the_coach(
    browser, live_server, transactional_db, evening, postbox
):
    today = clock.today_in(ZONE)
    demo_load(at=clock.now(), today=today)
    phone = window(browser, live_server.url, PHONE)
    signed_in = Client()
    assert signed_in.login(email="nell@quillmere.example.org", password=PASSWORD)
    phone.context.add_cookies(
        [{"name": "session", "value": signed_in.cookies["session"].value, "url": live_server.url}]
    )
    phone.goto("/me/")
    phone.get_by_role("link", name="Check in for Nell").click()
    phone.get_by_label(re.compile("Swollen lips")).check()
    phone.get_by_role("button", name="Send the check-in").click()
    expect(phone.get_by_role("heading", name="Call 112")).to_be_visible()
    expect(phone.get_by_role("link", name="Call 112 now")).to_have_attribute("href", "tel:112")

    pump(limit=None)
    (told,) = [mail for mail in postbox.messages if "jude@quillmere.example.org" in mail["To"]]
    assert "Swollen" not in parts(told)[0]
    assert "Nell" not in parts(told)[0]
    coach = window(browser, live_server.url, DESK)
    sign_in(coach, "jude@quillmere.example.org")
    expect(coach.get_by_role("listitem").filter(has_text="Nell Marsh").first).to_contain_text(
        "Red flag from Nell"
    )


def test_the_demo_board_is_alive_on_any_date(transactional_db):
    """The same story a year on: every kind of reason the demo tells is on the board."""
    later = clock.now() + timedelta(days=371)
    with time_machine.travel(later):
        demo_load(at=clock.now(), today=clock.today_in(ZONE))
        browser = Client()
        assert browser.login(email="jude@quillmere.example.org", password=PASSWORD)
        page = browser.get("/board/").content.decode()
    for words in (
        "Red flag",
        "feels worse",
        "on hold",
        "no check-in",
        "No packet yet",
        "clinician",
        "time to decide",
    ):
        assert words in page, words
