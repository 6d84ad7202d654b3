"""The chart of a scale's daily check: a control chart that knows what a step can't show.

A scale that rounds shows the same figure for days, so sigma is never below √(s² + d²/12), and a
point within d/2 of the centre is on neither side. Warnings, runs and the weighted average are
advice: only the limit of the check itself fails one. Plain rules: chart.py. Masses in g.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from records.domain.errors import BadValue, Code
from records.domain.measure.chart import (
    D2_OF_TWO,
    RUN,
    Chart,
    Rule,
    Signal,
    ewma_chart,
    individuals_chart,
)
from records.domain.measure.decision import SLACK

LEAST_RESULTS = 10
MOST_OF_BASELINE = 20  # common practice, no source


@dataclass(frozen=True, slots=True)
class DailyChart:
    """Individuals and their weighted average on one sigma; signals in the order of the points.

    The first `baseline` points gave centre and sigma; `floor_g` is what sigma is never below.
    """

    individuals: Chart
    ewma: Chart
    baseline: int
    floor_g: float
    signals: tuple[Signal, ...]


def daily_chart(
    errors_g: Sequence[float], s_g: float, d_g: float, *, baseline: int = MOST_OF_BASELINE
) -> DailyChart:
    """Return the chart of a load's errors, oldest first, on a scale of scatter s_g and step d_g.

    baseline says how many come first and give centre and sigma, all where there are fewer. Raise
    BadValue below ten results: until then the check is held to its U or MPE alone.
    """
    if len(errors_g) < LEAST_RESULTS:
        raise _bad("errors_g", f"at least {LEAST_RESULTS} results", str(len(errors_g)))
    if not (d_g > 0 and s_g >= 0):
        raise _bad("d_g", "a step above 0 and an s of 0 or more", f"d {d_g:g}, s {s_g:g}")
    baseline = min(len(errors_g), baseline)
    first = errors_g[:baseline]
    floor_g = math.hypot(s_g, d_g / math.sqrt(12))
    moving = fmean(abs(after - before) for before, after in pairwise(first))
    sigma, centre = max(moving / D2_OF_TWO, floor_g), fmean(first)
    individuals = individuals_chart(errors_g, baseline=baseline, centre=centre, sigma=sigma)
    average = ewma_chart(errors_g, baseline=baseline, centre=centre, sigma=sigma)
    limits = [signal for signal in individuals.signals if signal.rule is not Rule.RUN]
    signals = [*limits, *_runs(errors_g, centre, d_g / 2), *average.signals]
    order = list(Rule)
    signals.sort(key=lambda signal: (signal.at, order.index(signal.rule)))
    return DailyChart(individuals, average, baseline, floor_g, tuple(signals))


def _runs(errors_g: Sequence[float], centre: float, half_step_g: float) -> list[Signal]:
    signals, side, length = [], 0, 0
    for at, error_g in enumerate(errors_g, 1):
        now = _side(error_g - centre, half_step_g)
        length = length + 1 if now == side else 1
        side = now
        if side and length >= RUN:
            signals.append(Signal(at, Rule.RUN))
    return signals


def _side(off_g: float, half_step_g: float) -> int:
    if abs(off_g) <= half_step_g * (1 + SLACK):
        return 0
    return 1 if off_g > 0 else -1


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
