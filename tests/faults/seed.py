"""Fills the database of a house under test with reminders that are due now, and prints their work ids as JSON.

Run in the environment of that house: ``python -m tests.faults.seed HOW_MANY``. The moments are the real clock's, since
the processes under test look at it too.
"""

import json
import sys
from datetime import time, timedelta

import django

django.setup()

from coaching import clock  # noqa: E402
from coaching.desk.domain.due import Kind, Owed  # noqa: E402
from coaching.desk.models import Reminder  # noqa: E402
from coaching.desk.services.reminders import reminder_owe  # noqa: E402
from tests.factories import (  # noqa: E402
    ClientFactory,
    EaterFactory,
    EnrolmentFactory,
    HouseholdFactory,
    PracticeFactory,
    ProtocolFactory,
    ProtocolVersionFactory,
)

ZONE = "Europe/Dublin"


def seed(how_many: int) -> list[str]:
    """One practice that never sleeps, with this many clients who begin in three days and are told so now."""
    slug = f"practice-{clock.now().timestamp():.6f}".replace(".", "-")
    practice = PracticeFactory(slug=slug, quiet_from=time(0), quiet_until=time(0))
    version = ProtocolVersionFactory(protocol=ProtocolFactory(practice=practice))
    today = clock.today_in(ZONE)
    start_on = today + timedelta(days=3)
    for number in range(how_many):
        household = HouseholdFactory(practice=practice)
        client = ClientFactory(household=household, email=f"{slug}-{number}@example.org")
        EnrolmentFactory(
            eater=EaterFactory(household=household, client=client), version=version, start_on=start_on
        )
        reminder_owe(
            client_id=client.pk,
            owed=Owed(Kind.COUNTDOWN, start_on.isoformat(), {"days": 3}),
            on=today,
            due_at=clock.now(),
        )
    work_ids = Reminder.objects.filter(client__household__practice=practice).values_list("work_id", flat=True)
    return [str(work_id) for work_id in work_ids]


if __name__ == "__main__":
    sys.stdout.write(json.dumps(seed(int(sys.argv[1]))))
