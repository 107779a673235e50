"""The measures of an eater: the ones that count, and all that were ever written down."""

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


def latest_measures(eater: Eater) -> Measures | None:
    """The measures of the latest day; of one day those written down last."""
    row = MeasuresRow.objects.filter(eater=eater).order_by("-measured_on", "-recorded_at", "-pk").first()
    return None if row is None else measures_of(row)


def measures_history(eater: Eater) -> list[tuple[MeasuresRow, Measures]]:
    """Everything written down of an eater, the latest day first."""
    rows = MeasuresRow.objects.filter(eater=eater).select_related("recorded_by")
    return [(row, measures_of(row)) for row in rows.order_by("-measured_on", "-recorded_at", "-pk")]
