"""What the range of n readings says of their spread: the constants of charts and gauge studies.

d2 and d3 are mean and standard deviation of the range of n standard normal values. From
F(w) = n·∫φ(x)·(Φ(x+w) − Φ(x))ⁿ⁻¹dx, the chance that the range stays within w:
d2 = ∫(1 − F)dw and d2² + d3² = ∫2·w·(1 − F)dw.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from records.domain.errors import BadValue, Code

MOST = 100
_STEP = 1 / 32
_REACH = 9.0  # beyond it a normal density is below 1e-18
_WIDEST = 12.0


@dataclass(frozen=True, slots=True)
class RangeConstants:
    """The constants for ranges of n readings."""

    n: int
    d2: float
    d3: float

    @property
    def mean_factor(self) -> float:
        """Return A2: a mean range times it is three standard deviations of a mean of n."""
        return 3 / (self.d2 * math.sqrt(self.n))

    @property
    def lower_share(self) -> float:
        """Return D3: the lower limit of a range as a share of the mean range."""
        return max(0.0, 1 - 3 * self.d3 / self.d2)

    @property
    def upper_share(self) -> float:
        """Return D4: the upper limit of a range as a share of the mean range."""
        return 1 + 3 * self.d3 / self.d2

    @property
    def d2_single(self) -> float:
        """Return d2* of one range alone: the root of the mean squared range."""
        return math.hypot(self.d2, self.d3)


@lru_cache(maxsize=MOST)
def range_constants(n: int) -> RangeConstants:
    """Return the constants for ranges of n readings, 2 to MOST, to nine digits and better."""
    if not 2 <= n <= MOST:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected ranges of 2 to {MOST} values, got {n}",
            field="n",
            expected=f"2 to {MOST}",
            got=str(n),
        )
    below, density = _normal_table()
    left = [1 - _within(n, steps, below, density) for steps in range(round(_WIDEST / _STEP) + 1)]
    widths = [i * _STEP for i in range(len(left))]
    d2 = _simpson(left)
    squared = _simpson([2 * w * share for w, share in zip(widths, left, strict=True)])
    return RangeConstants(n, d2, math.sqrt(squared - d2 * d2))


@lru_cache(maxsize=1)
def _normal_table() -> tuple[list[float], list[float]]:
    places = [i * _STEP - _REACH for i in range(round((2 * _REACH + _WIDEST) / _STEP) + 1)]
    return (
        [0.5 * math.erfc(-x / math.sqrt(2)) for x in places],
        [math.exp(-x * x / 2) / math.sqrt(2 * math.pi) for x in places],
    )


def _within(n: int, steps: int, below: list[float], density: list[float]) -> float:
    """Return F(w) for w of so many steps, by the trapezoid rule, which is all but exact here."""
    count = round(2 * _REACH / _STEP)
    terms = (density[i] * (below[i + steps] - below[i]) ** (n - 1) for i in range(count + 1))
    return n * _STEP * math.fsum(terms)


def _simpson(values: list[float]) -> float:
    inner = 4 * math.fsum(values[1:-1:2]) + 2 * math.fsum(values[2:-1:2])
    return _STEP / 3 * (values[0] + inner + values[-1])
