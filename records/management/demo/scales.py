"""The demo's scales: two calibrated lately, and the one that the example's bench sheet names."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from records.actions.clock import SetClock
from records.actions.reading import ReadingGiven
from records.actions.scale_checks import Load, record_scale_check
from records.actions.scales import (
    PointGiven,
    Repeatability,
    Step,
    book_check_weight,
    book_scale,
    record_calibration,
)
from records.management.demo.numbers import (
    CHECK_WEIGHTS,
    COARSE,
    FINE,
    INES,
    MARTA,
    SHEET,
    WORN,
)

Points = tuple[tuple[str, str, str], ...]  # load, error, U at k = 2, in g

FINE_POINTS: Points = (
    ("0", "0", "0.006"),
    ("200", "0.00", "0.008"),
    ("500", "-0.01", "0.012"),
    ("1000", "-0.01", "0.015"),
    ("2000", "-0.02", "0.025"),
    ("3200", "-0.03", "0.040"),
)
COARSE_POINTS: Points = (
    ("0", "0", "0.05"),
    ("200", "0.0", "0.06"),
    ("500", "0.0", "0.07"),
    ("1000", "-0.1", "0.08"),
    ("2000", "-0.1", "0.10"),
)
WORN_POINTS: Points = (
    ("0", "0", "0.01"),
    ("200", "0", "0.02"),
    ("500", "0", "0.02"),
    ("1000", "0", "0.03"),
    ("2000", "0", "0.05"),
)
SHEET_POINTS: Points = (
    ("0", "0", "0.02"),
    ("500", "0", "0.03"),
    ("1000", "0", "0.04"),
    ("2000", "0", "0.06"),
)
# The example's sheet was written in these days, so this scale's dates don't move with the demo.
SHEET_CALIBRATED, SHEET_DUE = date(2026, 1, 15), date(2027, 1, 15)
SHEET_CHECKED = tuple(date(2026, 3, day) for day in range(2, 7))


def book_the_scales(clock: SetClock) -> None:
    """Book scales and check weights, with their certificates and the sheet's daily checks."""
    _book(FINE, "3200", [Step("g", Decimal("0.01"))], "rods and sets", clock)
    two_units = [Step("g", Decimal("0.1")), Step("oz", Decimal("0.001"))]
    _book(SHEET, "2000", two_units, "2 kg, shows grams or ounces", clock)
    _book(COARSE, "2000", [Step("g", Decimal("0.1"))], "2 kg, on the bench by the door", clock)
    _book(WORN, "2000", [Step("g", Decimal("0.01"))], "2 kg, at the window", clock)
    for number, nominal in CHECK_WEIGHTS.items():
        book_check_weight(
            by=MARTA,
            number=number,
            nominal_g=Decimal(nominal),
            accuracy_class="M1",
            clock=clock,
        )
    _certificates(clock)
    for day in SHEET_CHECKED:
        _check_for_the_sheet(day, clock)


def _certificates(clock: SetClock) -> None:
    today = clock.now().date()
    lately = ((410, "FL-CAL-088", "FL-CAL-089"), (46, "FL-CAL-117", "FL-CAL-118"))
    for days_ago, fine, coarse in lately:
        day = today - timedelta(days=days_ago)
        due = day + timedelta(days=365)
        _calibrate(clock, (FINE, fine), (day, due), FINE_POINTS, "0.006")
        _calibrate(clock, (COARSE, coarse), (day, due), COARSE_POINTS, "0.04")
    for days_ago, number in ((370, "FL-CAL-091"), (5, "FL-CAL-122")):
        day = today - timedelta(days=days_ago)
        dates = (day, day + timedelta(days=365))
        _calibrate(clock, (WORN, number), dates, WORN_POINTS, "0.006")
    dates = (SHEET_CALIBRATED, SHEET_DUE)
    _calibrate(clock, (SHEET, "FL-CAL-102"), dates, SHEET_POINTS, "0.03")


def _book(number: str, capacity_g: str, steps: list[Step], note: str, clock: SetClock) -> None:
    book_scale(
        by=MARTA,
        number=number,
        capacity_g=Decimal(capacity_g),
        steps=steps,
        note=note,
        clock=clock,
    )


def _calibrate(
    clock: SetClock,
    certificate: tuple[str, str],
    dates: tuple[date, date],
    points: Points,
    s_g: str,
) -> None:
    scale, number = certificate
    record_calibration(
        by=MARTA,
        scale=scale,
        certificate_number=number,
        calibrated_on=dates[0],
        due_on=dates[1],
        laboratory="an invented laboratory",
        as_left=[
            PointGiven(Decimal(load), Decimal(error), Decimal(expanded))
            for load, error, expanded in points
        ],
        repeatability=[Repeatability(Decimal(1000), Decimal(s_g))],
        repeatability_nu=9,
        clock=clock,
    )


def _check_for_the_sheet(day: date, clock: SetClock) -> None:
    shown = {"W-500": "500.0", "W-1000": "1000.0", "W-2000": "2000.0"}
    record_scale_check(
        by=INES,
        scale=SHEET,
        loads=[Load([number], ReadingGiven(figure)) for number, figure in shown.items()],
        measured_at=datetime(day.year, day.month, day.day, 7, 45, tzinfo=UTC),
        clock=clock,
    )
