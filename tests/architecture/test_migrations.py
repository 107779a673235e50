"""The migrations say what the models say."""

from io import StringIO

import pytest
from django.core.management import call_command


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    out = StringIO()
    call_command("makemigrations", "--check", "--dry-run", stdout=out, verbosity=1)
    assert "No changes detected" in out.getvalue()
