"""What of a gauge study is read and what is left; readings corrected away are left out."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet

from records.domain.measure.gauge_rows import GaugeRow
from records.models import GaugeReading, GaugeStudy, GaugeTurn


def standing_readings(study: GaugeStudy) -> QuerySet[GaugeReading]:
    """Return the readings of a study that stand, in the planned order."""
    standing = GaugeReading.objects.filter(turn__study=study, correction__isnull=True)
    return standing.select_related("turn").order_by("turn__order")


def turns_left(study: GaugeStudy) -> list[GaugeTurn]:
    """Return the turns that wait for a reading, the next first."""
    return list(_left(study))


def next_turn(study: GaugeStudy) -> GaugeTurn | None:
    """Return the turn to be read next, None when all are."""
    return _left(study).first()


def rows_of(study: GaugeStudy) -> list[GaugeRow]:
    """Return the standing readings as a study is reckoned from."""
    return [
        GaugeRow(row.turn.part, row.turn.person_id, str(row.turn.trial), float(row.grams))
        for row in standing_readings(study)
    ]


def _left(study: GaugeStudy) -> QuerySet[GaugeTurn]:
    read = GaugeReading.objects.filter(turn=OuterRef("pk"), correction__isnull=True)
    return GaugeTurn.objects.filter(~Exists(read), study=study).order_by("order")
