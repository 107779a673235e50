"""What every answer carries, and what it never shows."""

import logging

import pytest
from django.test import Client, override_settings
from django.urls import path

from coaching.practice.access import everyone
from coaching.web.logs import LineFormatter


@everyone
def broken(request):
    raise RuntimeError("the secret is canary-0815")


urlpatterns = [path("broken/", broken, name="broken")]
handler500 = "coaching.web.views.server_error"


@pytest.mark.parametrize("where", ["/accounts/login/", "/nowhere/", "/board/", "/c/forged/"])
def test_every_answer_is_fenced_in(cast, where: str):
    headers = Client().get(where).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe-" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]
    assert headers["X-Request-Id"]


def test_signed_in_pages_stay_out_of_caches(sign_in):
    assert sign_in("coach").get("/board/").headers["Cache-Control"] == "no-store"
    assert sign_in("coach").get("/nowhere/").headers["Cache-Control"] == "no-store"


@override_settings(ROOT_URLCONF=__name__)
def test_an_error_shows_a_reference_and_nothing_internal(db):
    response = Client(raise_request_exception=False).get("/broken/")
    page = response.content.decode()
    assert response.status_code == 500
    assert response.headers["X-Request-Id"] in page
    assert "canary-0815" not in page
    assert "Traceback" not in page


def test_a_page_that_is_not_there_says_so_and_leads_back(cast):
    response = Client().get("/nowhere/")
    assert response.status_code == 404
    assert "href=" in response.content.decode()


def test_a_path_cannot_forge_a_second_log_line():
    record = logging.LogRecord(
        "x", logging.INFO, __file__, 1, "Not Found: %s", ("/a\nINFO forged\x1b[0m",), None
    )
    line = LineFormatter().format(record)
    assert "\n" not in line
    assert "\\x0aINFO forged\\x1b" in line
