"""Fixtures every room's tests share."""

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from hypothesis import settings as hypothesis_settings

from tests.cast import Cast, make_cast
from tests.factories import NOON

hypothesis_settings.register_profile("ladlework", deadline=None, print_blob=True)
"""No deadline: the first example pays for loading, and machines are shared. The suite's own time limit stays."""
hypothesis_settings.load_profile("ladlework")


NEEDS_A_STORE = {"db", "transactional_db", "live_server", "cast", "sign_in"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what asks no database, so that the suite runs it once and not on every database."""
    for item in items:
        fixtures = set(getattr(item, "fixturenames", ()))
        stored = any(item.get_closest_marker(name) for name in ("django_db", "browser", "postgres", "redis"))
        if not stored and fixtures.isdisjoint(NEEDS_A_STORE):
            item.add_marker(pytest.mark.pure)


@pytest.fixture(autouse=True)
def same_on_every_database(settings, tmp_path) -> None:
    """Settings that depend on whether others are served, pinned: the suite means the same on every database.

    Static files keep their plain names and are found where they lie, so that no run needs them collected first. Private
    files go to a folder of the test's own.
    """
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    private = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": str(tmp_path / "files")},
    }
    settings.STORAGES = {"default": private, "staticfiles": plain}
    settings.WHITENOISE_USE_FINDERS = True
    settings.REQUIRE_STAFF_MFA = False


@pytest.fixture(autouse=True)
def cache_of_its_own(settings, worker_id: str) -> None:
    """A Redis cache starts each test empty, as the database does, and no two test processes share one."""
    if not settings.REDIS_URL:
        return
    server, _, _ = settings.REDIS_URL.rpartition("/")
    number = 1 + (0 if worker_id == "master" else int(worker_id.removeprefix("gw")))
    settings.CACHES = {"default": {**settings.CACHES["default"], "LOCATION": f"{server}/{number}"}}
    cache.clear()


@pytest.fixture
def cast(db) -> Cast:
    """The named people, in the database."""
    return make_cast()


@pytest.fixture
def noon():
    """The clock stands at the suite's noon."""
    with time_machine.travel(NOON, tick=False):
        yield NOON


@pytest.fixture
def sign_in(cast: Cast):
    """``sign_in("coach")`` gives a test client signed in as that person; ``sign_in(None)`` is nobody."""

    def signed_in_as(role: str | None) -> Client:
        browser = Client()
        if role is not None:
            browser.force_login(cast.user(role))
        return browser

    return signed_in_as
