"""Scales and check weights: booked, calibrated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed
from records.actions.lookup import found, refuse_taken, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.measure import check_weights
from records.domain.measure.scale import CertificatePoint, check_certificate
from records.domain.measure.units import to_grams
from records.models import (
    Calibration,
    CalibrationPoint,
    CalibrationRepeatability,
    CheckWeight,
    Scale,
    ScaleStep,
)


@dataclass(frozen=True, slots=True)
class Step:
    """The step that a scale shows in a unit, up to a load (None: its whole range)."""

    unit: str
    step: Decimal
    up_to_g: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PointGiven:
    """A line of a calibration certificate."""

    load_g: Decimal
    error_g: Decimal
    U_g: Decimal
    k: Decimal = Decimal(2)


@dataclass(frozen=True, slots=True)
class Repeatability:
    """The standard deviation of repeated readings at a load."""

    load_g: Decimal
    s_g: Decimal


def book_scale(
    *,
    by: str,
    number: str,
    capacity_g: Decimal,
    steps: Sequence[Step],
    note: str = "",
    clock: Clock = SYSTEM,
) -> Scale:
    """Book a scale with its capacity and its step per unit; one of them is in grams."""
    _above_zero("capacity_g", capacity_g)
    if not any(step.unit == "g" for step in steps):
        raise BadValue(
            Code.MISSING, "expected the step in grams among the steps", field="steps", expected="g"
        )
    stream = ledger.scale_stream(number)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        refuse_taken(Scale, number, "number")
        scale = Scale.objects.create(
            number=text(number, "number", 20), capacity_g=capacity_g, note=note, **act.stamp
        )
        rows = [_step(scale, step) for step in steps]
        act.enter(stream, "scale booked", [scale, *rows])
        return scale


def record_calibration(
    *,
    by: str,
    scale: str,
    certificate_number: str,
    calibrated_on: date,
    due_on: date,
    as_left: Sequence[PointGiven],
    repeatability: Sequence[Repeatability],
    as_found: Sequence[PointGiven] = (),
    repeatability_nu: int | None = None,
    eccentricity: tuple[Decimal, Decimal] | None = None,
    laboratory: str = "",
    adjusted: bool = False,
    clock: Clock = SYSTEM,
) -> Calibration:
    """Record a calibration certificate; without `as_found` the scale was not adjusted.

    Masses in g. Errors: BadValue at the point concerned; Conflict for a certificate on record.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        row = found(Scale, scale, "scale")
        _check_certificate(row, calibrated_on, due_on, as_left, as_found, act.at.date())
        _refuse_doubled(row, certificate_number)
        load, diff = eccentricity or (None, None)
        calibration = Calibration.objects.create(
            scale=row,
            certificate_number=text(certificate_number, "certificate_number", 80),
            calibrated_on=calibrated_on,
            due_on=due_on,
            laboratory=laboratory,
            adjusted=adjusted,
            repeatability_nu=repeatability_nu,
            eccentricity_load_g=load,
            eccentricity_diff_g=diff,
            **act.stamp,
        )
        points = _points(calibration, as_left, as_found or as_left, repeatability)
        act.enter(stream, "calibration recorded", [calibration, *points])
        return calibration


def book_check_weight(
    *, by: str, number: str, nominal_g: Decimal, accuracy_class: str, clock: Clock = SYSTEM
) -> CheckWeight:
    """Book a check weight by its nominal mass and class (OIML R 111-1)."""
    check_weights.permitted_error(nominal_g, accuracy_class)
    with deed(by=by, name="keep scales", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        refuse_taken(CheckWeight, number, "number")
        row = CheckWeight.objects.create(
            number=text(number, "number", 20),
            nominal_g=nominal_g,
            accuracy_class=accuracy_class,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "check weight booked", [row])
        return row


def _step(scale: Scale, step: Step) -> ScaleStep:
    _above_zero("steps", step.step)
    return ScaleStep.objects.create(
        scale=scale,
        unit=step.unit,
        step=step.step,
        step_g=to_grams(step.step, step.unit, "steps"),
        up_to_g=step.up_to_g,
    )


def _points(
    calibration: Calibration,
    as_left: Sequence[PointGiven],
    as_found: Sequence[PointGiven],
    repeatability: Sequence[Repeatability],
) -> list[models.Model]:
    rows: list[models.Model] = []
    for state, points in (("as found", as_found), ("as left", as_left)):
        rows += [
            CalibrationPoint.objects.create(
                calibration=calibration,
                state=state,
                load_g=point.load_g,
                error_g=point.error_g,
                U_g=point.U_g,
                k=point.k,
            )
            for point in points
        ]
    rows += [
        CalibrationRepeatability.objects.create(
            calibration=calibration, load_g=entry.load_g, s_g=entry.s_g
        )
        for entry in repeatability
    ]
    return rows


def _check_certificate(
    scale: Scale,
    calibrated_on: date,
    due_on: date,
    as_left: Sequence[PointGiven],
    as_found: Sequence[PointGiven],
    today: date,
) -> None:
    if calibrated_on > today:
        raise BadValue(
            Code.IN_THE_FUTURE,
            f"calibrated on {calibrated_on}, which lies ahead of {today}",
            field="calibrated_on",
            expected=f"{today} or before",
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
    if not as_left:
        raise BadValue(Code.MISSING, "expected certificate points, got none", field="as_left")
    for points in (as_left, as_found):
        check_certificate(tuple(_as_model(point) for point in points))
        if any(point.load_g > scale.capacity_g for point in points):
            raise BadValue(
                Code.OUT_OF_RANGE,
                f"a point lies above the capacity of {scale.capacity_g.normalize():f} g",
                field="as_left",
                expected=f"at most {scale.capacity_g.normalize():f} g",
            )


def _as_model(point: PointGiven) -> CertificatePoint:
    return CertificatePoint(
        float(point.load_g), float(point.error_g), float(point.U_g), float(point.k)
    )


def _refuse_doubled(scale: Scale, certificate_number: str) -> None:
    if Calibration.objects.filter(scale=scale, certificate_number=certificate_number).exists():
        raise Conflict(
            Code.ALREADY_THERE,
            f"certificate {certificate_number} of {scale.number} is on record already",
            field="certificate_number",
            got=certificate_number,
        )


def _above_zero(field: str, value: Decimal) -> None:
    if not value.is_finite() or value <= 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected more than 0 g, got {value}",
            field=field,
            expected="more than 0 g",
            got=str(value),
        )
