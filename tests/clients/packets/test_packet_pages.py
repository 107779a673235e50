"""The pages on packets: asking, waiting, fetching, and who may."""

from datetime import date

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse

from clients.models import Packet
from tests.factories import NOON

MONDAY = date(2026, 6, 15)
FORM = {"start": "2026-06-15", "paper": "letter", "language": "en"}


def list_url(household) -> str:
    return reverse("packets", args=[household.pk])


def make_packets(household, count: int, **fields) -> list[Packet]:
    values = {"state": Packet.State.FAILED, "problem": "No week fits.", "paper": "a4"} | fields
    return [
        Packet.objects.create(household=household, start=MONDAY, asked_at=NOON, **values)
        for _ in range(count)
    ]


@pytest.fixture
def ready(home) -> Packet:
    """A finished packet of the coach's household."""
    (packet,) = make_packets(home, 1, state=Packet.State.READY, problem="", pages=21, made_at=NOON)
    packet.file.save("a.pdf", ContentFile(b"%PDF-1.7 stand-in"))
    return packet


def test_the_form_proposes_the_practices_paper(home, sign_in):
    page = sign_in("coach").get(list_url(home)).content.decode()
    assert 'value="2026-06-15"' in page
    checked = page.split('value="a4"')[1].split(">")[0]
    assert "checked" in checked


def test_asking_leads_to_the_packet_which_waits(home, sign_in):
    browser = sign_in("coach")
    response = browser.post(list_url(home), FORM)
    packet = Packet.objects.get()
    assert (packet.paper, packet.language, packet.start) == ("letter", "en", MONDAY)
    assert response["Location"] == reverse("packet", args=[packet.pk])
    assert "Making the packet…" in browser.get(response["Location"]).content.decode()


def test_a_wrong_form_keeps_what_was_typed(home, sign_in):
    response = sign_in("coach").post(list_url(home), FORM | {"start": "never", "paper": "papyrus"})
    page = response.content.decode()
    assert "Please look at this again" in page
    assert 'value="never"' in page
    assert not Packet.objects.exists()


def test_what_stands_in_the_way_is_told_with_a_way_to_settle_it(home, cast, sign_in):
    cast.practice.rules_checked_at = None
    cast.practice.save(update_fields=["rules_checked_at"])
    page = sign_in("coach").get(list_url(home)).content.decode()
    assert "The practice is not set up yet" in page
    assert f'href="{reverse("practice_set_up")}"' in page
    assert "Make the packet</button>" not in page


def test_a_finished_packet_is_handed_out_as_a_file_that_is_not_kept_by_browsers(ready, sign_in):
    browser = sign_in("coach")
    page = browser.get(reverse("packet", args=[ready.pk])).content.decode()
    assert "21 pages" in page
    response = browser.get(reverse("packet_file", args=[ready.pk]))
    assert b"".join(response.streaming_content).startswith(b"%PDF")
    assert response["Content-Disposition"] == 'attachment; filename="packet-alder-2026-06-15.pdf"'
    assert response["Content-Type"] == "application/pdf"
    assert "no-store" in response["Cache-Control"]


def test_a_failed_packet_says_why(home, sign_in):
    (packet,) = make_packets(home, 1)
    page = sign_in("coach").get(reverse("packet", args=[packet.pk])).content.decode()
    assert "The packet could not be made." in page
    assert "No week fits." in page
    assert sign_in("coach").get(reverse("packet_file", args=[packet.pk])).status_code == 404


def test_a_poll_waits_on_and_then_fetches_the_page_anew(home, ready, sign_in):
    browser = sign_in("coach")
    (waiting,) = make_packets(home, 1, state=Packet.State.ASKED, problem="")
    fragment = browser.get(reverse("packet", args=[waiting.pk]), HTTP_HX_REQUEST="true")
    assert "<html" not in fragment.content.decode()
    assert browser.get(reverse("packet", args=[ready.pk]), HTTP_HX_REQUEST="true")["HX-Refresh"] == "true"


@pytest.mark.parametrize("role", ["assistant", "other_coach", "foreign_coach", "client"])
def test_packets_do_not_exist_for_those_who_may_not_see_them(home, ready, sign_in, role):
    browser = sign_in(role)
    assert browser.get(list_url(home)).status_code == 404
    assert browser.post(list_url(home), FORM).status_code == 404
    assert browser.get(reverse("packet", args=[ready.pk])).status_code == 404
    assert browser.get(reverse("packet_file", args=[ready.pk])).status_code == 404


def test_the_list_is_paged_and_its_queries_do_not_grow(home, sign_in, django_assert_num_queries):
    browser = sign_in("coach")
    make_packets(home, 3)
    browser.get(list_url(home))
    for more in (0, 40):
        make_packets(home, more)
        with django_assert_num_queries(11):
            page = browser.get(list_url(home)).content.decode()
    assert "1–25 of 43" in page


def test_the_households_page_has_the_newest_packets(home, ready, sign_in):
    page = sign_in("coach").get(reverse("household", args=[home.pk])).content.decode()
    assert "Packet of 15 June 2026" in page
    assert "21 pages" in page
