"""The link that opens one check-in without signing in."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core import signing

from clients.models import CheckInLink
from clients.services.links import SALT, check_in_link, open_check_in_link
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def eater(cast):
    return cast.household.eaters.get()


def token(path: str) -> str:
    return path.strip("/").rpartition("/")[2]


def test_a_link_opens_its_eaters_day_and_is_the_same_when_asked_for_twice(eater):
    path = check_in_link(eater=eater, on=TODAY)
    assert check_in_link(eater=eater, on=TODAY) == path
    link = open_check_in_link(token(path), at=NOON)
    assert (link.eater_id, link.on) == (eater.pk, TODAY)
    assert check_in_link(eater=eater, on=TODAY - timedelta(days=1)) != path


def test_a_link_names_nobody(eater):
    path = check_in_link(eater=eater, on=TODAY)
    for told in (eater.pk.hex, eater.name, TODAY.isoformat()):
        assert told not in path


def test_a_link_works_up_to_midnight_of_the_second_day_after(eater):
    """Midnight in Dublin on 13 June 2026 is 23:00 UTC the day before."""
    path = check_in_link(eater=eater, on=TODAY)
    end = datetime(2026, 6, 12, 23, 0, tzinfo=UTC)
    assert open_check_in_link(token(path), at=end - timedelta(seconds=1)) is not None
    assert open_check_in_link(token(path), at=end) is None


def test_a_used_link_is_over(eater):
    path = check_in_link(eater=eater, on=TODAY)
    CheckInLink.objects.update(used_at=NOON)
    assert open_check_in_link(token(path), at=NOON) is None


def test_the_link_of_an_archived_household_is_over(eater, cast):
    path = check_in_link(eater=eater, on=TODAY)
    type(cast.household).objects.filter(pk=cast.household.pk).update(archived_at=NOON)
    assert open_check_in_link(token(path), at=NOON) is None


def test_a_forged_link_opens_nothing(eater):
    right = token(check_in_link(eater=eater, on=TODAY))
    pk = CheckInLink.objects.get().pk.hex
    for forged in (
        right[:-1],
        right + "x",
        pk,
        "",
        signing.Signer(salt="desk.mail-stop").sign(pk),
        signing.Signer(salt=SALT).sign("not-an-id"),
        signing.Signer(salt=SALT).sign("0" * 32),
    ):
        assert open_check_in_link(forged, at=NOON) is None


def test_an_eater_with_a_client_of_their_own_goes_by_that_clock(eater):
    """Midnight in Auckland on 13 June 2026 is noon UTC the day before."""
    type(eater.client).objects.filter(pk=eater.client_id).update(time_zone="Pacific/Auckland")
    eater.refresh_from_db()
    check_in_link(eater=eater, on=TODAY)
    assert CheckInLink.objects.get().expires_at == datetime(2026, 6, 12, 12, 0, tzinfo=UTC)
