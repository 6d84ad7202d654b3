"""Control charts: individuals, means and ranges, and the weighted average that sees slow drift.

NIST/SEMATECH e-Handbook 6.3.2 (Shewhart charts, EWMA); warning at 2 sigma, action at 3 sigma, a
run of 8 on one side of the centre. Each rule is applied by itself: a point beyond 3 sigma is also
beyond 2. A point exactly on a limit is inside it, one on the centre is on neither side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from statistics import fmean

from records.domain.errors import BadValue, Code
from records.domain.measure.decision import SLACK
from records.domain.measure.range_constants import MOST, range_constants

# As printed for ranges of 2, so that limits are those that others print (e-Handbook 6.3.2.2).
D2_OF_TWO = 1.128
D4_OF_TWO = 3.267
RUN = 8
DEFAULT_WEIGHT = 0.2


class Rule(StrEnum):
    """The rules that give a signal."""

    ACTION = "action 3s"
    WARNING = "warning 2s"
    RUN = "run of 8"
    EWMA = "ewma"
    RANGE = "range 3s"


@dataclass(frozen=True, slots=True)
class Signal:
    """A point (counted from 1) at which a rule speaks; a run does from its eighth on."""

    at: int
    rule: Rule


@dataclass(frozen=True, slots=True)
class Chart:
    """Centre, action and warning limits, the points as plotted, and the signals in their order."""

    centre: float
    sigma: float
    low: float
    high: float
    warning_low: float
    warning_high: float
    points: tuple[float, ...]
    signals: tuple[Signal, ...]
    range_low: float | None = None
    range_high: float | None = None


def individuals_chart(
    values: Sequence[float],
    *,
    baseline: int | None = None,
    centre: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart single values; sigma is the mean moving range over 1.128 unless given.

    baseline says how many come first and give centre and sigma (default: all). range_high is the
    limit of a moving range.
    """
    centre, sigma = _from_baseline(values, baseline, centre, sigma)
    signals = [*_beyond(values, centre, sigma), *_runs(values, centre)]
    return _chart(values, centre, sigma, sigma, signals, range_high=D4_OF_TWO * D2_OF_TWO * sigma)


def ewma_chart(
    values: Sequence[float],
    *,
    weight: float = DEFAULT_WEIGHT,
    baseline: int | None = None,
    centre: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart the exponentially weighted average, z = λ·x + (1 − λ)·z before it, from the centre on.

    Limits are those it settles to, centre ± 3·sigma·√(λ/(2 − λ)) (e-Handbook 6.3.2.4).
    """
    if not 0 < weight <= 1:
        raise _bad("lambda", "a number above 0 and of at most 1", f"{weight:g}")
    centre, sigma = _from_baseline(values, baseline, centre, sigma)
    average, points = centre, []
    for value in values:
        average = weight * value + (1 - weight) * average
        points.append(average)
    spread = sigma * math.sqrt(weight / (2 - weight))
    signals = [
        Signal(i, Rule.EWMA) for i, z in enumerate(points, 1) if _is_beyond(z, centre, 3 * spread)
    ]
    return _chart(points, centre, sigma, spread, signals)


def mean_range_chart(
    subgroups: Sequence[Sequence[float]],
    *,
    baseline: int | None = None,
    centre: float | None = None,
    sigma: float | None = None,
) -> Chart:
    """Chart the means of subgroups with limits from their mean range: centre ± A2·R.

    sigma is that of a single value (mean range over d2 unless given); the points are the means.
    """
    size = _size_of(subgroups)
    constants = range_constants(size)
    means = [fmean(group) for group in subgroups]
    ranges = [max(group) - min(group) for group in subgroups]
    first = _count(len(subgroups), baseline, least=1, needed=sigma is None or centre is None)
    if centre is None:
        centre = fmean(means[:first])
    if sigma is None:
        sigma = fmean(ranges[:first]) / constants.d2
    _check_sigma(sigma)
    range_low, range_high = (
        f * constants.d2 * sigma for f in (constants.lower_share, constants.upper_share)
    )
    spread = sigma / math.sqrt(size)
    signals = [*_beyond(means, centre, spread), *_runs(means, centre)]
    for i, width in enumerate(ranges, 1):
        slack = SLACK * max(map(abs, subgroups[i - 1]))
        if width > range_high + slack or width < range_low - slack:
            signals.append(Signal(i, Rule.RANGE))
    return _chart(means, centre, sigma, spread, signals, range_low=range_low, range_high=range_high)


def _chart(
    points: Sequence[float],
    centre: float,
    sigma: float,
    spread: float,
    signals: list[Signal],
    *,
    range_low: float | None = None,
    range_high: float | None = None,
) -> Chart:
    order = list(Rule)
    signals.sort(key=lambda signal: (signal.at, order.index(signal.rule)))
    return Chart(
        centre=centre,
        sigma=sigma,
        low=centre - 3 * spread,
        high=centre + 3 * spread,
        warning_low=centre - 2 * spread,
        warning_high=centre + 2 * spread,
        points=tuple(points),
        signals=tuple(signals),
        range_low=range_low,
        range_high=range_high,
    )


def _beyond(points: Sequence[float], centre: float, spread: float) -> list[Signal]:
    return [
        Signal(i, rule)
        for i, point in enumerate(points, 1)
        for rule, limit in ((Rule.ACTION, 3 * spread), (Rule.WARNING, 2 * spread))
        if _is_beyond(point, centre, limit)
    ]


def _is_beyond(point: float, centre: float, limit: float) -> bool:
    return abs(point - centre) > limit + SLACK * max(abs(point), abs(centre))


def _runs(points: Sequence[float], centre: float) -> list[Signal]:
    signals, side, length = [], 0, 0
    for i, point in enumerate(points, 1):
        now = _side(point, centre)
        length = length + 1 if now == side else 1
        side = now
        if side and length >= RUN:
            signals.append(Signal(i, Rule.RUN))
    return signals


def _side(point: float, centre: float) -> int:
    if not _is_beyond(point, centre, 0.0):
        return 0
    return 1 if point > centre else -1


def _from_baseline(
    values: Sequence[float], baseline: int | None, centre: float | None, sigma: float | None
) -> tuple[float, float]:
    """Return centre and sigma: those given, else what the first values say."""
    if not values:
        raise _bad("values", "at least one value", "none")
    least = 2 if sigma is None else 1
    first = _count(len(values), baseline, least=least, needed=sigma is None or centre is None)
    if centre is None:
        centre = fmean(values[:first])
    if sigma is None:
        moving = [abs(after - before) for before, after in pairwise(values[:first])]
        sigma = fmean(moving) / D2_OF_TWO
    _check_sigma(sigma)
    return centre, sigma


def _count(there: int, baseline: int | None, *, least: int, needed: bool) -> int:
    if baseline is None:
        if needed and there < least:
            raise _bad("values", f"at least {least} values to find sigma from", str(there))
        return there
    if not least <= baseline <= there:
        raise _bad("baseline", f"{least} to {there}, how many come first", str(baseline))
    return baseline


def _check_sigma(sigma: float) -> None:
    if not sigma > 0:
        raise _bad("sigma", "a sigma above 0 (values that differ, or sigma given)", f"{sigma:g}")


def _size_of(subgroups: Sequence[Sequence[float]]) -> int:
    if not subgroups:
        raise _bad("subgroups", "at least one subgroup", "none")
    size = len(subgroups[0])
    for i, group in enumerate(subgroups):
        if len(group) != size or not 2 <= size <= MOST:
            wanted = f"2 to {MOST} values" if group is subgroups[0] else f"{size}, as in the first"
            raise _bad(f"subgroups/{i}", wanted, str(len(group)))
    return size


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
