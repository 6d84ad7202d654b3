"""When a scale is due, and by the staircase how long its next interval might be: advice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from records.domain.measure.interval import STAIR_MONTHS, Found, IntervalAdvice, advise_interval
from records.domain.practice.facts_of_scales import CalibrationFacts, Point, ScaleFacts
from records.domain.practice.scale_model import calibration_at, error_g

DAYS_A_MONTH = Decimal("30.44")


@dataclass(frozen=True, slots=True)
class NextInterval:
    """The interval in force, the one that the staircase advises, and why; never a promise."""

    current_months: int
    months: int
    step: str
    text: str


def next_interval(scale: ScaleFacts, day: date) -> NextInterval | None:
    """Advise the interval after the newest calibration, None where it can't be told.

    What counts is the change from as left of the calibration before to as found of this one, since
    errors themselves are corrected for. Its limit is the U of both by root of squares.
    """
    now = calibration_at(scale, day)
    made = [c for c in scale.calibrations if now and c.id != now.id and c.calibrated_on <= day]
    before = max(made, key=lambda c: (c.calibrated_on, c.id), default=None)
    if now is None or before is None or not before.as_left or not now.as_found:
        return None
    current = _months(before)
    found = [_change(before, point) for point in now.as_found if point.load_g > 0]
    return _told(advise_interval(current, found), current) if found else None


def _change(before: CalibrationFacts, point: Point) -> Found:
    change_g = float(point.error_g - error_g(before, point.load_g))
    nearest = min(before.as_left, key=lambda p: abs(p.load_g - point.load_g))
    limit_g = (point.U_g**2 + nearest.U_g**2).sqrt()
    return Found(change_g, float(limit_g))


def _months(calibration: CalibrationFacts) -> int:
    days = (calibration.due_on - calibration.calibrated_on).days
    months = int((days / DAYS_A_MONTH).to_integral_value())
    return min(max(months, STAIR_MONTHS[0]), STAIR_MONTHS[-1])


def _told(advice: IntervalAdvice, current: int) -> NextInterval:
    why = advice.why.replace("error as found", "change since the calibration before")
    text = f"the interval was {current} months, the staircase says {advice.months}: {why}"
    return NextInterval(current, advice.months, str(advice.step), text)
