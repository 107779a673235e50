"""The cast with something to cook."""

import pytest

from clients.models import Consent, Household
from tests.cast import Cast
from tests.clients.weeks.small_book import file_book, open_foods
from tests.factories import NOON, TODAY


@pytest.fixture
def kitchen(cast: Cast, noon) -> Household:
    """The coach's household with a book that fits it and an agreement: nothing stands in the way of a week."""
    file_book(cast.practice)
    open_foods(cast.version)
    Consent.objects.create(
        client=cast.household.clients.get(), text="Agreed.", agreed_on=TODAY, recorded_at=NOON
    )
    return cast.household
