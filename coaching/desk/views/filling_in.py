"""Filling in today's check-in, whoever holds the pen."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest

from clients.forms.check_in import CheckInForm
from clients.selectors.people import zone_of
from clients.services.check_ins import answers_of, check_in_record
from clients.views.refusals import show_on
from coaching import clock
from coaching.desk.selectors.portal import check_in_of
from coaching.domain.errors import Refused


@dataclass(frozen=True, slots=True)
class Filling:
    """The form as it stands, for which day, the report it would replace, and the one just recorded, if any."""

    form: CheckInForm
    on: date
    earlier: object | None
    done: object | None = None

    def context(self, eater) -> dict[str, object]:
        """What the page of the form shows."""
        return {"form": self.form, "eater": eater, "on": self.on, "earlier": self.earlier}


def fill_in_today(request: HttpRequest, eater, *, by: str) -> Filling:
    """Show today's form for an eater, with an earlier report of today in it, or record what was sent."""
    today = clock.today_in(zone_of(eater.household))
    earlier = check_in_of(eater, today)
    initial = CheckInForm.initial_from(answers_of(earlier)) if earlier else None
    form = CheckInForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method != "POST" or not form.is_valid():
        return Filling(form, today, earlier)
    try:
        done = check_in_record(
            eater=eater,
            on=today,
            today=today,
            answers=form.answers(),
            by=by,
            user=request.user,
            at=clock.now(),
        )
    except Refused as refused:
        show_on(form, refused.problems)
        return Filling(form, today, earlier)
    return Filling(form, today, earlier, done)
