"""Writing down an eater's measures. Nothing is changed or deleted: every record is a row of its own."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from clients.domain.body_measures import Measures
from clients.models import Eater
from clients.models import Measures as MeasuresRow
from clients.selectors.measures import latest_measures
from clients.selectors.people import local_date
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership
from coaching.practice.services import audit
from plans.domain.body import RANGES

MEASURED = ("weight_kg", "height_cm", "pregnancy_week", "weight_before_kg")


@transaction.atomic
def measures_record(*, eater: Eater, measures: Measures, by: Membership, at: datetime) -> MeasuresRow | None:
    """Record measures as they were on a day. The same as the latest change nothing and give None.

    Nothing but a day takes back what is held, so that nobody has to be measured for good. Raises Refused for a day to
    come or before the birth, a measure no person can have, and for nothing at all when nothing is held.
    """
    held = latest_measures(eater)
    problems = _problems(eater, measures, held, local_date(eater.household, at))
    if problems:
        raise Refused(*problems)
    if measures == held:
        return None
    row = MeasuresRow.objects.create(
        eater=eater,
        measured_on=measures.measured_on,
        **{name: getattr(measures, name) for name in MEASURED},
        activity=measures.activity or "",
        feeding=measures.feeding or "",
        recorded_by=by.user,
        recorded_at=at,
    )
    audit(
        practice=eater.household.practice,
        user=by.user,
        action="measures recorded",
        subject=str(eater.pk),
        at=at,
    )
    return row


def _problems(eater: Eater, measures: Measures, held: Measures | None, today: date) -> list[Problem]:
    problems = []
    if measures.measured_on > today:
        problems.append(
            Problem(0, "measured_on", _("This day is still to come."), _("Give the day they were measured."))
        )
    if measures.measured_on < eater.born:
        problems.append(
            Problem(
                0,
                "measured_on",
                _("This is before %(eater)s was born.") % {"eater": eater.name},
                _("Check the year."),
            )
        )
    for name in MEASURED:
        value, (least, most, _unit) = getattr(measures, name), RANGES[name]
        if value is not None and not least <= value <= most:
            problems.append(
                Problem(
                    0,
                    name,
                    _("Nobody can measure that."),
                    _("Check the unit: it must lie between %(least)s and %(most)s.")
                    % {"least": least, "most": most},
                )
            )
    if measures.is_empty and held is None:
        problems.append(Problem(0, "", _("Nothing is filled in."), _("Give at least one measure.")))
    return problems
