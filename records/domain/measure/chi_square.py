"""The chi-square distribution without any library, for intervals round a standard deviation."""

from __future__ import annotations

import math
from functools import lru_cache

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import NORMAL


def chi_square_below(x: float, nu: int) -> float:
    """Return the probability that chi-square with nu degrees of freedom stays below x."""
    if x <= 0:
        return 0.0
    a, half = nu / 2, x / 2
    if half < a + 1:
        return _series(a, half)
    return 1.0 - _fraction(a, half)


@lru_cache(maxsize=1024)
def chi_square_quantile(p: float, nu: int) -> float:
    """Return the x below which chi-square with nu degrees of freedom lies with probability p."""
    if not 0 < p < 1 or nu < 1:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected p within 0 and 1 and nu of at least 1, got {p:g} and {nu}",
            field="nu",
            expected="0 < p < 1, nu >= 1",
            got=f"{p:g}, {nu}",
        )
    share = 2 / (9 * nu)
    # Wilson and Hilferty's cube root is near enough to start from
    start = nu * (1 - share + NORMAL.inv_cdf(p) * math.sqrt(share)) ** 3
    return _root(p, nu, max(start, 1e-3))


def _root(p: float, nu: int, x: float) -> float:
    """Climb to the root by Newton's steps, halving the bracket where a step would leave it."""
    low, high = 0.0, math.inf
    for _ in range(200):
        off = chi_square_below(x, nu) - p
        step = off / _density(x, nu)
        # the gamma function of a million has no more digits; Newton's last step doubles them
        if abs(step) <= 1e-11 * x:
            return x - step
        low, high = (low, x) if off > 0 else (x, high)
        x -= step
        if not low < x < high:
            x = (low + high) / 2 if high < math.inf else 2 * low
    return x


def _density(x: float, nu: int) -> float:
    a = nu / 2
    return math.exp((a - 1) * math.log(x / 2) - x / 2 - math.lgamma(a)) / 2


def _series(a: float, x: float) -> float:
    """Regularised lower incomplete gamma function P(a, x) as a power series (DLMF 8.11.4)."""
    term = total = 1 / a
    n = a
    while term > total * 1e-17:
        n += 1
        term *= x / n
        total += term
    return total * math.exp(a * math.log(x) - x - math.lgamma(a))


def _fraction(a: float, x: float) -> float:
    """Regularised upper incomplete gamma function Q(a, x) (DLMF 8.9.2), by the rule of Lentz."""
    bottom = x + 1 - a
    upper, lower = math.inf, 1 / bottom
    value = lower
    for i in range(1, 100_000):
        term = -i * (i - a)
        bottom += 2
        lower = 1 / (term * lower + bottom)
        upper = bottom + term / upper
        change = upper * lower
        value *= change
        if abs(change - 1) < 1e-16:
            break
    return value * math.exp(a * math.log(x) - x - math.lgamma(a))
