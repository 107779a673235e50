"""The board of a week in a real browser: by keyboard alone, by drag, without a script, on paper, and for axe."""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from pikepdf import Pdf
from playwright.sync_api import expect

from clients.domain.revising import Change, Kind, dish_at
from clients.models import Consent, Week
from clients.selectors.revising import standing_of
from clients.services.revising import week_change, week_lock, week_revise
from clients.services.weeks import week_plan, week_values
from coaching import clock
from coaching.outbox.services import pump
from plans.domain.vocabulary import Slot
from tests.browser.conftest import LOOKS, PHONE
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import NOON, TODAY

MON, SAT = (0, Slot.EVENING), (5, Slot.EVENING)


@pytest.fixture
def week(cast) -> Week:
    """A planned week that has not begun, whatever the day."""
    file_book(cast.practice)
    open_foods(cast.version)
    home = cast.household
    Consent.objects.create(client=home.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON)
    start = clock.today_in("UTC") + timedelta(days=3)
    row = Week.objects.create(household=home, start=start, asked_at=clock.now())
    week_plan(week_id=row.pk, at=clock.now())
    return Week.objects.get(pk=row.pk)


def dish(week: Week, day: int) -> str | None:
    return dish_at(week_values(week)[0], (day, Slot.EVENING))


def neighbours(week: Week) -> int:
    """The first of two evenings in a row with different dishes."""
    return next(day for day in range(6) if dish(week, day) != dish(week, day + 1))


def waiting(week: Week) -> list[dict]:
    return Week.objects.get(pk=week.pk).waiting


def test_two_meals_change_places_by_keyboard_alone_and_the_answer_is_accepted(visit, cast, week):
    day = neighbours(week)
    seen = visit(f"/weeks/{week.pk}/", role="coach")
    page, said = seen.page, seen.page.locator("#board-say")
    page.locator(f"#move-{day}-evening").focus()
    page.keyboard.press("Space")
    expect(said).to_contain_text("Picked up")
    expect(page.locator(f"#move-{day}-evening")).to_have_attribute("aria-pressed", "true")
    page.keyboard.press("Escape")
    expect(said).to_contain_text("Put back")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    expect(said).to_contain_text("Over")
    expect(page.locator(f"#move-{day + 1}-evening")).to_be_focused()
    page.keyboard.press("Enter")
    expect(said).to_contain_text("are to change places")
    expect(page.locator("#changes")).to_contain_text("1 change is waiting")
    expect(page.locator(f"#move-{day + 1}-evening")).to_be_focused()
    page.get_by_role("button", name="Work the week out again").press("Enter")
    expect(page.locator("#week-status")).to_contain_text("Working the week out again")
    assert pump(limit=1).done == 1
    page.get_by_role("link", name="See what changes").press("Enter")
    expect(page.get_by_role("heading", name="What changes")).to_be_visible()
    page.get_by_role("button", name="Accept the changed week").press("Enter")
    expect(page.get_by_text("The changed week stands from now on.")).to_be_visible()
    accepted = Week.objects.get(pk=standing_of(cast.household, week.start))
    assert (dish(accepted, day), dish(accepted, day + 1)) == (dish(week, day + 1), dish(week, day))
    assert seen.complaints == []


def test_a_meal_is_dragged_onto_another_and_a_press_is_no_drag(visit, week):
    day = neighbours(week)
    seen = visit(f"/weeks/{week.pk}/", role="coach")
    page = seen.page
    source, target = (page.locator(f"#meal-{number}-evening") for number in (day, day + 1))
    source.scroll_into_view_if_needed()
    box, goal = source.bounding_box(), target.bounding_box()
    page.mouse.move(box["x"] + 60, box["y"] + 14)
    page.mouse.down()
    page.mouse.move(goal["x"] + 40, goal["y"] + 20, steps=6)
    expect(target).to_have_class(re.compile("is-over"))
    page.mouse.up()
    expect(page.locator("#changes")).to_contain_text("1 change is waiting")
    (record,) = waiting(week)
    assert (record["meal"], record["other"]) == ([day, "evening"], [day + 1, "evening"])
    expect(page.locator("#meal-panel")).to_be_hidden()
    page.locator(f"#meal-{day}-midday a.dish-name").first.click()
    expect(page.locator("#meal-panel")).to_be_visible()
    assert seen.axe() == []
    page.keyboard.press("Escape")
    expect(page.locator("#meal-panel")).to_be_hidden()
    assert seen.complaints == []


def test_two_taps_on_a_phone_do_as_a_drag_does(visit, week):
    day = neighbours(week)
    page = visit(f"/weeks/{week.pk}/", role="coach", width=PHONE, has_touch=True).page
    page.locator(f"#move-{day}-evening").tap()
    expect(page.locator("#board-say")).to_contain_text("Picked up")
    page.locator(f"#meal-{day + 1}-evening a.dish-name").first.tap()
    expect(page.locator("#changes")).to_contain_text("1 change is waiting")
    expect(page.locator("#meal-panel")).to_be_hidden()


def test_a_lock_keeps_the_place_and_a_lost_connection_is_told(visit, week):
    page = visit(f"/weeks/{week.pk}/", role="coach", width=PHONE).page
    page.locator("#lock-1-evening").press("Enter")
    expect(page.locator("#lock-1-evening")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#lock-1-evening")).to_be_focused()
    assert Week.objects.get(pk=week.pk).locks == [[1, "evening"]]
    page.context.set_offline(True)
    page.locator("#lock-1-evening").click()
    expect(page.locator("#board-say")).to_contain_text("nothing was changed")
    expect(page.locator("#lock-1-evening")).to_have_attribute("aria-pressed", "true")


def test_without_a_script_everything_is_a_form(visit, week):
    day = neighbours(week)
    page = visit(f"/weeks/{week.pk}/", role="coach", java_script_enabled=False).page
    page.locator("#lock-6-midday").click()
    assert Week.objects.get(pk=week.pk).locks == [[6, "midday"]]
    page.locator(f"#meal-{day}-evening a.dish-name").first.click()
    page.get_by_text("Change places with another meal").click()
    page.locator("[name=exchange-other]").select_option(f"{day + 1}-evening")
    page.get_by_role("button", name="Let them change places").click()
    expect(page.locator("#changes")).to_contain_text("1 change is waiting")


def test_the_page_of_a_shut_tab_shows_what_was_found_meanwhile(visit, cast, week):
    week_change(week=week, change=Change(Kind.AWAY, meal=MON), by=cast.coach, at=clock.now())
    first = visit(f"/weeks/{week.pk}/", role="coach").page
    first.get_by_role("button", name="Work the week out again").click()
    expect(first.locator("#week-status")).to_contain_text("Working the week out again")
    first.close()
    assert pump(limit=1).done == 1
    again = visit(f"/weeks/{week.pk}/", role="coach").page
    expect(again.locator("#week-status")).to_contain_text("A changed week is ready.")


def test_the_board_prints_on_one_sheet(visit, week):
    """What comes after it, such as the stock through the week, begins a sheet of its own."""
    for paper in ("A4", "Letter"):
        page = visit(f"/weeks/{week.pk}/", role="coach").page
        page.evaluate("for (const more of document.querySelectorAll('#week-board ~ .stack')) more.remove()")
        printed = page.pdf(format=paper, landscape=True)
        assert len(Pdf.open(BytesIO(printed)).pages) == 1, paper


@pytest.mark.timeout(300)
@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_axe_finds_nothing_on_full_boards(visit, cast, week, width: int, scheme: str):
    week_lock(week=week, meal=SAT, locked=True, by=cast.coach, at=clock.now())
    for change in (Change(Kind.AWAY, meal=MON), Change(Kind.GONE_FOOD, food="carrot", day=5)):
        week_change(week=week, change=change, by=cast.coach, at=clock.now())
    row = week_revise(week=week, by=cast.coach, at=clock.now())
    week_plan(week_id=row.pk, at=clock.now())
    assert Week.objects.get(pk=row.pk).state == Week.State.OFFERED
    for path in ("", "meals/1-evening/", "meals/5-evening/", "gone/", f"../{row.pk}/"):
        seen = visit(f"/weeks/{week.pk}/{path}", role="coach", width=width, scheme=scheme)
        assert seen.axe() == [], path
        assert seen.sideways() <= 0, path
        assert seen.complaints == [], path
