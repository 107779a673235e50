"""Reminders of lead-in tasks go by the same plan as the page: who it is for, and what is ticked off."""

from datetime import timedelta

import pytest

from clients.models import Household
from clients.services.lead_in import lead_in_of, lead_in_tick
from coaching.desk.domain.due import Kind, owed_on
from coaching.desk.selectors.reminders import addressees
from plans.models import ProtocolVersion
from tests.factories import NOON, TODAY, FoodFactory

DAY = timedelta(days=1)
DAY_ONE = TODAY + 12 * DAY
LEAD_IN = [
    {"key": "kefir", "title": "Start the kefir", "kind": "culture", "days_before": 4, "makes": ["kefir"]},
    {"key": "shop", "title": "Shop", "kind": "shop", "days_before": 4},
]


@pytest.fixture
def home(cast, noon):
    kefir = {"key": "kefir", "name": "Kefir", "group": "dairy", "aisle": "eggs-dairy", "families": ["milk"]}
    FoodFactory(practice=cast.practice, key="kefir", document=kefir)
    document = cast.version.document | {"lead_in": LEAD_IN}
    ProtocolVersion.objects.filter(pk=cast.version.pk).update(document=document, digest="1ead" * 16)
    enrolment = cast.household.eaters.get().enrolments.get()
    enrolment.start_on = DAY_ONE
    enrolment.save(update_fields=["start_on"])
    enrolment.spells.update(began_on=DAY_ONE)
    return cast.household


def owed(home) -> dict[int, int]:
    """How many tasks are owed so many days before day one."""
    (person,) = addressees(households=Household.objects.filter(pk=home.pk), since=TODAY)
    return {
        days: one.facts["tasks"]
        for days in range(12, -1, -1)
        for one in owed_on(person.plans, DAY_ONE - days * DAY)
        if one.kind == Kind.LEAD_IN
    }


def test_a_reminder_comes_on_the_day_the_page_names(home):
    assert owed(home) == {4: 2}
    assert {task.on for task in lead_in_of(home, today=TODAY).tasks} == {DAY_ONE - 4 * DAY}


def test_nobody_is_reminded_of_what_they_do_not_eat(home):
    home.eaters.update(allergies=["milk"])
    assert owed(home) == {4: 1}


def test_nobody_is_reminded_of_what_is_ticked_off(home, cast):
    for task in ("kefir: Start the kefir", "shop: Shop"):
        lead_in_tick(household=home, task=task, state="done", today=TODAY, by=cast.client, at=NOON)
    assert owed(home) == {}
