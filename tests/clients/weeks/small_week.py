"""A planned week of the small book made by hand, for pages that only read one."""

from datetime import date, timedelta
from decimal import Decimal

from clients.models import Household
from clients.models import Week as WeekRow
from clients.services.briefs import brief_for
from plans.domain.brief import Cook, Plate, Week
from plans.domain.brief_json import brief_record, week_record
from plans.domain.vocabulary import Slot
from tests.factories import NOON, TODAY


def keep_week(household: Household, start: date) -> WeekRow:
    """Soup with carrots on the first day, with both roots on the fourth, stock on the eve; one eater."""
    brief = brief_for(household, start, today=TODAY)
    (eater,) = brief.eaters
    dishes = (("stock-pot", -1, "10"), ("carrot-soup", 0, "4"), ("mixed-soup", 3, "2"))
    cooks = tuple(
        Cook(f"{dish} {day}", dish, start + timedelta(days=day), Decimal(portions))
        for dish, day, portions in dishes
    )
    plates = tuple(
        Plate(cook.on, Slot.MIDDAY, eater.key, cook.key, Decimal(1), "fresh", ("onion",))
        for cook in cooks[1:]
    )
    week = Week(start, 7, cooks, plates, {"cooks": 300}, 300.0, 0.0)
    return WeekRow.objects.create(
        household=household,
        start=start,
        state=WeekRow.State.PLANNED,
        brief=brief_record(brief),
        plan=week_record(week),
        asked_at=NOON,
        planned_at=NOON,
    )
