"""What a scale's page tells beyond its rows: events, files, advice for checks, charts, interval."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import ROUND_CEILING, Decimal

from records.domain.errors import BadValue
from records.domain.measure.net_mass import minimum_net_mass
from records.domain.practice.check_advice import CheckAdvice, advise_check, not_near
from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_model import scale_model
from records.domain.practice.shop_day import shop_day
from records.models import CalibrationFile, ScaleEvent, Weighing
from records.queries.check_weights import weights_at_hand
from records.queries.viewer import not_found

LATELY = timedelta(days=30)
A_DAY = timedelta(hours=36)  # longer than any day of the shop
A_TENTH = 0.1


@dataclass(frozen=True, slots=True)
class EventRow:
    """Something that happened to a scale; `check` is the failed one that a cause explains."""

    id: int
    kind: str
    happened_at: datetime
    reason: str
    check: int | None
    recorded_at: datetime
    recorded_by: str


@dataclass(frozen=True, slots=True)
class FileRow:
    """A file at a calibration, without its bytes."""

    id: int
    calibration: int
    name: str
    media_type: str
    size_bytes: int
    sha256: str
    recorded_at: datetime
    recorded_by: str


@dataclass(frozen=True, slots=True)
class FileHeld:
    """A file with its bytes."""

    name: str
    media_type: str
    content: bytes


def events_of(scale: str) -> tuple[EventRow, ...]:
    """Return what happened to a scale, newest first."""
    rows = ScaleEvent.objects.filter(scale=scale).order_by("-happened_at", "-id")
    return tuple(
        EventRow(
            row.pk,
            row.kind,
            row.happened_at,
            row.reason,
            row.scale_check_id,
            row.recorded_at,
            row.recorded_by_id,
        )
        for row in rows
    )


def files_of(scale: str) -> tuple[FileRow, ...]:
    """Return the files at a scale's calibrations, oldest first."""
    rows = CalibrationFile.objects.filter(calibration__scale=scale).defer("content").order_by("id")
    return tuple(
        FileRow(
            row.pk,
            row.calibration_id,
            row.name,
            row.media_type,
            row.size_bytes,
            row.sha256,
            row.recorded_at,
            row.recorded_by_id,
        )
        for row in rows
    )


def calibration_file(scale: str, file: int) -> FileHeld:
    """Return a file as it was attached.

    Errors: NotFound for one that isn't there, or is another scale's.
    """
    row = CalibrationFile.objects.filter(calibration__scale=scale, pk=file).first()
    if row is None:
        raise not_found("file", str(file))
    return FileHeld(row.name, row.media_type, bytes(row.content))


def check_advice(scale: ScaleFacts, now: datetime, timezone: str) -> CheckAdvice | None:
    """Advise how to check a scale for what is weighed on it, None where it was never calibrated."""
    day = shop_day(now, timezone)
    weights = list(weights_at_hand(day).values())
    try:
        return advise_check(scale, weights, _masses(scale.number, now), day, timezone)
    except BadValue:
        return None


def advice_of_today(scale: ScaleFacts, now: datetime, timezone: str) -> tuple[str, ...]:
    """Advise where what was weighed on a scale today lay far from today's checks."""
    day = shop_day(now, timezone)
    lately = Weighing.objects.filter(scale=scale.number, measured_at__gt=now - A_DAY)
    masses = {
        mean_g
        for measured_at, mean_g in lately.values_list("measured_at", "mean_g")
        if shop_day(measured_at, timezone) == day
    }
    return not_near(scale, sorted(masses), day, timezone)


def smallest_cut_g(scale: ScaleFacts, now: datetime, timezone: str) -> float | None:
    """Give the net mass below which 2 s of two readings is more than a tenth of it."""
    try:
        model = scale_model(scale, {"g"}, shop_day(now, timezone), timezone, with_drift=False)
    except BadValue:
        return None
    return minimum_net_mass(model.s_at(0.0), model.d_g, A_TENTH)


def _masses(scale: str, now: datetime) -> list[Decimal]:
    """Return what was weighed on a scale lately, else on any, to the gram upward."""
    lately = Weighing.objects.filter(measured_at__gt=now - LATELY, scale__isnull=False)
    here = lately.filter(scale=scale)
    found = (here if here.exists() else lately).values_list("mean_g", flat=True)
    return sorted({mass.to_integral_value(ROUND_CEILING) for mass in found.distinct()})
