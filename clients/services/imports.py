"""Bringing in a household from a file."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from clients.domain.household_file import KnownProtocol, read_household
from clients.models import Household
from clients.selectors.protocols import food_names, latest_published, stages_of
from clients.services.households import household_create
from coaching.domain.calendar import wall_clock
from coaching.domain.errors import Refused
from coaching.practice.models import Membership, Practice


@transaction.atomic
def household_import(
    *, practice: Practice, coach: Membership, text: str, filename: str = "", by: Membership, at: datetime
) -> Household:
    """Make the household of a ``ladlework/household/1`` file, on the newest published versions it names.

    Raises Refused with every problem of the file, or with what the house itself refuses; then nothing is made.
    """
    versions = {version.protocol.key: version for version in latest_published(practice)}
    new, problems = read_household(
        text,
        filename,
        foods=[food.key for food in food_names(practice)],
        protocols={
            key: KnownProtocol(str(version.pk), tuple(stage.key for stage in stages_of(version)))
            for key, version in versions.items()
        },
        languages=[code for code, _name in settings.LANGUAGES],
        agreement=practice.client_agreement,
        today=wall_clock(at, practice.time_zone).date(),
    )
    if new is None:
        raise Refused(*problems)
    return household_create(practice=practice, coach=coach, new=new, by=by, at=at, may_have_begun=True)
