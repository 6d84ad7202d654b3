"""What a scale on record means for a sum: its model on a day.

After a calibration the points as left are in force. Drift is the largest change from as left of the
calibration before to as found of this one; with one calibration alone, the limit that the day's
checks were held to. Form of EURAMET cg-18 (4.0).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal

from records.domain.errors import BadValue, Code
from records.domain.measure.scale import CertificatePoint, Eccentricity, Repeatability, Scale
from records.domain.measure.units import unit_named
from records.domain.practice.facts_of_scales import (
    CalibrationFacts,
    CheckFacts,
    Point,
    ScaleFacts,
    StepFacts,
)
from records.domain.practice.shop_day import shop_day


def calibration_at(scale: ScaleFacts, day: date) -> CalibrationFacts | None:
    """Give the newest calibration made on or before a day of the shop, due or not."""
    made = [c for c in scale.calibrations if c.calibrated_on <= day]
    return max(made, key=lambda c: (c.calibrated_on, c.id), default=None)


def step_g(scale: ScaleFacts, units: Collection[str], load_g: Decimal = Decimal(0)) -> Decimal:
    """Give the step that governs readings in these units at a load, in g.

    The larger of the unit's step and the gram step; of mixed units the largest. Raise BadValue
    with the code unknown_unit for a unit that the scale doesn't show.
    """
    steps = [_step_in(scale, unit, load_g) for unit in units]
    gram = _steps_at(scale, "g", load_g)
    return max(step.step_g for step in (*steps, *gram))


def shows(scale: ScaleFacts, unit: str) -> bool:
    """Tell whether a scale shows this unit."""
    name = unit_named(unit).name
    return any(unit_named(step.unit).name == name for step in scale.steps)


def scale_model(
    scale: ScaleFacts,
    units: Collection[str],
    day: date,
    timezone: str,
    *,
    load_g: Decimal = Decimal(0),
    with_drift: bool = True,
) -> Scale:
    """Give the uncertainty model of a scale for readings in these units on a day of the shop.

    Without drift it serves the daily check itself, whose limit would else rest on itself. Raise
    BadValue for a scale that was never calibrated, or a unit that it doesn't show.
    """
    calibration = calibration_at(scale, day)
    if calibration is None:
        raise BadValue(
            Code.MISSING,
            f"scale {scale.number}: expected a calibration on or before {day}, got none; "
            "enter its certificate",
            field="scale",
            expected="a calibration",
            got="none",
        )
    d_g = float(step_g(scale, units, load_g))
    drift_g = drift_half_width_g(scale, day, timezone) if with_drift else Decimal(0)
    return Scale(
        d_g=d_g,
        d0_g=d_g,
        s_g=_repeatability(calibration),
        nu_s=calibration.repeatability_nu,
        drift_g=float(drift_g),
        eccentricity=_eccentricity(calibration),
        certificate=tuple(
            CertificatePoint(float(p.load_g), float(p.error_g), float(p.U_g), float(p.k))
            for p in _as_left(calibration)
        ),
    )


def range_of(scale: ScaleFacts, load_g: Decimal) -> Decimal | None:
    """Give the upper end of the weighing range a load lies in: ranges share no error."""
    step = _steps_at(scale, "g", load_g)
    return step[0].up_to_g if step else None


def error_g(calibration: CalibrationFacts, load_g: Decimal) -> Decimal:
    """Give the exact error at a load as left: linear between points, below the first as there."""
    return _interpolated(_as_left(calibration), load_g)


def error_between(points: Sequence[Point], load_g: Decimal) -> Decimal:
    """Give the exact error at a load by points, loads ascending: as `error_g` does."""
    return _interpolated(points, load_g)


def drift_half_width_g(scale: ScaleFacts, day: date, timezone: str) -> Decimal:
    """Give how far the scale may have drifted by a day, in g: a half width.

    The largest |as found - as left| between the last two calibrations at the loads found, else the
    widest limit of the passed checks of that day (of the last such day before it), else 0.
    """
    now = calibration_at(scale, day)
    made = [c for c in scale.calibrations if now is not None and c.calibrated_on <= day]
    before = [c for c in made if now is not None and c.id != now.id]
    if now is not None and before and now.as_found:
        last = max(before, key=lambda c: (c.calibrated_on, c.id))
        if last.as_left:
            changes = (p.error_g - _interpolated(last.as_left, p.load_g) for p in now.as_found)
            return max(abs(change) for change in changes)
    return _check_limit_g(scale.checks, day, timezone)


def checks_of(scale: ScaleFacts, day: date, timezone: str) -> tuple[CheckFacts, ...]:
    """Give the checks of one day on the shop's calendar."""
    return tuple(c for c in scale.checks if shop_day(c.measured_at, timezone) == day)


def _steps_at(scale: ScaleFacts, unit: str, load_g: Decimal) -> list[StepFacts]:
    """Give the step of the narrowest range that holds the load (the widest, above all)."""
    name = unit_named(unit).name
    steps = [step for step in scale.steps if unit_named(step.unit).name == name]
    holding = [s for s in steps if s.up_to_g is None or load_g <= s.up_to_g]
    narrowest = min(holding, key=_range, default=None)
    if narrowest is not None:
        return [narrowest]
    return [max(steps, key=_range)] if steps else []


def _range(step: StepFacts) -> Decimal:
    return Decimal("Infinity") if step.up_to_g is None else step.up_to_g


def _step_in(scale: ScaleFacts, unit: str, load_g: Decimal) -> StepFacts:
    found = _steps_at(scale, unit, load_g)
    if not found:
        shown = ", ".join(dict.fromkeys(step.unit for step in scale.steps))
        raise BadValue(
            Code.UNKNOWN_UNIT,
            f"scale {scale.number} shows {shown}, got a reading in {unit}; use a unit it shows",
            field="unit",
            expected=shown,
            got=unit,
        )
    return found[0]


def _as_left(calibration: CalibrationFacts) -> tuple[Point, ...]:
    if not calibration.as_left:
        wanted = "its points as left, each with error and U"
        raise _missing(calibration, "as_left", wanted, "enter them from the certificate")
    return calibration.as_left


def _repeatability(calibration: CalibrationFacts) -> tuple[Repeatability, ...]:
    if not calibration.repeatability:
        advice = "enter s from the certificate or a trial of ten readings"
        raise _missing(calibration, "repeatability", "s at one load or more", advice)
    rows = sorted(calibration.repeatability)
    return tuple(Repeatability(float(load), float(s)) for load, s in rows)


def _eccentricity(calibration: CalibrationFacts) -> Eccentricity | None:
    if calibration.eccentricity is None:
        return None
    load, widest = calibration.eccentricity
    return Eccentricity(float(load), float(widest))


def _interpolated(points: Sequence[Point], load_g: Decimal) -> Decimal:
    if not points:
        return Decimal(0)
    below = [p for p in points if p.load_g <= load_g]
    above = [p for p in points if p.load_g > load_g]
    if not below:
        return above[0].error_g
    low = below[-1]
    if not above:
        return low.error_g
    high = above[0]
    share = (load_g - low.load_g) / (high.load_g - low.load_g)
    return low.error_g + share * (high.error_g - low.error_g)


def _missing(calibration: CalibrationFacts, field: str, wanted: str, advice: str) -> BadValue:
    return BadValue(
        Code.MISSING,
        f"calibration {calibration.certificate_number}: expected {wanted}, got none; {advice}",
        field=field,
        expected=wanted,
        got="none",
    )


def _check_limit_g(checks: Sequence[CheckFacts], day: date, timezone: str) -> Decimal:
    passed = [(shop_day(c.measured_at, timezone), c) for c in checks if c.passed]
    last_day = max((on for on, _ in passed if on <= day), default=None)
    limits = (load.limit_g for on, c in passed if on == last_day for load in c.loads)
    return max(limits, default=Decimal(0))
