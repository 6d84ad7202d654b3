"""Scales with calibrations and checks, and rod fixtures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from records import ledger
from records.models import (
    Calibration,
    CalibrationPoint,
    CalibrationRepeatability,
    CheckWeight,
    Scale,
    ScaleCheck,
    ScaleCheckLoad,
    ScaleStep,
)
from tests.records.factory.shop import START, a_person, entered, grams, stamp


def a_scale(
    number: str = "S-02",
    *,
    calibrated: bool = True,
    due_on: date = date(2027, 1, 15),
    as_left: Sequence[tuple[str, str]] = (),
) -> Scale:
    """Return a new scale of 2 kg that shows 0.1 g or 0.001 oz, with a calibration.

    `as_left` (load, error) makes the calibration one with an adjustment.
    """
    scale = Scale(number=number, capacity_g=grams("2000"), **stamp())
    steps = [
        ScaleStep(scale=scale, unit="g", step=grams("0.1"), step_g=grams("0.1")),
        ScaleStep(scale=scale, unit="oz", step=grams("0.001"), step_g=grams("0.028349523125")),
    ]
    stream = ledger.scale_stream(number)
    entered(scale, *steps, stream=stream)
    if calibrated:
        a_calibration(scale, due_on=due_on, as_left=as_left)
    return scale


def a_calibration(
    scale: Scale,
    *,
    certificate: str = "K-2601",
    on: date = date(2026, 1, 15),
    due_on: date = date(2027, 1, 15),
    as_left: Sequence[tuple[str, str]] = (),
) -> Calibration:
    """Return a new calibration, by default of a scale without error found."""
    calibration = Calibration(
        scale=scale,
        certificate_number=certificate,
        calibrated_on=on,
        due_on=due_on,
        adjusted=bool(as_left),
        repeatability_nu=9,
        **stamp(),
    )
    found = [("0", "0"), ("500", "0"), ("1000", "0.02"), ("2000", "0.05")]
    points = [
        _point(calibration, state, load, error)
        for state, rows in (("as found", found), ("as left", as_left))
        for load, error in rows
    ]
    spread = CalibrationRepeatability(
        calibration=calibration, load_g=grams("1000"), s_g=grams("0.04")
    )
    entered(calibration, *points, spread, stream=ledger.scale_stream(scale.number))
    return calibration


def _point(calibration: Calibration, state: str, load: str, error: str) -> CalibrationPoint:
    return CalibrationPoint(
        calibration=calibration,
        state=state,
        load_g=grams(load),
        error_g=grams(error),
        U_g=grams("0.05"),
        k=grams("2"),
    )


def a_check_weight(number: str = "W-1000", nominal: str = "1000") -> CheckWeight:
    """Return a new check weight of class M1."""
    weight = CheckWeight(number=number, nominal_g=grams(nominal), accuracy_class="M1", **stamp())
    entered(weight)
    return weight


def checked(scale: Scale, *, at: datetime = START, passed: bool = True) -> ScaleCheck:
    """Return a new check of a scale with 1 kg."""
    check = ScaleCheck(
        scale=scale,
        calibration=scale.calibrations.order_by("-id").first(),
        operator=a_person("P-01"),
        measured_at=at,
        passed=passed,
        **stamp(at),
    )
    error = grams("0.01" if passed else "0.9")
    load = ScaleCheckLoad(
        scale_check=check,
        weights=["W-1000"],
        load_g=grams("1000"),
        text=str(grams("1000") + error),
        unit="g",
        grams=grams("1000") + error,
        error_g=error,
        limit_g=grams("0.16"),
        passed=passed,
    )
    entered(check, load, stream=ledger.scale_stream(scale.number), at=at)
    return check
