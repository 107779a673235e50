"""Sign-in, account and error pages wear the same look."""

import pytest
from allauth.account.models import EmailAddress
from django.template.loader import render_to_string

from tests.browser.conftest import DESK, PHONE

STRANGER = [
    "/accounts/login/",
    "/accounts/signup/",
    "/accounts/password/reset/",
    "/accounts/password/reset/done/",
    "/accounts/inactive/",
    "/accounts/confirm-email/not-a-key/",
    "/accounts/password/reset/key/1-not-a-key/",
]
SIGNED_IN = [
    "/accounts/email/",
    "/accounts/password/change/",
    "/accounts/2fa/",
    "/accounts/2fa/totp/activate/",
    "/accounts/reauthenticate/",
    "/accounts/logout/",
]


@pytest.mark.parametrize(("width", "scheme"), [(PHONE, "dark"), (DESK, "light")])
@pytest.mark.parametrize("path", STRANGER)
def test_a_stranger_meets_no_barrier(visit, path: str, width: int, scheme: str) -> None:
    seen = visit(path, width=width, scheme=scheme)
    assert seen.axe() == []
    assert seen.complaints == []
    assert seen.sideways() == 0
    assert seen.page.locator("h1").count() == 1


@pytest.mark.parametrize("role", ["coach", "client"])
@pytest.mark.parametrize("path", SIGNED_IN)
def test_a_member_meets_no_barrier(visit, cast, path: str, role: str) -> None:
    user = cast.user(role)
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
    seen = visit(path, role=role, width=PHONE)
    assert seen.axe() == []
    assert seen.complaints == []
    assert seen.sideways() == 0


def test_a_missing_page_says_so_and_leads_back(visit) -> None:
    seen = visit("/no-such-page/", width=PHONE)
    assert seen.axe() == []
    assert seen.page.get_by_role("link", name="Back to the start").count() == 1


def test_the_page_for_our_own_mistakes_needs_nothing_but_itself() -> None:
    """No request, no context processors, no database: any of them may be what broke."""
    page = render_to_string("500.html", {"reference": "ab12cd34ef"})
    assert "ab12cd34ef" in page
    assert 'href="/"' in page
