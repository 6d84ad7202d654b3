"""A check weight found out: which checks it had let pass, and what they say of their scales then.

A weight that is heavier than it was taken for makes a scale that reads low look right. Each passed
check that it took part in is judged again with its mass as found; one that would have failed is
overturned, and its scale found out by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from records.domain.practice.facts_of_scales import CheckFacts, Point, ScaleFacts
from records.domain.practice.recall_window import FoundOut, found_out, points_of_check
from records.domain.practice.scale_model import calibration_at
from records.domain.practice.shop_day import shop_day


@dataclass(frozen=True, slots=True)
class Overturned:
    """A scale that a wrong weight had let pass: the newest such check, all of them, the window."""

    check: int
    checks: tuple[int, ...]
    window: FoundOut


def overturned_by(
    scale: ScaleFacts, weight: str, heavier_g: Decimal, now: datetime, timezone: str
) -> Overturned | None:
    """Judge a scale's passed checks again with a weight so much heavier than it was taken for.

    None where every one still passes. The scale is in doubt since its last good evidence, until the
    next passed check after them that still passes, else until now.
    """
    passed = [check for check in scale.checks if check.passed]
    again = {check.id: _corrected(check, weight, heavier_g) for check in passed}
    bad = [check for check in passed if not again[check.id].passed]
    if not bad:
        return None
    newest = max(bad, key=lambda check: (check.measured_at, check.id))
    good = [again[c.id] for c in passed if again[c.id].passed]
    later = (c.measured_at for c in good if c.measured_at > newest.measured_at)
    window = found_out(
        replace(scale, checks=tuple(good)),
        points=_points(scale, again[newest.id], timezone),
        until=min(later, default=now),
        timezone=timezone,
    )
    return Overturned(newest.id, tuple(check.id for check in bad), window)


def _corrected(check: CheckFacts, weight: str, heavier_g: Decimal) -> CheckFacts:
    """Give a check as it is with the weight's mass as found: what it was off by falls by that."""
    loads = tuple(
        replace(
            load,  # at its load as taken for: so little further the error is the same
            error_g=load.error_g - heavier_g,
            passed=abs(load.error_g - heavier_g) <= load.limit_g,
        )
        if weight in load.weights
        else load
        for load in check.loads
    )
    return replace(check, loads=loads, passed=all(load.passed for load in loads))


def _points(scale: ScaleFacts, check: CheckFacts, timezone: str) -> Sequence[Point]:
    in_force = calibration_at(scale, shop_day(check.measured_at, timezone))
    return points_of_check(check.loads, in_force)
