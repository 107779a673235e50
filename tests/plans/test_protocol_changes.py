"""What changed between versions, and what a protocol leaves open: the words and the pages."""

import pytest
from hypothesis import given

from coaching.domain.units import System
from plans.domain.differences import differences
from plans.domain.gaps import gaps
from plans.models import Protocol
from plans.services.foods import foods_import
from plans.services.protocols import protocol_import
from plans.services.recipes import recipes_import
from plans.services.shipping import book_seed
from plans.views.change_words import GAP_TITLE, Names, change_words, say_gap
from tests import shipped
from tests.factories import NOON
from tests.plans.book_strategies import protocols
from tests.plans.test_services import FOODS, PROTOCOL, RECIPES

pytestmark = pytest.mark.usefixtures("noon")

SECOND = PROTOCOL.replace("forms: [boiled]", "forms: [boiled + peeled], note: Peel them").replace(
    "usual_days: 10", "usual_days: 12"
)


@given(protocols(), protocols())
def test_every_difference_has_words(old, new) -> None:
    names = Names({}, old, new, System.METRIC)
    for difference in differences(old, new, {}):
        assert change_words(difference, names)


@given(protocols())
def test_every_gap_has_words(protocol) -> None:
    for gap in gaps(protocol, {}, ()):
        assert gap.code in GAP_TITLE
        assert say_gap(gap, protocol, {})


def test_the_two_shipped_protocols_can_be_told_apart_in_words() -> None:
    old, new, foods = (
        shipped.protocol("hearth-five"),
        shipped.protocol("three-phase"),
        shipped.rulebook(None).foods,
    )
    names = Names(foods, old, new, System.METRIC)
    assert all(change_words(difference, names) for difference in differences(old, new, foods))


def put_protocol(cast, text: str) -> None:
    protocol_import(practice=cast.practice, text=text, by=None, at=NOON)


@pytest.fixture
def protocol(cast) -> Protocol:
    for service, text in ((foods_import, FOODS), (recipes_import, RECIPES)):
        service(practice=cast.practice, text=text, by=None, at=NOON)
    put_protocol(cast, PROTOCOL)
    put_protocol(cast, SECOND)
    return Protocol.objects.get(practice=cast.practice, key="small")


def changes(browser, protocol: Protocol, number: int = 2, **query: str):
    return browser.get(f"/protocols/{protocol.pk}/{number}/changes/", query)


def test_a_version_against_the_one_before(sign_in, protocol) -> None:
    words = changes(sign_in("assistant"), protocol).content.decode()
    assert "Compared with version 1" in words
    assert "The days were: at least 5, usually 10; they are: at least 5, usually 12" in words
    assert "<strong>Carrot</strong>" in words
    assert "stricter" in words
    assert "Peel them" in words


def test_a_version_against_another_the_other_way_round(sign_in, protocol) -> None:
    words = changes(sign_in("coach"), protocol, 1, against="2").content.decode()
    assert "Compared with version 2" in words
    assert "wider" in words


def test_the_first_version_and_a_version_against_itself(sign_in, protocol) -> None:
    browser = sign_in("coach")
    assert "nothing before it" in changes(browser, protocol, 1).content.decode()
    assert "say the same" in changes(browser, protocol, 2, against="2").content.decode()


@pytest.mark.parametrize("against", ["0", "9", "-1", "x", "²", "1" * 30])
def test_a_version_that_is_not_there(sign_in, protocol, against) -> None:
    assert changes(sign_in("coach"), protocol, against=against).status_code == 404


def test_the_versions_lead_to_their_changes(sign_in, protocol) -> None:
    words = sign_in("coach").get(f"/protocols/{protocol.pk}/").content.decode()
    assert f"/protocols/{protocol.pk}/2/changes/" in words
    assert f"/protocols/{protocol.pk}/1/changes/" not in words


def test_coaches_see_what_a_protocol_leaves_open_and_an_assistant_does_not(sign_in, protocol) -> None:
    page = f"/protocols/{protocol.pk}/"
    title = "What this protocol leaves open"
    words = sign_in("coach").get(page).content.decode()
    assert title in words
    assert "First, mug: no recipe of the book is open." in words
    assert title not in sign_in("assistant").get(page).content.decode()


@pytest.mark.parametrize("size", [1, 30])
def test_the_page_asks_as_much_for_many_versions_as_for_few(
    cast, sign_in, protocol, django_assert_max_num_queries, size
) -> None:
    """Session, person, member; the protocol, its versions, the two compared, the foods, the practice."""
    for number in range(size):
        put_protocol(cast, PROTOCOL.replace("title: Small", f"title: Small {number}"))
    browser = sign_in("coach")
    with django_assert_max_num_queries(9):
        assert changes(browser, protocol, size + 2).status_code == 200


def test_the_shipped_protocols_have_pages_without_mistakes(cast, sign_in) -> None:
    book_seed(practice=cast.practice, by=None, at=NOON)
    browser = sign_in("coach")
    shipped_ones = Protocol.objects.filter(practice=cast.practice)
    assert len(shipped_ones) >= 2
    for protocol in shipped_ones:
        assert "to be mended" not in browser.get(f"/protocols/{protocol.pk}/").content.decode()
