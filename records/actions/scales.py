"""Scales and check weights: booked, calibrated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import models

from records import ledger
from records.actions.calibration_checks import (
    check_days,
    check_given_points,
    check_made_before,
    check_scatter,
)
from records.actions.clock import SYSTEM, Clock
from records.actions.deed import deed, today
from records.actions.figure import figure
from records.actions.lookup import found, new_number, optional_text, refuse_taken, text
from records.domain.errors import BadValue, Code, Conflict
from records.domain.measure import check_weights
from records.domain.measure.units import to_grams, unit_named
from records.domain.practice.facts_of_scales import Point
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
    made_on: date | None = None,
    clock: Clock = SYSTEM,
) -> Scale:
    """Book a scale with its capacity and its step per unit; one of them is in grams.

    `made_on`, where it is known, guards against another scale's certificate.
    """
    new_number(number, "number", 20)
    figure(capacity_g, "capacity_g", above=0)
    _check_steps(steps, capacity_g)
    stream = ledger.scale_stream(number)
    with deed(by=by, name="keep scales", streams=[stream], clock=clock) as act:
        refuse_taken(Scale, number, "number")
        _check_made(made_on, today(act.at))
        scale = Scale.objects.create(
            number=number,
            capacity_g=capacity_g,
            note=optional_text(note, "note", 400),
            made_on=made_on,
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
        _check_days(row, calibrated_on, due_on, today(act.at))
        _check_points(row, as_left, as_found)
        _check_scatter(row, repeatability, repeatability_nu, eccentricity)
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


def _check_days(scale: Scale, calibrated_on: date, due_on: date, now: date) -> None:
    check_days(calibrated_on, due_on, now)
    check_made_before(scale, calibrated_on)


def _check_scatter(
    scale: Scale,
    repeatability: Sequence[Repeatability],
    nu: int | None,
    eccentricity: tuple[Decimal, Decimal] | None,
) -> None:
    check_scatter(scale, [(one.load_g, one.s_g) for one in repeatability], nu, eccentricity)


def _check_points(
    scale: Scale, as_left: Sequence[PointGiven], as_found: Sequence[PointGiven]
) -> None:
    check_given_points(scale, [_fact(point) for point in as_left], "as_left")
    if as_found:
        check_given_points(scale, [_fact(point) for point in as_found], "as_found")


def _fact(point: PointGiven) -> Point:
    return Point(point.load_g, point.error_g, point.U_g, point.k)


def _check_made(made_on: date | None, now: date) -> None:
    if made_on is not None and made_on > now:
        raise BadValue(
            Code.IN_THE_FUTURE,
            f"made on {made_on}, which lies ahead of {now}",
            field="made_on",
            expected=f"{now} or before",
            got=str(made_on),
        )


def _eccentricity(given: tuple[Decimal, Decimal] | None) -> dict[str, Decimal | None]:
    load_g, diff_g = given or (None, None)
    return {"eccentricity_load_g": load_g, "eccentricity_diff_g": diff_g}


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
