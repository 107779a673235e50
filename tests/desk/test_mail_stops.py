"""Stopping mail: by a mail program's one click (RFC 8058) and by the page behind the link."""

import re

import pytest
from django.core import signing
from django.test import Client as Browser

from coaching.desk.domain.due import Kind
from coaching.desk.models import MailStop
from coaching.desk.services.mail_stops import mail_stop, mail_stop_url, open_stop_link, stopped_kinds
from coaching.practice.models import AuditEntry
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def reader(cast):
    return cast.household.clients.get()


@pytest.fixture
def path(reader, settings) -> str:
    settings.SITE_URL = ""
    return mail_stop_url(client_id=reader.pk, kind=Kind.CHECK_IN)


@pytest.fixture
def browser() -> Browser:
    """One that insists on the usual tokens, as a real site would."""
    return Browser(enforce_csrf_checks=True)


def test_looking_changes_nothing_and_sets_no_cookie(path, browser):
    for method in (browser.get, browser.head):
        response = method(path)
        assert response.status_code == 200
        assert response.cookies == {}
    assert not MailStop.objects.exists()


def test_one_click_stops_that_kind_at_once(path, browser, reader, noon):
    """The body a mail program sends, word for word as RFC 8058 has it; as a form and as multipart."""
    for send in (
        {"data": "List-Unsubscribe=One-Click", "content_type": "application/x-www-form-urlencoded"},
        {"data": {"List-Unsubscribe": "One-Click"}},
    ):
        response = browser.post(path, **send)
        assert response.status_code == 200
        assert response.cookies == {}
        assert stopped_kinds(reader) == {Kind.CHECK_IN}
    stop = MailStop.objects.get()
    assert (stop.how, stop.at) == ("one-click", NOON)
    assert AuditEntry.objects.filter(action="mail stopped").count() == 1


def test_the_page_stops_what_is_ticked(path, browser, reader):
    page = browser.get(path).content.decode()
    ticked = re.findall(r'value="([\w-]+)" id="[\w-]+" checked', page)
    assert ticked == [Kind.CHECK_IN]
    response = browser.post(path, {"page": "1", "kinds": [Kind.CHECK_IN, Kind.COUNTDOWN, "made-up"]})
    assert response.status_code == 200
    assert stopped_kinds(reader) == {Kind.CHECK_IN, Kind.COUNTDOWN}
    assert set(MailStop.objects.values_list("how", flat=True)) == {"link"}


def test_nothing_ticked_changes_nothing_and_says_so(path, browser):
    response = browser.post(path, {"page": "1"})
    assert "Nothing was ticked" in response.content.decode()
    assert not MailStop.objects.exists()


def test_a_stop_by_mistake_can_be_taken_back(path, browser, reader):
    browser.post(path, {"List-Unsubscribe": "One-Click"})
    response = browser.post(path, {"again": "1"})
    assert response.status_code == 200
    assert stopped_kinds(reader) == frozenset()
    browser.post(path, {"again": "1"})
    assert AuditEntry.objects.filter(action="mail resumed").count() == 1


def test_stopping_everything_shows_every_kind(path, browser, reader):
    mail_stop(client=reader, kinds=[""], how="refused", at=NOON)
    assert stopped_kinds(reader) == set(Kind)
    page = browser.get(path).content.decode()
    assert 'type="checkbox"' not in page
    assert AuditEntry.objects.get(action="mail stopped").user is None


def test_the_page_speaks_the_readers_language_and_stays_whole_with_an_unknown_one(path, browser, reader):
    type(reader).objects.filter(pk=reader.pk).update(language="xx")
    assert browser.get(path).status_code == 200


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_forged_link_is_a_missing_page(path, browser, method: str):
    token = path.strip("/").split("/")[1]
    for forged in (token[:-2] + "xx", "x", token.replace(":", "."), "%00"):
        assert getattr(browser, method)(f"/u/{forged}/").status_code == 404
    assert not MailStop.objects.exists()


def test_a_token_made_for_another_purpose_is_refused(reader):
    own = mail_stop_url(client_id=reader.pk, kind=Kind.CHECK_IN).rstrip("/").rpartition("/")[2]
    other = signing.Signer(salt="clients.check-in-link").sign(own.partition(":")[0])
    assert open_stop_link(own) is not None
    assert open_stop_link(other) is None


@pytest.mark.parametrize("told", [b"short", b"0" * 16 + b"check-in", b"0" * 16 + b"\xff", b""])
def test_a_token_that_names_nobody_is_refused(reader, told: bytes):
    assert (
        open_stop_link(signing.Signer(salt="desk.mail-stop").sign(signing.b64_encode(told).decode())) is None
    )


def test_a_token_for_a_kind_that_is_no_more_is_refused(reader):
    told = signing.b64_encode(reader.pk.bytes + b"gone").decode()
    assert open_stop_link(signing.Signer(salt="desk.mail-stop").sign(told)) is None


def test_a_token_outlives_a_change_of_the_secret_key(path, browser, settings):
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "a-new-one"
    assert browser.get(path).status_code == 200


def test_the_link_names_nobody(path, reader):
    for told in (reader.pk.hex, str(reader.pk), reader.email, reader.name, "check-in"):
        assert told not in path


def test_an_erased_client_leaves_a_missing_page(path, browser, cast):
    cast.household.delete()
    assert browser.get(path).status_code == 404
