"""A household that can have packets, and files that go nowhere near the real ones."""

import pytest

from clients.models import Household
from plans.printables.renderer import Printed
from tests.clients.weeks.conftest import kitchen  # noqa: F401


@pytest.fixture(autouse=True)
def files(settings, tmp_path):
    """Private storage of its own for each test."""
    settings.STORAGES = settings.STORAGES | {
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": str(tmp_path / "files"), "file_permissions_mode": 0o600},
        }
    }
    return tmp_path / "files"


@pytest.fixture
def quick(monkeypatch) -> list[dict]:
    """No drawing: the facts of each packet are collected instead, and the file is a stand-in of three pages."""
    drawn: list[dict] = []

    def draw(facts: dict) -> Printed:
        drawn.append(facts)
        return Printed(content=b"%PDF-1.7 stand-in", pages=3)

    monkeypatch.setattr("clients.services.packets.packet_pdf", draw)
    return drawn


@pytest.fixture
def home(kitchen) -> Household:  # noqa: F811
    """The coach's household."""
    return kitchen
