"""The measures of an eater: the ones that count, and all that were ever written down."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import OuterRef, Subquery

from clients.domain.body_measures import Measures
from clients.models import Eater
from clients.models import Measures as MeasuresRow
from plans.domain.body import Activity, Feeding


def measures_of(row: MeasuresRow) -> Measures:
    """Stored measures as the reference equations understand them."""
    return Measures(
        measured_on=row.measured_on,
        weight_kg=row.weight_kg,
        height_cm=row.height_cm,
        activity=Activity(row.activity) if row.activity else None,
        pregnancy_week=row.pregnancy_week,
        weight_before_kg=row.weight_before_kg,
        feeding=Feeding(row.feeding) if row.feeding else None,
    )


LATEST = ("-measured_on", "-recorded_at", "-pk")


def latest_measures_of(eaters: Iterable[Eater]) -> dict[UUID, Measures]:
    """The measures that count of each eater that has any, in one query."""
    latest = MeasuresRow.objects.filter(eater=OuterRef("eater")).order_by(*LATEST).values("pk")[:1]
    rows = MeasuresRow.objects.filter(eater__in=list(eaters), pk=Subquery(latest))
    return {row.eater_id: measures_of(row) for row in rows}


def latest_measures(eater: Eater) -> Measures | None:
    """The measures of the latest day; of one day those written down last."""
    row = MeasuresRow.objects.filter(eater=eater).order_by(*LATEST).first()
    return None if row is None else measures_of(row)


def measures_history(eater: Eater) -> list[tuple[MeasuresRow, Measures]]:
    """Everything written down of an eater, the latest day first."""
    rows = MeasuresRow.objects.filter(eater=eater).select_related("recorded_by")
    return [(row, measures_of(row)) for row in rows.order_by(*LATEST)]
