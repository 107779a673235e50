"""A mail server for the desk's tests."""

import pytest

from tests.postbox import Postbox, open_postbox


@pytest.fixture
def postbox(settings) -> Postbox:
    """A real mail server the program sends to."""
    with open_postbox() as postbox:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", postbox.port
        settings.MAIL_DOMAIN = "ladlework.example.org"
        settings.SITE_URL = "https://ladlework.example.org"
        yield postbox
