"""What can't be on a certificate, said at its field before anything is written."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from records.actions.figure import counted, figure
from records.domain.errors import BadValue, Code
from records.domain.practice.certificate_points import check_points
from records.domain.practice.facts_of_scales import Point
from records.models import Scale


def check_days(calibrated_on: date, due_on: date, now: date) -> None:
    """Refuse a calibration ahead of today, or due before it was made (BadValue)."""
    if calibrated_on > now:
        raise BadValue(
            Code.IN_THE_FUTURE,
            f"calibrated on {calibrated_on}, which lies ahead of {now}",
            field="calibrated_on",
            expected=f"{now} or before",
            got=str(calibrated_on),
        )
    if due_on <= calibrated_on:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a due date after {calibrated_on}, got {due_on}",
            field="due_on",
            expected=f"after {calibrated_on}",
            got=str(due_on),
        )


def check_made_before(scale: Scale, calibrated_on: date) -> None:
    """Refuse a calibration of a scale that wasn't made yet (BadValue)."""
    if scale.made_on is not None and calibrated_on < scale.made_on:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"calibrated on {calibrated_on}, but scale {scale.number} was made on {scale.made_on}; "
            "is it another scale's certificate?",
            field="calibrated_on",
            expected=f"{scale.made_on} or later",
            got=str(calibrated_on),
        )


def check_given_points(scale: Scale, points: Sequence[Point], name: str) -> None:
    """Refuse points that no row keeps or that this scale can't have (BadValue at the point)."""
    if not points:
        raise BadValue(Code.MISSING, "expected certificate points, got none", field=name)
    for index, point in enumerate(points):
        field = f"{name}/{index}"
        figure(point.load_g, f"{field}/load_g")
        figure(point.error_g, f"{field}/error_g")
        figure(point.U_g, f"{field}/U_g")
        figure(point.k, f"{field}/k", most=1000, places=3, unit="")
    finest_g = min(step.step_g for step in scale.steps.all())
    check_points(points, name, capacity_g=scale.capacity_g, finest_g=finest_g)


def check_scatter(
    scale: Scale,
    repeatability: Sequence[tuple[Decimal, Decimal]],
    nu: int | None,
    eccentricity: tuple[Decimal, Decimal] | None,
) -> None:
    """Refuse a certificate whose scatter, (load_g, s_g) each, can't be reckoned with (BadValue)."""
    if not repeatability:
        wanted = "expected s at one load or more, got none; enter it from the certificate"
        raise BadValue(Code.MISSING, wanted, field="repeatability")
    most = scale.capacity_g
    for index, (load_g, s_g) in enumerate(repeatability):
        figure(load_g, f"repeatability/{index}/load_g", least=0, most=most)
        figure(s_g, f"repeatability/{index}/s_g", least=0, most=most / 100)
    if len({load_g for load_g, _ in repeatability}) < len(repeatability):
        raise BadValue(Code.BAD_VALUE, "expected each load once", field="repeatability")
    if nu is not None:
        counted(nu, "repeatability_nu", most=1000)
    if eccentricity is not None:
        figure(eccentricity[0], "eccentricity/load_g", above=0, most=most)
        figure(eccentricity[1], "eccentricity/max_diff_g", least=0, most=most / 100)
