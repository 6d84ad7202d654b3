"""One corrected weighing with its uncertainty.

Form of EURAMET cg-18 (4.0), 7.4 and 7.5, with GUM (JCGM 100:2008): W = R - E(R),
u^2(W) = u^2(E) + u^2(R) + u^2(drift), u^2(R) = d0^2/12 + d^2/12 + s^2/n + u_ecc^2. Masses in g.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.scale import Scale


@dataclass(frozen=True, slots=True)
class Contribution:
    """One line of an uncertainty budget: where it comes from, and its standard uncertainty."""

    source: str
    u_g: float


@dataclass(frozen=True, slots=True)
class Weighing:
    """A conventional mass with its uncertainty, and the shares that sums must tell apart.

    u_reading_g is this weighing's own; u_error_g and u_drift_g are shared by all weighings under
    one calibration of one scale. u_repeat_g and u_zero_g are parts of u_reading_g.
    """

    mass_g: float
    u_g: float
    U_g: float
    k: float
    nu_eff: float | None
    u_error_g: float
    u_reading_g: float
    u_drift_g: float
    u_repeat_g: float
    nu_s: float | None
    budget: tuple[Contribution, ...]


def weigh(scale: Scale, reading_g: float, n: int = 1, *, field: str = "reading_g") -> Weighing:
    """Return the corrected weighing for a reading, or for the mean of n readings.

    s is the scale's, never the scatter of these few readings; averaging divides s^2 by n and
    leaves rounding as it is, since equal readings round alike. Raise BadValue for a reading below
    zero or above the certificate, naming field, and for n below 1.
    """
    check_reading(reading_g, n, field)
    error_g, u_error_g = scale.error_at(reading_g, field)
    u_repeat_g = scale.s_at(reading_g) / math.sqrt(n)
    u_zero_g, u_round_g = scale.u_zero_g, scale.u_round_g
    u_eccentric_g, u_drift_g = scale.u_eccentric(reading_g), scale.u_drift_g
    u_reading_g = math.hypot(u_zero_g, u_round_g, u_repeat_g, u_eccentric_g)
    u_g = math.hypot(u_error_g, u_reading_g, u_drift_g)
    nu_eff = effective_freedom(u_g, ((u_repeat_g, scale.nu_s),))
    k = coverage_factor(nu_eff)
    budget = (
        Contribution("error of the scale", u_error_g),
        Contribution("repeatability", u_repeat_g),
        Contribution("rounding at zero", u_zero_g),
        Contribution("rounding at load", u_round_g),
        Contribution("off-centre load", u_eccentric_g),
        Contribution("drift", u_drift_g),
    )
    return Weighing(
        mass_g=reading_g - error_g,
        u_g=u_g,
        U_g=k * u_g,
        k=k,
        nu_eff=nu_eff,
        u_error_g=u_error_g,
        u_reading_g=u_reading_g,
        u_drift_g=u_drift_g,
        u_repeat_g=u_repeat_g,
        nu_s=scale.nu_s,
        budget=budget,
    )


def check_reading(reading_g: float, n: int = 1, field: str = "reading_g") -> None:
    """Refuse a reading that isn't a finite number of at least 0, and n below 1."""
    if not (math.isfinite(reading_g) and reading_g >= 0):
        expected, got = "a number of at least 0", f"{reading_g:g}"
        raise _bad(field, expected, got)
    if n < 1:
        raise _bad("n", "at least 1 reading", str(n))


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
