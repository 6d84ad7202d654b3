"""How long until the next calibration: advice by the staircase, never a promise.

ILAC-G24:2022 / OIML D 10:2022, 6.2, method 1: what a calibration finds as left by use lengthens
the next interval where it lies well inside its limits, shortens it where it lies outside. The 80 %
is from memory; the steps of the stair are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from records.domain.errors import BadValue, Code

STAIR_MONTHS = (1, 2, 3, 6, 9, 12, 18, 24)
WELL_INSIDE = 0.8


class Step(StrEnum):
    """Which way the stair goes."""

    LONGER = "longer"
    SAME = "same"
    SHORTER = "shorter"


@dataclass(frozen=True, slots=True)
class Found:
    """An error as found at one load, and the limit it should have kept."""

    error_g: float
    limit_g: float


@dataclass(frozen=True, slots=True)
class IntervalAdvice:
    """The interval advised, which way that is, and why in a sentence."""

    months: int
    step: Step
    worst_share: float
    why: str


def advise_interval(current_months: int, found: Sequence[Found]) -> IntervalAdvice:
    """Return the next interval from the errors as found, one step of the stair at most.

    Raise BadValue without errors as found (errors as left say nothing of the time between).
    """
    if not STAIR_MONTHS[0] <= current_months <= STAIR_MONTHS[-1]:
        raise _bad(
            "current_months", f"{STAIR_MONTHS[0]} to {STAIR_MONTHS[-1]}", str(current_months)
        )
    worst = _worst_share(found)
    share = f"the largest error as found is {100 * worst:.0f} % of its limit"
    if worst > 1:
        months = max((m for m in STAIR_MONTHS if m < current_months), default=STAIR_MONTHS[0])
        return _advice(months, current_months, worst, f"{share}: outside, so look sooner")
    if worst <= WELL_INSIDE:
        months = min((m for m in STAIR_MONTHS if m > current_months), default=STAIR_MONTHS[-1])
        return _advice(months, current_months, worst, f"{share}: well inside, so it may be longer")
    return _advice(current_months, current_months, worst, f"{share}: inside, but not well")


def _advice(months: int, current: int, worst: float, why: str) -> IntervalAdvice:
    if months == current:
        return IntervalAdvice(months, Step.SAME, worst, why)
    return IntervalAdvice(months, Step.LONGER if months > current else Step.SHORTER, worst, why)


def _worst_share(found: Sequence[Found]) -> float:
    if not found:
        raise _bad("as_found", "at least one error as found", "none")
    for i, point in enumerate(found):
        if not math.isfinite(point.error_g):
            raise _bad(f"as_found/{i}/error_g", "a finite number", str(point.error_g))
        if not (math.isfinite(point.limit_g) and point.limit_g > 0):
            raise _bad(f"as_found/{i}/limit_g", "more than 0", f"{point.limit_g:g}")
    return max(abs(point.error_g) / point.limit_g for point in found)


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
