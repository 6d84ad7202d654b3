"""The next interval by the staircase: what changed since the calibration before, and its limit."""

from datetime import date
from decimal import Decimal

from records.domain.practice.calibration_due import NextInterval, next_interval
from records.domain.practice.facts_of_scales import Point
from tests.domain.practice.sample import calibration, scale

DAY = date(2026, 3, 2)


def points(error: str) -> tuple[Point, ...]:
    return tuple(
        Point(Decimal(load), Decimal(e), Decimal("0.04"), Decimal(2))
        for load, e in ((0, "0"), (1000, error), (2000, error))
    )


def advised(found: str, left_before: str = "0") -> NextInterval | None:
    old = calibration(1, date(2025, 1, 15), as_left=points(left_before))
    new = calibration(2, as_found=points(found))
    return next_interval(scale(calibrations=(old, new)), DAY)


def test_well_inside_it_may_be_longer() -> None:
    # limit: √(0.04² + 0.04²) = 0.0566 g; 0.03 is 53 % of it
    advice = advised("0.03")
    assert advice is not None
    assert (advice.current_months, advice.months, advice.step) == (12, 18, "longer")
    assert "53 % of its limit" in advice.text


def test_inside_but_not_well_it_stays_and_outside_it_shortens() -> None:
    stays, shortens = advised("0.05"), advised("0.10")
    assert stays is not None and (stays.months, stays.step) == (12, "same")
    assert shortens is not None and (shortens.months, shortens.step) == (9, "shorter")


def test_an_error_that_did_not_change_is_no_drift() -> None:
    advice = advised("0.30", left_before="0.30")
    assert advice is not None and advice.step == "longer"


def test_with_one_calibration_or_nothing_found_nothing_is_advised() -> None:
    assert next_interval(scale(), DAY) is None
    old, new = calibration(1, date(2025, 1, 15)), calibration(2, as_found=())
    assert next_interval(scale(calibrations=(old, new)), DAY) is None
