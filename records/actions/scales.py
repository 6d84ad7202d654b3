"""Scales and check weights: booked, calibrated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed, today
from records.actions.figure import counted, figure
from records.actions.lookup import found, new_number, optional_text, refuse_taken, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.measure import check_weights
from records.domain.measure.scale import CertificatePoint, check_certificate
from records.domain.measure.units import to_grams, unit_named
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
    new_number(number, "number", 20)
    figure(capacity_g, "capacity_g", above=0)
    _check_steps(steps, capacity_g)
    stream = ledger.scale_stream(number)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        refuse_taken(Scale, number, "number")
        scale = Scale.objects.create(
            number=number,
            capacity_g=capacity_g,
            note=optional_text(note, "note", 400),
            **act.stamp,
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
    """Record a calibration certificate; of a scale not adjusted, `as_left` speaks for both.

    Masses in g. Errors: BadValue at the point concerned; Conflict for a certificate on record.
    """
    stream = ledger.scale_stream(scale)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        row = found(Scale, scale, "scale")
        _check_days(calibrated_on, due_on, today(act.at))
        _check_points(row, as_left, as_found)
        _check_scatter(repeatability, repeatability_nu, eccentricity)
        calibration = Calibration.objects.create(
            scale=row,
            certificate_number=_new_certificate(row, certificate_number),
            calibrated_on=calibrated_on,
            due_on=due_on,
            laboratory=optional_text(laboratory, "laboratory", 200),
            adjusted=adjusted,
            repeatability_nu=repeatability_nu,
            **_eccentricity(eccentricity),
            **act.stamp,
        )
        rows = _points(calibration, as_left, as_found, repeatability)
        act.enter(stream, "calibration recorded", [calibration, *rows])
        return calibration


def book_check_weight(
    *, by: str, number: str, nominal_g: Decimal, accuracy_class: str, clock: Clock = SYSTEM
) -> CheckWeight:
    """Book a check weight by its nominal mass and class (OIML R 111-1)."""
    new_number(number, "number", 20)
    figure(nominal_g, "nominal_g", above=0)
    check_weights.permitted_error(nominal_g, accuracy_class)
    with deed(by=by, name="keep scales", streams=[ledger.SHOP_STREAM], clock=clock) as act:
        refuse_taken(CheckWeight, number, "number")
        row = CheckWeight.objects.create(
            number=number,
            nominal_g=nominal_g,
            accuracy_class=accuracy_class,
            **act.stamp,
        )
        act.enter(ledger.SHOP_STREAM, "check weight booked", [row])
        return row


def _step(scale: Scale, step: Step) -> ScaleStep:
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
    # of an adjusted scale nobody knows what it showed before, unless the certificate says so
    before = as_found or (() if calibration.adjusted else as_left)
    rows: list[models.Model] = []
    for state, points in (("as found", before), ("as left", as_left)):
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


def _check_steps(steps: Sequence[Step], capacity_g: Decimal) -> None:
    """Refuse steps without one in grams, two for one unit and range, or one that can't be kept."""
    seen = set()
    for index, step in enumerate(steps):
        field = f"steps/{index}"
        figure(step.step, f"{field}/step", above=0)
        figure(to_grams(step.step, step.unit, f"{field}/unit"), f"{field}/step", most=capacity_g)
        if step.up_to_g is not None:
            figure(step.up_to_g, f"{field}/up_to_g", above=0, most=capacity_g)
        key = (unit_named(step.unit).name, step.up_to_g)
        if key in seen:
            raise BadValue(
                Code.BAD_VALUE, f"expected one step for {step.unit} and range, got two", field=field
            )
        seen.add(key)
    if not any(unit == "g" for unit, _ in seen):
        raise BadValue(
            Code.MISSING, "expected the step in grams among the steps", field="steps", expected="g"
        )


def _check_days(calibrated_on: date, due_on: date, now: date) -> None:
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


def _check_points(
    scale: Scale, as_left: Sequence[PointGiven], as_found: Sequence[PointGiven]
) -> None:
    if not as_left:
        raise BadValue(Code.MISSING, "expected certificate points, got none", field="as_left")
    for name, points in (("as_left", as_left), ("as_found", as_found)):
        for index, point in enumerate(points):
            field = f"{name}/{index}"
            figure(point.load_g, f"{field}/load_g", least=0, most=scale.capacity_g)
            figure(point.error_g, f"{field}/error_g", most=scale.capacity_g)
            figure(point.U_g, f"{field}/U_g", above=0, most=scale.capacity_g)
            figure(point.k, f"{field}/k", above=0, most=10, places=3, unit="")
        check_certificate(tuple(_as_model(point) for point in points))


def _eccentricity(given: tuple[Decimal, Decimal] | None) -> dict[str, Decimal | None]:
    load_g, diff_g = given or (None, None)
    return {"eccentricity_load_g": load_g, "eccentricity_diff_g": diff_g}


def _check_scatter(
    repeatability: Sequence[Repeatability],
    nu: int | None,
    eccentricity: tuple[Decimal, Decimal] | None,
) -> None:
    """Refuse a certificate whose scatter can't be reckoned with."""
    if not repeatability:
        wanted = "expected s at one load or more, got none; enter it from the certificate"
        raise BadValue(Code.MISSING, wanted, field="repeatability")
    loads = [row.load_g for row in repeatability]
    for index, row in enumerate(repeatability):
        figure(row.load_g, f"repeatability/{index}/load_g", least=0)
        figure(row.s_g, f"repeatability/{index}/s_g", least=0)
    if len(set(loads)) < len(loads):
        raise BadValue(Code.BAD_VALUE, "expected each load once", field="repeatability")
    if nu is not None:
        counted(nu, "repeatability_nu", most=1000)
    if eccentricity is not None:
        figure(eccentricity[0], "eccentricity/load_g", above=0)
        figure(eccentricity[1], "eccentricity/max_diff_g", least=0)


def _as_model(point: PointGiven) -> CertificatePoint:
    return CertificatePoint(
        float(point.load_g), float(point.error_g), float(point.U_g), float(point.k)
    )


def _new_certificate(scale: Scale, given: str) -> str:
    """Return a certificate's number, unless it is on record for this scale."""
    number = text(given, "certificate_number", 80)
    if Calibration.objects.filter(scale=scale, certificate_number=number).exists():
        raise Conflict(
            Code.ALREADY_THERE,
            f"certificate {number} of {scale.number} is on record already",
            field="certificate_number",
            got=number,
        )
    return number
