"""Sign-in as this house wants it: no open sign-up, second-factor seeds encrypted at rest."""

import base64

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.http import HttpRequest
from django.utils.crypto import salted_hmac


class AccountAdapter(DefaultAccountAdapter):
    """Coaches and clients are invited; nobody signs up by themselves."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False


def _cipher() -> MultiFernet:
    """Keys derived from SECRET_KEY and its fallbacks, newest first, so the key can be rotated."""
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    digests = [
        salted_hmac("ladlework.mfa", "seed", secret=secret, algorithm="sha256").digest() for secret in secrets
    ]
    return MultiFernet([Fernet(base64.urlsafe_b64encode(digest)) for digest in digests])


class MfaAdapter(DefaultMFAAdapter):
    """Keeps authenticator seeds and recovery seeds unreadable in the database."""

    def encrypt(self, text: str) -> str:
        return _cipher().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        return _cipher().decrypt(encrypted_text.encode()).decode()
