"""What may I eat: the client looks a food up, for everybody at the table, and reads no more than is theirs."""

import pytest
from django.urls import reverse

from clients.models import Consent, Enrolment, Instruction
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import NOON, TODAY, CautionFactory, EaterFactory, EnrolmentFactory, FoodFactory

URL = "/me/foods/"


@pytest.fixture
def eater(cast, noon):
    """Somebody nothing stands in the way of."""
    file_book(cast.practice)
    open_foods(cast.version)
    Consent.objects.create(
        client=cast.household.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON
    )
    return cast.household.eaters.get()


def page_of(browser, **asked) -> str:
    response = browser.get(URL, asked)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_the_search_stands_first_and_foods_lie_by_allowance(eater, sign_in):
    page = page_of(sign_in("client"))
    assert page.index('type="search"') < page.index("As prepared")
    assert "Stage 1, First" in page
    assert "Your coach decides with you when it is time." in page
    assert "earliest 10 June" in page


def test_a_food_is_answered_for_everybody_at_the_table(cast, eater, sign_in):
    EaterFactory(household=cast.household, name="Robin")
    page = page_of(sign_in("client"), q="onion")
    assert "opens at stage 2, Second, earliest 10 June" in page
    robin = page[page.index("<dt>Robin</dt>") :]
    assert "Freely" in robin
    assert "No food of that name" in page_of(sign_in("client"), q="moon cheese")


def test_names_that_begin_so_come_first_and_too_many_are_counted(cast, eater, sign_in):
    FoodFactory(practice=cast.practice, key="a-black-onion", name="Black onion", group="a")
    FoodFactory.create_batch(14, practice=cast.practice, group="b", search_text="onion too")
    page = page_of(sign_in("client"), q="onion")
    assert page.index("<h2>Onion") < page.index("<h2>Black onion")
    assert "4 more foods have this in their names" in page


def test_the_client_does_not_read_who_asked_for_it(eater, sign_in):
    Instruction.objects.create(
        eater=eater, foods=["carrot"], said_by="Dr Sand", said_on=TODAY, note="Blood test", recorded_at=NOON
    )
    for asked in ({}, {"q": "carrot"}):
        page = page_of(sign_in("client"), **asked)
        assert "Left out: your clinician asked for it" in page
        assert "Dr Sand" not in page
        assert "Blood test" not in page


def test_the_emergency_number_is_always_there(cast, eater, sign_in):
    for asked in ({}, {"q": "carrot"}, {"q": "zzz"}):
        page = page_of(sign_in("client"), **asked)
        assert f"Call {cast.practice.emergency_number} now." in page
        assert "not medical care" in page


@pytest.mark.parametrize(
    ("strength", "words"),
    [("clinician-first", "waits for a clinician’s agreement"), ("do-not-start", "means do not start")],
)
def test_while_a_caution_blocks_no_food_is_handed_out(cast, eater, sign_in, strength, words):
    CautionFactory(eater=eater, rule="kidney-disease", strength=strength)
    for asked in ({}, {"q": "carrot"}):
        page = page_of(sign_in("client"), **asked)
        assert words in page
        assert "Carrot" not in page
        assert "As prepared" not in page
        assert f"Call {cast.practice.emergency_number} now." in page
    part = sign_in("client").get(URL, {"q": "carrot"}, headers={"HX-Request": "true"}).content.decode()
    assert words in part
    assert "Carrot" not in part


def test_what_the_coach_has_to_settle_is_not_told_in_full(eater, sign_in):
    Consent.objects.all().delete()
    page = page_of(sign_in("client"))
    assert "Your coach still has something to settle" in page
    assert "Carrot" not in page


def test_a_household_without_a_protocol_reads_only_what_is_left_out(eater, sign_in):
    Enrolment.objects.all().delete()
    eater.excluded = ["parsnip"]
    eater.save(update_fields=["excluded"])
    page = page_of(sign_in("client"))
    assert "Follows no protocol" in page
    assert "Left out: Parsnip is excluded" in page
    assert "Onion" not in page


def test_only_a_client_gets_it(cast, eater, sign_in):
    assert sign_in("coach").get(URL).status_code == 404
    assert reverse("portal_foods") == URL


@pytest.mark.parametrize("more", [0, 6])
@pytest.mark.parametrize("q", ["", "onion"])
def test_the_queries_do_not_grow(cast, eater, sign_in, django_assert_max_num_queries, more, q):
    for _ in range(more):
        EnrolmentFactory(eater=EaterFactory(household=cast.household), version=cast.version)
    browser = sign_in("client")
    # Session, user, membership; client; blocks twice; eaters; enrolments, spells; instructions; check-ins,
    # introductions; foods; search.
    with django_assert_max_num_queries(14):
        browser.get(URL, {"q": q})
