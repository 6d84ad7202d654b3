"""The coverage factor: Student's t without any library, and Welch-Satterthwaite.

GUM (JCGM 100:2008) G.4.1, G.6.4: the effective degrees of freedom are truncated to a whole number
before t is looked up; k is 2 where nothing limits them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from statistics import NormalDist

from records.domain.errors import BadValue, Code

# The probability for which k = 2 holds with a normal distribution.
PROBABILITY = 0.9545
NORMAL = NormalDist()
# Above this the expansion in 1/nu is exact to the last digits, and lgamma no longer is.
MANY = 10_000


def effective_freedom(u: float, parts: Iterable[tuple[float, float | None]]) -> float | None:
    """Return the effective degrees of freedom of u from parts (u_i, nu_i); None is unlimited.

    Welch-Satterthwaite, GUM G.4.1: nu_eff = u^4 / sum(u_i^4 / nu_i).
    """
    total = sum((part / u) ** 4 / nu for part, nu in parts if nu is not None and part > 0)
    return 1.0 / total if total > 0 else None


def coverage_factor(nu_eff: float | None, p: float = PROBABILITY) -> float:
    """Return k for nu_eff (None: unlimited) and probability p, nu truncated before the look-up."""
    if nu_eff is None or math.isinf(nu_eff):
        return 2.0 if p == PROBABILITY else NORMAL.inv_cdf((1 + p) / 2)
    # A sum that is whole on paper may fall short of it by the rounding of floats.
    nu = math.floor(nu_eff * (1 + 1e-12))
    if nu < 1:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected at least 1 degree of freedom, got {nu_eff:.3g}",
            field="nu_s",
            expected="at least 1",
            got=f"{nu_eff:.3g}",
        )
    return t_quantile(nu, p)


@lru_cache(maxsize=1024)
def t_quantile(nu: int, p: float) -> float:
    """Return t such that a share p of Student's distribution with nu lies within -t and t."""
    z = NORMAL.inv_cdf((1 + p) / 2)
    if nu > MANY:
        first = (z**3 + z) / 4
        second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
        return z + first / nu + second / nu**2
    # Within is concave for t > 0 and z lies below t, so Newton climbs and never oversteps.
    t = z
    for _ in range(200):
        step = (p - _within(t, nu)) / (2 * _density(t, nu))
        t += step
        if abs(step) <= 1e-14 * t:
            break
    return t


def beyond_f(ratio: float, nu_upper: int, nu_lower: int) -> float:
    """Return the probability that Fisher's F with these degrees of freedom exceeds ratio."""
    share = nu_lower / (nu_lower + nu_upper * ratio)
    if not 0 < share < 1:
        return 1.0 if ratio < 1 else 0.0
    return _incomplete_beta(share, nu_lower / 2, nu_upper / 2)


def _density(t: float, nu: int) -> float:
    log_scale = math.lgamma((nu + 1) / 2) - math.lgamma(nu / 2) - 0.5 * math.log(nu * math.pi)
    return math.exp(log_scale - (nu + 1) / 2 * math.log1p(t * t / nu))


def _within(t: float, nu: int) -> float:
    return 1.0 - _incomplete_beta(nu / (nu + t * t), nu / 2, 0.5)


def _incomplete_beta(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function I_x(a, b) (DLMF 8.17)."""
    if x <= 0:  # also where 1 − x of the reflection leaves nothing in floats
        return 0.0
    # The fraction converges fast only below the mean; the reflection 8.17.4 serves above it.
    if x > (a + 1) / (a + b + 2):
        return 1.0 - _incomplete_beta(1.0 - x, b, a)
    log_front = (
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    return math.exp(log_front) / (a * _fraction(x, a, b))


def _fraction(x: float, a: float, b: float) -> float:
    """Continued fraction of DLMF 8.17.22, by the forward rule of Lentz."""
    value = upper = 1.0
    lower = 0.0
    for j in range(1, 2000):
        m = j // 2
        if j % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        lower = 1.0 / (1.0 + term * lower)
        upper = 1.0 + term / upper
        value *= upper * lower
        if abs(upper * lower - 1.0) < 1e-16:
            break
    return value
