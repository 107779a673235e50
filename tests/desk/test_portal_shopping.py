"""The list on the phone: ticked by one thumb with or without JavaScript, for two people at once, and never for a
household that must not begin."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from clients.models import Consent, ShoppingTick, Store, Week
from tests.clients.weeks.small_book import file_book, open_foods
from tests.clients.weeks.small_week import keep_week
from tests.factories import NOON, TODAY, CautionFactory, ClientFactory, MembershipFactory, UserFactory

URL = "/me/shopping/"
HTMX = {"HTTP_HX_REQUEST": "true"}
MONDAY = TODAY + timedelta(days=5)


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
    return keep_week(home, MONDAY)


def text(response) -> str:
    return " ".join(response.content.decode().split())


def line(page: str, food: str) -> str:
    return re.search(rf'<li class="shop-line[^>]*id="line-{food}".*?</li>', page)[0]


def amount(page: str, food: str) -> str:
    return re.search(r'name="amount" value="([^"]+)"', line(page, food))[1]


def test_without_a_week_the_page_says_so(home, sign_in):
    assert "No list yet" in text(sign_in("client").get(URL))


def test_the_list_stands_by_aisle_in_both_systems_with_its_progress(week, sign_in):
    page = text(sign_in("client").get(URL))
    assert page.index("Vegetables") < page.index("Meat and poultry")
    assert re.search(r"0 of \d", page)
    assert re.search(r"500\sg \(1\slb 2\soz\)", line(page, "carrot"))
    assert "week of" not in page
    assert "15 to 21 June 2026" in page


def test_a_tick_without_javascript_comes_back_to_its_line_and_can_be_undone(week, sign_in):
    browser = sign_in("client")
    page = text(browser.get(URL))
    sent = {"food": "carrot", "amount": amount(page, "carrot")}
    answer = browser.post(reverse("portal_tick", args=[week.pk]), sent)
    assert answer["Location"] == f"{reverse('portal_shopping_week', args=[week.pk])}#line-carrot"
    page = text(browser.get(answer["Location"]))
    assert 'aria-pressed="true"' in line(page, "carrot")
    assert re.search(r"1 of \d", page)
    browser.post(
        reverse("portal_untick", args=[week.pk]), {"food": "carrot", "amount": amount(page, "carrot")}
    )
    assert not ShoppingTick.objects.exists()


def test_a_tick_with_htmx_answers_with_the_line_and_how_far_the_list_is(week, sign_in):
    browser = sign_in("client")
    sent = {"food": "carrot", "amount": amount(text(browser.get(URL)), "carrot")}
    answer = text(browser.post(reverse("portal_tick", args=[week.pk]), sent, **HTMX))
    assert "<html" not in answer
    assert 'aria-pressed="true"' in line(answer, "carrot")
    assert 'id="shop-progress" hx-swap-oob="true"' in answer
    assert re.search(r"1 of \d", answer)
    answer = text(browser.post(reverse("portal_untick", args=[week.pk]), sent, **HTMX))
    assert 'aria-pressed="false"' in line(answer, "carrot")


def test_what_is_left_can_be_shown_alone(week, sign_in):
    browser = sign_in("client")
    sent = {"food": "carrot", "amount": amount(text(browser.get(URL)), "carrot"), "left": "1"}
    answer = browser.post(reverse("portal_tick", args=[week.pk]), sent)
    assert "?left=1" in answer["Location"]
    page = text(browser.get(f"{URL}?left=1"))
    assert 'id="line-carrot"' not in page
    assert 'id="line-chicken-thigh"' in page


def test_two_people_tick_at_once_and_both_ticks_stay(cast, home, week, sign_in):
    other = MembershipFactory(user=UserFactory(), practice=cast.practice, role="client")
    ClientFactory(household=home, user=other.user)
    first, second = sign_in("client"), sign_in(None)
    second.force_login(other.user)
    page = text(first.get(URL))
    assert text(second.get(URL)).count("shop-line") == page.count("shop-line")
    tick = reverse("portal_tick", args=[week.pk])
    for browser, food in ((first, "carrot"), (second, "chicken-thigh"), (second, "carrot")):
        browser.post(tick, {"food": food, "amount": amount(page, food)}, **HTMX)
    assert sorted(ShoppingTick.objects.values_list("food", flat=True)) == ["carrot", "chicken-thigh"]


def test_a_page_from_before_the_week_changed_still_ticks(home, week, sign_in):
    browser = sign_in("client")
    page = text(browser.get(URL))
    Week.objects.create(
        household=home,
        start=MONDAY,
        state=Week.State.PLANNED,
        brief=week.brief,
        plan=week.plan | {"cooks": [], "plates": []},
        asked_at=NOON + timedelta(hours=1),
    )
    sent = {"food": "carrot", "amount": amount(page, "carrot")}
    answer = browser.post(reverse("portal_tick", args=[week.pk]), sent, **HTMX)
    assert answer["HX-Redirect"] == reverse("portal_shopping_week", args=[week.pk])
    page = text(browser.get(answer["HX-Redirect"]))
    assert "In the house already: not needed this week" in page
    assert "Carrot" in page
    browser.post(reverse("portal_untick", args=[week.pk]), sent)
    assert "not needed this week" not in text(browser.get(URL))


@pytest.mark.parametrize("sent", [{}, {"food": "carrot"}, {"food": "x y", "amount": "5"}])
def test_a_broken_tick_is_told_and_changes_nothing(week, sign_in, sent):
    browser = sign_in("client")
    for name in ("portal_tick", "portal_untick"):
        answer = browser.post(reverse(name, args=[week.pk]), sent, follow=True)
        assert "Tick it again." in text(answer)
    assert not ShoppingTick.objects.exists()


@pytest.mark.parametrize("strength", ["clinician-first", "do-not-start"])
def test_a_blocked_household_gets_no_list_and_ticks_nothing(home, week, sign_in, strength):
    CautionFactory(eater=home.eaters.get(), rule="kidney-disease", strength=strength)
    browser = sign_in("client")
    for url in (URL, reverse("portal_shopping_week", args=[week.pk])):
        page = text(browser.get(url))
        assert "First this has to be settled" in page
        assert "shop-line" not in page
    sent = {"food": "carrot", "amount": "500"}
    assert browser.post(reverse("portal_tick", args=[week.pk]), sent, **HTMX)["HX-Redirect"]
    assert not ShoppingTick.objects.exists()


@pytest.mark.parametrize("role", ["other_client", "coach", "assistant", "foreign_coach"])
def test_nobody_else_ticks_it(week, sign_in, role):
    sent = {"food": "carrot", "amount": "500"}
    assert sign_in(role).post(reverse("portal_tick", args=[week.pk]), sent).status_code == 404
    assert not ShoppingTick.objects.exists()


def test_a_lost_connection_has_words_on_the_page_that_scripts_show(week, sign_in):
    page = text(sign_in("client").get(URL))
    assert 'id="shop-lost" role="alert" hidden' in page
    assert "A tick that got none is not kept" in page


def test_the_client_notes_what_is_in_the_house_and_the_list_counts_it(home, week, sign_in):
    browser = sign_in("client")
    typed = {"food": "carrot", "amount": "90", "unit": "kg", "place": "cupboard", "best_by": ""}
    page = text(browser.post("/me/shopping/house/", typed, follow=True))
    assert "The shopping list counts it from now on." in page
    page = text(browser.get(URL))
    assert 'id="line-carrot"' not in page
    assert "Enough in the house" in page
    row = Store.objects.get()
    edit = reverse("portal_store_edit", args=[row.pk])
    browser.post(edit, typed | {"best_by": (TODAY - timedelta(days=1)).isoformat()})
    page = text(browser.get(URL))
    assert "past its date and not counted: Carrot" in page
    assert "Past its date" in text(browser.get("/me/shopping/house/"))
    browser.post(reverse("portal_store_used_up", args=[row.pk]))
    assert "Nothing noted yet" in text(browser.get("/me/shopping/house/"))


def test_queries_do_not_grow(home, week, sign_in, django_assert_num_queries):
    browser = sign_in("client")
    counts = []
    for more in (2, 25):
        for number in range(more):
            Store.objects.create(
                household=home, food="carrot", amount_g=1, noted_on=TODAY, best_by=TODAY + timedelta(number)
            )
            ShoppingTick.objects.create(
                household=home, start=MONDAY, food=f"food-{more}-{number}", amount_g=5, ticked_at=NOON
            )
        for url in (URL, "/me/shopping/house/"):
            with django_assert_num_queries(20, exact=False) as counted:
                browser.get(url)
            counts.append(len(counted))
    assert counts[:2] == counts[2:]
