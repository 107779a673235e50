"""The cast with something to cook."""

import json
from datetime import date

import pytest

from clients.models import Consent, Household, Week
from clients.services.weeks import week_plan
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


PLANNED: dict[str, str] = {}
"""The records of the one week below, planned once in a run; the eater's id stands in them as ``EATER``."""


@pytest.fixture
def standing_week_row(kitchen: Household) -> Week:
    """The household's standing week from Monday 15 June 2026, as the planner plans it."""
    row = Week.objects.create(household=kitchen, start=date(2026, 6, 15), asked_at=NOON)
    eater = str(kitchen.eaters.get().pk)
    if not PLANNED:
        week_plan(week_id=row.pk, at=NOON)
        row.refresh_from_db()
        for name in ("brief", "plan"):
            PLANNED[name] = json.dumps(getattr(row, name)).replace(eater, "EATER")
    else:
        for name, record in PLANNED.items():
            setattr(row, name, json.loads(record.replace("EATER", eater)))
        row.state, row.planned_at = Week.State.PLANNED, NOON
        row.save()
    return Week.objects.select_related("household__practice").get(pk=row.pk)
