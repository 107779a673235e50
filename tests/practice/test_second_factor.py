"""The second factor of staff, and where its secret is kept."""

import pytest
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.urls import reverse

from coaching.practice.models import User


@pytest.fixture
def demanded(settings):
    settings.REQUIRE_STAFF_MFA = True


@pytest.mark.parametrize("role", ["owner", "coach", "assistant"])
def test_staff_without_one_are_sent_to_set_it_up(cast, sign_in, demanded, role: str):
    response = sign_in(role).get("/board/")
    assert (response.status_code, response["Location"]) == (302, reverse("mfa_activate_totp"))


def test_clients_are_not(sign_in, demanded):
    assert sign_in("client").get("/me/").status_code == 200


def test_with_one_the_page_opens(cast, sign_in, demanded):
    TOTP.activate(cast.coach.user, generate_totp_secret())
    assert sign_in("coach").get("/board/").status_code == 200


def test_the_secret_is_unreadable_in_the_database_and_survives_a_new_key(cast, settings):
    secret = generate_totp_secret()
    TOTP.activate(cast.coach.user, secret)
    kept = Authenticator.objects.get(user=cast.coach.user).data["secret"]
    assert secret not in kept
    assert get_adapter().decrypt(kept) == secret
    settings.SECRET_KEY_FALLBACKS = [settings.SECRET_KEY]
    settings.SECRET_KEY = "a-new-key-of-enough-letters-and-more"
    assert get_adapter().decrypt(kept) == secret


def test_nobody_signs_up_by_themselves(client, db):
    typed = {
        "email": "stranger@example.org",
        "password1": "a-long-enough-pass",
        "password2": "a-long-enough-pass",
    }
    page = client.post(reverse("account_signup"), typed).content.decode()
    assert "password1" not in page
    assert not User.objects.exists()
