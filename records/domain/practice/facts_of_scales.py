"""A scale as plain facts: what its certificates and checks say, free of tables."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a calibration: load, error, expanded uncertainty, coverage factor."""

    load_g: Decimal
    error_g: Decimal
    U_g: Decimal
    k: Decimal


@dataclass(frozen=True, slots=True)
class CalibrationFacts:
    """A calibration; `as_left` equals `as_found` where the scale was not adjusted."""

    id: int
    certificate_number: str
    calibrated_on: date
    due_on: date
    as_found: tuple[Point, ...]
    as_left: tuple[Point, ...]
    repeatability: tuple[tuple[Decimal, Decimal], ...]  # (load_g, s_g)
    repeatability_nu: int | None
    eccentricity: tuple[Decimal, Decimal] | None  # (load_g, largest difference_g)
    adjusted: bool = False
    recorded_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CheckLoad:
    load_g: Decimal
    error_g: Decimal
    limit_g: Decimal
    passed: bool
    weights: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckFacts:
    """A scale check: passed if every load lay within its limit."""

    id: int
    measured_at: datetime
    passed: bool
    loads: tuple[CheckLoad, ...]


@dataclass(frozen=True, slots=True)
class StepFacts:
    unit: str
    step: Decimal
    step_g: Decimal
    up_to_g: Decimal | None


@dataclass(frozen=True, slots=True)
class ScaleEventFacts:
    """What happened to a scale, in a word of scale_events; `check` is the one that failed."""

    id: int
    kind: str
    happened_at: datetime
    recorded_at: datetime
    reason: str
    check: int | None = None


@dataclass(frozen=True, slots=True)
class ScaleFacts:
    """A scale with all its calibrations, checks and events, oldest first."""

    number: str
    capacity_g: Decimal
    steps: tuple[StepFacts, ...]
    calibrations: tuple[CalibrationFacts, ...]
    checks: tuple[CheckFacts, ...]
    events: tuple[ScaleEventFacts, ...] = ()
    made_on: date | None = None
