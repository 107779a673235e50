"""The rules table editor by keyboard alone: signing in, thirty edits, undo and redo, comparing, publishing, and moving
whoever follows the older version."""

import pytest
from playwright.sync_api import Locator, Page, expect

from clients.models import Enrolment
from plans.domain.book import Form
from plans.domain.table import Table, Target
from plans.models import Protocol
from plans.selectors import draft_of, foods_of, protocol_of
from plans.services.drafts import cells_set, draft_begin
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from tests.browser.conftest import DESK, PHONE
from tests.factories import NOON, PASSWORD, EaterFactory, EnrolmentFactory

FOODS = """\
schema: ladlework/foods/1
foods:
  - {key: butter, name: Butter, group: fats, aisle: fats}
  - {key: olive-oil, name: Olive oil, group: fats, aisle: fats}
  - {key: chard, name: Chard, group: leafy greens, aisle: vegetables}
  - {key: spinach, name: Spinach, names: [épinard], group: leafy greens, aisle: vegetables}
  - {key: chicken, name: Chicken, group: poultry, aisle: meat}
  - {key: turkey, name: Turkey, group: poultry, aisle: meat}
  - {key: beet, name: Beet, group: soft roots, aisle: vegetables}
  - {key: carrot, name: Carrot, group: soft roots, aisle: vegetables}
  - {key: parsnip, name: Parsnip, group: soft roots, aisle: vegetables}
"""
PROTOCOL = """\
schema: ladlework/protocol/1
key: steps
title: Steps
summary: Settle, widen, then the table.
source: own invention
stages:
  - {key: settle, title: Settle, aim: Soft food., least_days: 5, usual_days: 10}
  - {key: widen, title: Widen, aim: More food., least_days: 5, usual_days: 10}
  - {key: table, title: Table, aim: All food., least_days: 5, usual_days: 10}
rules:
  - {food: carrot, stage: settle, allowance: as prepared, forms: [boiled + peeled]}
  - {group: soft roots, stage: widen, allowance: as prepared, forms: [boiled]}
"""
ROWS = (
    "group:fats",
    "food:butter",
    "food:olive-oil",
    "group:leafy greens",
    "food:chard",
    "food:spinach",
    "group:poultry",
    "food:chicken",
    "food:turkey",
    "group:soft roots",
    "food:beet",
    "food:carrot",
    "food:parsnip",
)
"""The order of the table: groups by name, each with its foods by name."""
STAGES = ("settle", "widen", "table")
MEANT = {
    "group:fats": ("", "", "freely"),
    "food:butter": ("", "first tastes", "freely"),
    "food:olive-oil": ("", "flavour only", "freely"),
    "group:leafy greens": ("", "", ""),
    "food:chard": ("flavour only", "flavour only", "freely"),
    "food:spinach": ("flavour only", "as prepared", "freely"),
    "group:poultry": ("", "flavour only", "freely"),
    "food:chicken": ("flavour only", "freely", "freely"),
    "food:turkey": ("not yet", "freely", "freely"),
    "group:soft roots": ("flavour only", "as prepared", "freely"),
    "food:beet": ("flavour only", "as prepared", "as prepared"),
    "food:carrot": ("as prepared", "as prepared", "freely"),
    "food:parsnip": ("flavour only", "as prepared", "freely"),
}
"""What holds at each stage at the end, worked out by hand from the edits below."""


@pytest.fixture
def protocol(cast) -> Protocol:
    foods_import(practice=cast.practice, text=FOODS, by=None, at=NOON)
    protocol_import(practice=cast.practice, text=PROTOCOL, by=None, at=NOON)
    cast.coach.user.set_password(PASSWORD)
    cast.coach.user.save()
    return Protocol.objects.get(practice=cast.practice, key="steps")


@pytest.fixture
def enrolment(cast, protocol) -> Enrolment:
    """One more eater of the coach's household, in the first stage of version 1."""
    eater = EaterFactory(household=cast.household)
    return EnrolmentFactory(eater=eater, version=protocol.versions.get(), stage="settle")


class Keyboard:
    """Hands on the keys: nothing here moves or presses a pointer."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.edits = 0
        self.at = (0, 1)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def tab_to(self, wanted: Locator, key: str = "Tab") -> None:
        """Tab until the wanted element has the focus, as someone without a mouse does."""
        for _ in range(80):
            if wanted.evaluate("element => element === document.activeElement"):
                return
            self.press(key)
        raise AssertionError(f"The {key} key never reaches {wanted}.")

    def follow(self, wanted: Locator) -> None:
        self.tab_to(wanted)
        self.press("Enter")

    def go(self, target: str, stage: str) -> None:
        """Arrow from where the focus is to a cell, and make sure that it is there."""
        row, column = ROWS.index(target), STAGES.index(stage) + 1
        down, across = row - self.at[0], column - self.at[1]
        self.press("Escape")  # whatever range was chosen before, only this cell is now
        self.press(*["ArrowDown" if down > 0 else "ArrowUp"] * abs(down))
        self.press(*["ArrowRight" if across > 0 else "ArrowLeft"] * abs(across))
        self.at = (row, column)
        focused = self.page.locator("td:focus-within")
        expect(focused.locator("xpath=..")).to_have_attribute("data-target", target)

    def edit(self, target: str, stage: str, key: str, *, further: tuple[str, ...] = ()) -> None:
        """One edit by one key, after choosing further cells with Shift and arrows."""
        self.go(target, stage)
        self.press(*[f"Shift+{arrow}" for arrow in further])
        for arrow in further:
            self.at = (self.at[0] + (arrow == "ArrowDown"), self.at[1] + (arrow == "ArrowRight"))
        self.press(key)
        self.edits += 1

    def settled(self) -> None:
        """Every edit asked for is saved and can be taken back."""
        expect(self.page.locator("[data-undo]")).to_have_text(str(self.edits))
        expect(self.page.locator(".is-waiting")).to_have_count(0)
        expect(self.page.locator(".rules-trouble")).to_be_hidden()

    def panel(self, allowance: str, *, steps: int, further: tuple[str, ...] = (), **fields: str) -> None:
        """One edit in the panel: the allowance by arrows among its radios, then the fields, then Enter."""
        self.press(*[f"Shift+{arrow}" for arrow in further])
        for arrow in further:
            self.at = (self.at[0] + (arrow == "ArrowDown"), self.at[1] + (arrow == "ArrowRight"))
        self.press("Enter")
        radio = self.page.locator(f"#rules-panel [type=radio][value='{allowance}']")
        expect(radio).to_be_visible()
        if not self.page.locator("#rules-panel input[type=radio]:checked").count():
            self.tab_to(self.page.locator("#rules-panel [type=radio][value='not yet']"))
            self.press("Space")
        self.press(*["ArrowDown" if steps > 0 else "ArrowUp"] * abs(steps))
        expect(radio).to_be_checked()
        for name, text in fields.items():
            self.tab_to(self.page.locator(f"#field-{name}"))
            self.press("Control+A")
            self.type(text)
        self.tab_to(self.page.locator("#rules-panel button[value=set]"))
        self.press("Enter")
        self.edits += 1
        expect(self.page.locator("#rules-panel")).to_be_hidden()
        self.settled()


def begin(visit, protocol: Protocol) -> Keyboard:
    """Sign in and open the draft, by keyboard."""
    seen = visit("/")
    keys, page = Keyboard(seen.page), seen.page
    keys.tab_to(page.get_by_label("Email"))
    keys.type("coach@example.org")
    keys.tab_to(page.get_by_label("Password"))
    keys.type(PASSWORD)
    keys.press("Enter")
    page.wait_for_url("**/board/")
    keys.follow(page.get_by_role("link", name="Protocols"))
    page.wait_for_url("**/protocols/")
    keys.follow(page.get_by_role("link", name=protocol.title, exact=True))
    page.wait_for_url(f"**/protocols/{protocol.pk}/")
    keys.follow(page.get_by_role("button", name="Change the rules"))
    page.wait_for_url("**/draft/")
    keys.tab_to(page.locator("td a[tabindex='0']"))
    return keys


@pytest.mark.timeout(240)
def test_thirty_edits_by_keyboard_end_as_they_were_meant(visit, protocol, enrolment):
    keys = begin(visit, protocol)
    page = keys.page

    # As fast as they can be typed: the page sends them one after another.
    for target, stage, key in (
        ("food:olive-oil", "settle", "4"),
        ("food:chicken", "settle", "4"),
        ("food:turkey", "settle", "1"),
        ("food:turkey", "widen", "4"),
        ("food:chard", "widen", "1"),
        ("food:chard", "table", "4"),
        ("food:spinach", "table", "4"),
        ("food:carrot", "table", "4"),
        ("group:fats", "table", "4"),
        ("group:poultry", "widen", "1"),
        ("group:poultry", "table", "4"),
    ):
        keys.edit(target, stage, key)
    keys.settled()
    keys.edit("food:chard", "settle", "1", further=("ArrowDown",))
    keys.edit("food:beet", "settle", "1", further=("ArrowDown", "ArrowDown"))
    keys.go("food:carrot", "settle")
    keys.panel("as prepared", steps=2, forms="boiled + peeled")

    # A whole row from its name: set, then cleared to what held before.
    keys.go("group:leafy greens", "settle")
    keys.press("Home", "4")
    keys.edits += 1
    keys.settled()
    keys.press("Delete")
    keys.edits += 1
    keys.settled()
    keys.press("ArrowRight")

    keys.go("food:butter", "widen")
    keys.panel(
        "first tastes", steps=2, start="5 g", step="5 g", every_days="2", most="30 g", note="By the spoon."
    )
    keys.go("food:beet", "table")
    keys.panel("as prepared", steps=0, forms="boiled + peeled; pureed + peeled")
    keys.go("food:spinach", "widen")
    keys.panel("as prepared", steps=3, further=("ArrowRight",), forms="boiled")
    keys.edit("food:spinach", "table", "4")
    keys.edit("food:parsnip", "table", "4")
    keys.edit("group:soft roots", "settle", "1")
    keys.edit("group:soft roots", "table", "4")
    keys.edit("food:olive-oil", "settle", "Delete")
    keys.edit("food:olive-oil", "widen", "1")
    keys.edit("food:turkey", "settle", "0")
    keys.edit("food:chicken", "settle", "1")
    keys.edit("food:chicken", "widen", "4")
    keys.settled()

    # A first taste needs an amount: refused in words, nothing changed.
    keys.go("food:parsnip", "widen")
    keys.press("2")
    expect(page.locator(".rules-trouble")).to_contain_text("start")
    expect(page.locator("[data-undo]")).to_have_text(str(keys.edits))
    keys.tab_to(page.locator(".rules-trouble [data-do=hide]"), "Shift+Tab")
    keys.press("Enter")
    keys.tab_to(page.locator("td a[tabindex='0']"))

    keys.go("food:carrot", "widen")
    keys.panel("as prepared", steps=0, note="Soft.")
    keys.edit("food:butter", "settle", "1")
    keys.settled()
    assert keys.edits == 30

    keys.press("Control+z", "Control+z", "Control+z", "Control+Shift+Z")
    expect(page.locator("[data-undo]")).to_have_text("28")
    expect(page.locator("[data-redo]")).to_have_text("2")

    keys.tab_to(page.get_by_role("link", name="Compare and publish"), "Shift+Tab")
    keys.press("Enter")
    page.wait_for_url("**/draft/changes/")
    expect(page.get_by_text("By the spoon.", exact=False)).to_have_count(0)
    expect(page.locator("main")).to_contain_text("Butter")
    keys.follow(page.get_by_role("button", name="Publish"))
    expect(page.get_by_text("Version 2 is published.")).to_be_visible()

    # Whoever follows version 1 stays on it until the coach moves them.
    enrolment.refresh_from_db()
    assert enrolment.version.number == 1
    keys.follow(page.get_by_role("link", name="Who follows it"))
    page.wait_for_url("**/people/")
    keys.tab_to(page.get_by_role("checkbox"))
    keys.press("Space")
    keys.follow(page.get_by_role("button", name="Move those chosen"))
    expect(page.get_by_role("heading", name="Move to version 2")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Chicken")
    keys.follow(page.get_by_role("button", name="Move to version 2"))
    page.wait_for_url("**/people/")
    enrolment.refresh_from_db()
    assert enrolment.version.number == 2

    version = protocol.versions.get(number=2)
    assert version.published_at is not None
    table = Table(protocol_of(version), foods_of(protocol.practice))

    def held(target: str, stage: str):
        return table.cell(Target.read(target), stage).holds

    found = {
        target: tuple(row.allowance.word if (row := held(target, stage)) else "" for stage in STAGES)
        for target in ROWS
    }
    assert found == MEANT
    taste = held("food:butter", "widen")
    assert [str(part) for part in (*taste.start, *taste.step, taste.every_days, *taste.most)] == [
        "5", "g", "5", "g", "2", "30", "g",
    ]  # fmt: skip
    assert taste.note == "By the spoon."
    soft: Form = frozenset(("boiled", "peeled"))
    assert held("food:beet", "table").forms == (soft, frozenset(("pureed", "peeled")))
    assert held("food:carrot", "settle").forms == (soft,)
    assert held("food:carrot", "widen").note == ""
    assert held("food:spinach", "widen").forms == (frozenset(("boiled",)),)
    assert draft_of(protocol) is None


def test_a_lost_connection_loses_nothing(visit, protocol):
    keys = begin(visit, protocol)
    page = keys.page
    page.context.set_offline(True)
    keys.edit("food:butter", "settle", "4")
    expect(page.locator(".rules-trouble")).to_contain_text("not saved yet: 1")
    keys.edit("food:chard", "settle", "4")
    expect(page.locator("tr[data-target='food:chard'] .is-waiting")).to_have_count(1)
    page.context.set_offline(False)
    keys.tab_to(page.get_by_role("button", name="Try again"), "Shift+Tab")
    keys.press("Enter")
    keys.settled()
    rules = {(rule.food, rule.stage) for rule in protocol_of(draft_of(protocol)).rules}
    assert {("butter", "settle"), ("chard", "settle")} <= rules


def test_what_another_window_did_is_not_overwritten(visit, protocol):
    keys = begin(visit, protocol)
    draft = draft_of(protocol)
    other = {"cells": ["food:chard@settle"], "values": {"allowance": "freely"}}
    cells_set(draft=draft, seen=draft.digest, by=None, at=NOON, **other)
    keys.edit("food:butter", "settle", "4")
    expect(keys.page.locator(".rules-trouble")).to_contain_text("another window")
    assert [rule.food for rule in protocol_of(draft_of(protocol)).rules if rule.food] == ["carrot", "chard"]


def test_a_refused_panel_keeps_what_was_typed_and_escape_leads_back(visit, protocol):
    keys = begin(visit, protocol)
    page = keys.page
    keys.go("food:butter", "widen")
    keys.press("Enter")
    keys.tab_to(page.locator("#rules-panel [type=radio][value='not yet']"))
    keys.press("Space", "ArrowDown", "ArrowDown")
    keys.tab_to(page.locator("#field-start"))
    keys.type("a spoon or so")
    keys.press("Enter")
    expect(page.locator("[data-problems=start]")).to_be_visible()
    expect(page.locator("#field-start")).to_be_focused()
    expect(page.locator("#field-start")).to_have_value("a spoon or so")
    keys.press("Escape")
    expect(page.locator("#rules-panel")).to_be_hidden()
    expect(page.locator("tr[data-target='food:butter'] a:focus")).to_have_count(1)


def test_the_search_folding_and_the_keys_by_keyboard(visit, protocol):
    keys = begin(visit, protocol)
    page = keys.page
    keys.press("/")
    keys.type("epinard")
    expect(page.locator("tbody tr:visible")).to_have_count(2)
    expect(page.locator(".rules-count")).to_have_text("2 of 13 rows")
    keys.press("Control+A", "Delete", "Enter")
    expect(page.locator("tbody tr:visible")).to_have_count(13)
    keys.press("Control+Home", "Space")
    expect(page.locator("tbody tr:visible")).to_have_count(11)
    expect(page.locator("tr[data-target='group:fats'] th")).to_have_attribute("aria-expanded", "false")
    keys.press("?")
    expect(page.get_by_role("heading", name="Keys in the table")).to_be_visible()
    keys.press("Escape")
    expect(page.get_by_role("heading", name="Keys in the table")).to_be_hidden()


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_table_and_its_panel_raise_no_barrier(visit, protocol, width, scheme):
    draft = draft_begin(protocol=protocol, by=None, at=NOON)
    cells = {"cells": ["food:carrot@settle"], "values": {"allowance": "freely"}}
    cells_set(draft=draft, seen=draft.digest, by=None, at=NOON, **cells)
    seen = visit(f"/protocols/{protocol.pk}/draft/", role="coach", width=width, scheme=scheme)
    keys = Keyboard(seen.page)
    keys.tab_to(seen.page.locator("td a[tabindex='0']"))
    keys.press("Shift+ArrowDown", "Enter")
    expect(seen.page.locator("#panel-title")).to_be_visible()
    expect(seen.page.locator("#rules-gaps details").first).to_be_attached()
    assert seen.axe() == []
    assert seen.sideways() <= 0
    assert seen.complaints == []
