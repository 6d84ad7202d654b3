"""Scales as facts: steps, every calibration, every check, oldest first."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Max, Prefetch, Q, QuerySet

from records.domain.practice.facts_of_scales import (
    CalibrationFacts,
    CheckFacts,
    CheckLoad,
    Point,
    ScaleEventFacts,
    ScaleFacts,
    StepFacts,
)
from records.models import Calibration, CalibrationPoint, Scale, ScaleCheck, ScaleEvent

# longer than any day of the shop, in any zone
A_DAY = timedelta(hours=36)


def scale_facts(since: datetime | None = None) -> dict[str, ScaleFacts]:
    """Return every scale of the shop by its number, in nine queries at most.

    With a moment, checks that can't matter for what was weighed since are left out: all before the
    day of the last passed one before it, or before the last failed one, which must be answered. A
    scale that is checked daily has thousands.
    """
    checks = ScaleCheck.objects.all() if since is None else _checks_that_matter(since)
    return {scale.number: _scale(scale) for scale in _with_history(Scale.objects.all(), checks)}


def facts_of_scales(numbers: Iterable[str]) -> dict[str, ScaleFacts]:
    """Return the scales of these numbers; unknown ones are left out."""
    wanted = Scale.objects.filter(number__in=list(numbers))
    found = _with_history(wanted, ScaleCheck.objects.all())
    return {scale.number: _scale(scale) for scale in found}


def _checks_that_matter(since: datetime) -> QuerySet[ScaleCheck]:
    start = since - A_DAY
    earlier = ScaleCheck.objects.filter(measured_at__lt=start).order_by()
    newest = list(earlier.values_list("scale", "passed").annotate(last=Max("measured_at")))
    last_good = {scale: last for scale, passed, last in newest if passed}
    last_bad = {scale: last for scale, passed, last in newest if not passed}
    before = Q(pk__in=[])
    for scale, last in last_good.items():
        first = min(last, last_bad.get(scale, last))
        before |= Q(scale=scale, measured_at__gte=first - A_DAY)
    never_passed = ~Q(scale__in=list(last_good))
    return ScaleCheck.objects.filter(Q(measured_at__gte=start) | before | never_passed)


def _with_history(scales: QuerySet[Scale], checks: QuerySet[ScaleCheck]) -> QuerySet[Scale]:
    calibrations = Calibration.objects.order_by("calibrated_on", "id").prefetch_related(
        "points", "repeatability"
    )
    in_order = checks.order_by("measured_at", "id").prefetch_related("loads")
    return scales.order_by("number").prefetch_related(
        "steps",
        Prefetch("calibrations", calibrations),
        Prefetch("checks", in_order),
        Prefetch("events", ScaleEvent.objects.order_by("happened_at", "id")),
    )


def _scale(scale: Scale) -> ScaleFacts:
    steps = sorted(
        scale.steps.all(), key=lambda step: (step.unit, step.up_to_g or scale.capacity_g)
    )
    return ScaleFacts(
        number=scale.number,
        capacity_g=scale.capacity_g,
        steps=tuple(StepFacts(s.unit, s.step, s.step_g, s.up_to_g) for s in steps),
        calibrations=tuple(_calibration(each) for each in scale.calibrations.all()),
        checks=tuple(_check(each) for each in scale.checks.all()),
        events=tuple(_event(each) for each in scale.events.all()),
        made_on=scale.made_on,
    )


def _calibration(calibration: Calibration) -> CalibrationFacts:
    found = _points(calibration, CalibrationPoint.State.AS_FOUND)
    left = _points(calibration, CalibrationPoint.State.AS_LEFT)
    if not calibration.adjusted:
        # an untouched scale leaves as it was found: whichever was written speaks for both
        found, left = found or left, found or left
    return CalibrationFacts(
        id=calibration.pk,
        certificate_number=calibration.certificate_number,
        calibrated_on=calibration.calibrated_on,
        due_on=calibration.due_on,
        as_found=found,
        as_left=left,
        repeatability=tuple(
            sorted((row.load_g, row.s_g) for row in calibration.repeatability.all())
        ),
        repeatability_nu=calibration.repeatability_nu,
        eccentricity=_eccentricity(calibration),
        adjusted=calibration.adjusted,
        recorded_at=calibration.recorded_at,
    )


def _points(calibration: Calibration, state: str) -> tuple[Point, ...]:
    rows = [point for point in calibration.points.all() if point.state == state]
    rows.sort(key=lambda point: point.load_g)
    return tuple(Point(row.load_g, row.error_g, row.U_g, row.k) for row in rows)


def _eccentricity(calibration: Calibration) -> tuple[Decimal, Decimal] | None:
    load_g, diff_g = calibration.eccentricity_load_g, calibration.eccentricity_diff_g
    return None if load_g is None or diff_g is None else (load_g, diff_g)


def _check(check: ScaleCheck) -> CheckFacts:
    loads = sorted(check.loads.all(), key=lambda load: load.pk)
    return CheckFacts(
        id=check.pk,
        measured_at=check.measured_at,
        passed=check.passed,
        loads=tuple(
            CheckLoad(row.load_g, row.error_g, row.limit_g, row.passed, tuple(row.weights))
            for row in loads
        ),
    )


def _event(event: ScaleEvent) -> ScaleEventFacts:
    return ScaleEventFacts(
        id=event.pk,
        kind=event.kind,
        happened_at=event.happened_at,
        recorded_at=event.recorded_at,
        reason=event.reason,
        check=event.scale_check_id,
    )
