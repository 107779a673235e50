"""The client's day in the kitchen: what is cooked, eaten, frozen and taken out, on one page without JavaScript."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import Consent, Instruction, Week
from plans.domain.brief import Plate
from plans.domain.brief_json import week_from_record, week_record
from plans.domain.vocabulary import Slot
from tests.clients.weeks.small_book import file_book, open_foods
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY, CautionFactory, EaterFactory, EnrolmentFactory

URL = "/me/today/"
ONE_DAY = timedelta(days=1)


@pytest.fixture
def home(cast, noon):
    file_book(cast.practice)
    open_foods(cast.version)
    Consent.objects.create(
        client=cast.household.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON
    )
    return cast.household


@pytest.fixture
def week(home) -> Week:
    """Carrot soup today; some of it kept for tomorrow, some frozen for the sixth day; stock from yesterday."""
    return with_plates(
        keep_week(home, TODAY),
        ("carrot-soup 0", 1, Slot.MIDDAY, "kept"),
        ("carrot-soup 0", 5, Slot.EVENING, "thawed"),
    )


def with_plates(row: Week, *more: tuple[str, int, Slot, str]) -> Week:
    planned = week_from_record(row.plan)
    eater = planned.plates[0].eater
    added = [
        Plate(planned.start + day * ONE_DAY, slot, eater, pot, Decimal(1), source, ("onion",))
        for pot, day, slot, source in more
    ]
    row.plan = week_record(replace(planned, plates=(*planned.plates, *added)))
    row.save(update_fields=["plan"])
    return row


def text(response) -> str:
    return " ".join(response.content.decode().replace("\u00a0", " ").split())


def on(day: int) -> str:
    return f"{URL}?on={(TODAY + day * ONE_DAY).isoformat()}"


def test_the_first_page_leads_to_it(home, sign_in):
    page = text(sign_in("client").get("/me/"))
    assert page.index(f'href="{URL}"') < page.index("Check in for")
    assert "of work" not in page
    assert "to cook" not in page


@pytest.mark.parametrize(
    ("begins", "line"),
    [
        (0, '<p class="figures">1 pot, 10 min of work.</p>'),
        (-5, '<p class="figures">Nothing to cook today.</p>'),
        (-4, '<p class="figures">Nothing to cook today. Something has to come out of the freezer.</p>'),
        (1, '<p class="figures">1 pot, 10 min of work.</p>'),
    ],
)
def test_the_first_page_has_the_day_in_one_line(home, sign_in, begins: int, line: str):
    with_plates(keep_week(home, TODAY + begins * ONE_DAY), ("carrot-soup 0", 5, Slot.EVENING, "thawed"))
    page = text(sign_in("client").get("/me/"))
    assert line in page
    assert "Carrot soup" not in page


def test_the_first_page_says_nothing_of_a_kitchen_that_is_blocked(week, home, sign_in):
    CautionFactory(eater=home.eaters.get(), rule="kidney-disease", strength="clinician-first")
    assert "of work" not in text(sign_in("client").get("/me/"))


def test_today_says_what_to_cook_for_whom_how_long_and_when_to_begin(week, sign_in):
    page = text(sign_in("client").get(URL))
    for words in (
        "Today in the kitchen",
        "1 pot, 10 min of work.",
        "<h3>Carrot soup</h3>",
        "4 portions, 1.6 l",
        "10 min of work, 1 h in all.",
        "Begin 1 h before the midday meal.",
        "For everyone: Wednesday midday, Thursday midday, Monday evening.",
        "The rest keeps in the refrigerator to the end of Saturday.",
    ):
        assert words in page


def test_the_recipe_is_folded_in_scaled_to_the_pot(week, sign_in):
    page = text(sign_in("client").get(on(3)))
    assert "<details" in page
    assert "Simmer until soft." in page
    # Four carrots and 300 g of parsnip for four portions; two are cooked.
    assert '<b class="figures">150 g (5 ½ oz)</b> Parsnip' in page
    assert "165 °F (74 °C)" in page


def test_plates_say_whose_from_where_and_what_they_leave_out(week, sign_in):
    page = text(sign_in("client").get(on(1)))
    name = week.household.eaters.get().name
    assert f"Portions: {name} 1" in page
    assert f"{name}: without onion" in page
    assert "From the refrigerator: cooked Wednesday, use it by Saturday." in page
    assert "Nothing to cook" in page


def test_what_is_frozen_tonight_is_taken_out_the_day_before_it_is_eaten(week, sign_in):
    browser = sign_in("client")
    today, before, eaten = (text(browser.get(on(day))) for day in (0, 4, 5))
    assert "Freeze in the evening" in today
    assert "1 portion of Carrot soup, for Monday." in today
    assert "Take out of the freezer" in before
    assert "1 portion of Carrot soup, for Monday: evening." in before
    assert "Thawed in the refrigerator since the day before, cooked Wednesday." in eaten
    assert "Forgot to take it out?" in eaten
    assert "Take out of the freezer" not in eaten


def test_the_eve_of_a_week_cooks_ahead_for_it(home, sign_in):
    keep_week(home, TODAY + ONE_DAY)
    page = text(sign_in("client").get(URL))
    assert "<h3>Chicken stock</h3>" in page
    assert "it only cooks ahead" in page


def test_the_last_day_of_a_week_shows_its_meals_and_the_work_for_the_next(week, home, sign_in):
    with_plates(week, ("mixed-soup 3", 6, Slot.MIDDAY, "kept"))
    keep_week(home, TODAY + 7 * ONE_DAY)
    page = text(sign_in("client").get(on(6)))
    assert "Soup of two roots" in page
    assert "<h3>Chicken stock</h3>" in page


def test_the_newest_plan_of_a_start_stands_and_no_week_of_another_state(week, home, sign_in):
    newer = keep_week(home, TODAY)
    Week.objects.filter(pk=newer.pk).update(asked_at=NOON + timedelta(hours=1))
    Week.objects.create(household=home, start=TODAY, asked_at=NOON + timedelta(hours=2))
    Week.objects.create(household=home, start=TODAY, state="none", asked_at=NOON + timedelta(hours=3))
    page = text(sign_in("client").get(URL))
    assert "For everyone: Wednesday midday." in page


def test_a_plate_that_no_longer_suits_is_stopped(week, home, sign_in):
    eater = home.eaters.get()
    Instruction.objects.create(
        eater=eater, foods=["carrot"], said_by="Family doctor", said_on=TODAY, recorded_at=NOON
    )
    browser = sign_in("client")
    assert text(browser.get(URL)).count(f"Not for {eater.name}") == 2, "at the stove and at the table"
    for day in (0, 1):
        page = text(browser.get(on(day)))
        assert f"Not for {eater.name}: what holds for carrot has changed" in page
        assert "Ask your coach what to eat instead." in page
        assert "Family doctor" not in page
    coachs = text(sign_in("coach").get(reverse("household_today", args=[home.pk])))
    assert f"Not for {eater.name}: what holds for carrot has changed" in coachs
    assert "Ask your coach" not in coachs
    assert "Not for" not in text(browser.get(on(-1)))


def test_without_a_week_the_page_says_so_and_leads_to_the_next_day_with_one(home, sign_in):
    browser = sign_in("client")
    assert "No week is planned for this day" in text(browser.get(URL))
    keep_week(home, TODAY + 5 * ONE_DAY)
    page = text(browser.get(URL))
    assert "The next week begins on Monday 15 June" in page
    assert 'href="?on=2026-06-15"' in page


def test_before_day_one_it_leads_to_the_lead_in(home, sign_in):
    home.eaters.get().enrolments.update(start_on=TODAY + 8 * ONE_DAY)
    page = text(sign_in("client").get(URL))
    assert "Day one is Thursday 18 June." in page
    assert f'href="{reverse("portal")}#tasks"' in page


@pytest.mark.parametrize("typed", ["", "soon", "2026-13-01", "0001-01-01", "9999-12-31", "2026-06-10T10:00"])
def test_what_is_no_day_shows_today(week, sign_in, typed):
    assert "Today in the kitchen" in text(sign_in("client").get(URL, {"on": typed}))


def test_days_lead_on_and_back(week, sign_in):
    page = text(sign_in("client").get(on(1)))
    assert "Thursday in the kitchen" in page
    assert 'rel="prev" href="?on=2026-06-10"' in page
    assert 'rel="next" href="?on=2026-06-12"' in page


@pytest.mark.parametrize("strength", ["clinician-first", "do-not-start"])
def test_a_blocked_household_gets_nothing_to_cook_by(week, home, sign_in, strength):
    CautionFactory(eater=home.eaters.get(), rule="kidney-disease", strength=strength)
    page = text(sign_in("client").get(URL))
    assert "First this has to be settled" in page
    assert "Carrot soup" not in page
    coachs = text(sign_in("coach").get(reverse("household_today", args=[home.pk])))
    assert "First this has to be settled" in coachs
    assert "Carrot soup" not in coachs


def test_the_coach_sees_the_same_day_and_nobody_else(week, home, sign_in):
    url = reverse("household_today", args=[home.pk])
    page = text(sign_in("coach").get(url))
    for words in ("Begin 1 h before the midday meal.", "Today in the kitchen", "Simmer until soft."):
        assert words in page
    assert url in text(sign_in("coach").get(reverse("household", args=[home.pk])))
    for role in ("assistant", "other_coach", "foreign_coach", "client"):
        assert sign_in(role).get(url).status_code == 404
    for role in ("coach", "assistant"):
        assert sign_in(role).get(URL).status_code == 404
    assert "Carrot soup" not in text(sign_in("other_client").get(URL))


def test_the_coach_is_led_to_planning_where_no_week_stands(home, sign_in):
    home.eaters.get().enrolments.update(start_on=TODAY + 8 * ONE_DAY)
    page = text(sign_in("coach").get(reverse("household_today", args=[home.pk])))
    assert reverse("weeks", args=[home.pk]) in page
    assert "Day one is" in page


def test_queries_do_not_grow_with_eaters_and_plans(week, home, cast, sign_in):
    counts = []
    for more in (0, 4):
        for number in range(more):
            EnrolmentFactory(eater=EaterFactory(household=home, name=f"E{number}"), version=cast.version)
            Week.objects.create(
                household=home,
                start=TODAY,
                state=Week.State.PLANNED,
                brief=week.brief,
                plan=week.plan,
                asked_at=NOON - (number + 1) * ONE_DAY,
            )
        for browser, url in (
            (sign_in("client"), URL),
            (sign_in("client"), "/me/"),
            (sign_in("coach"), reverse("household_today", args=[home.pk])),
        ):
            browser.get(url)
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(url).status_code == 200
            counts.append(len(queries))
    assert counts[:3] == counts[3:]
