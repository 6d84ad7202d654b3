"""The difference of two readings on one scale: before and after a cut, a part and its target.

GUM (JCGM 100:2008) 5.2.2. The scale's constant error and its drift cancel; of its error's
uncertainty only what differs between the two loads is left. That takes the error at both loads as
fully shared, which holds for loads near each other. For two scales, or across a recalibration,
nothing cancels: `apart`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.scale import Scale
from records.domain.measure.weighing import Contribution, Weighing, check_reading


@dataclass(frozen=True, slots=True)
class Difference:
    """First minus second, in g."""

    difference_g: float
    u_g: float
    U_g: float
    k: float
    nu_eff: float | None
    budget: tuple[Contribution, ...] = ()


def difference(
    scale: Scale,
    reading1_g: float,
    reading2_g: float,
    *,
    shared_zero: bool = False,
    same_spot: bool = False,
    n1: int = 1,
    n2: int = 1,
) -> Difference:
    """Return the first corrected reading minus the second, both under one calibration.

    u^2 = s1^2/n1 + s2^2/n2 + 2 d^2/12 (+ 2 d0^2/12 when each has its own zero) + u_ecc1^2 +
    u_ecc2^2 (unless set on the same spot) + (u(E1) - u(E2))^2 + (R1 - R2)^2 u^2(slope).
    Raise BadValue naming reading1_g or reading2_g.
    """
    check_reading(reading1_g, n1, "reading1_g")
    check_reading(reading2_g, n2, "reading2_g")
    error1_g, u_error1_g = scale.error_at(reading1_g, "reading1_g")
    error2_g, u_error2_g = scale.error_at(reading2_g, "reading2_g")
    repeat1_g = scale.s_at(reading1_g) / math.sqrt(n1)
    repeat2_g = scale.s_at(reading2_g) / math.sqrt(n2)
    u_repeat_g = math.hypot(repeat1_g, repeat2_g)
    off_centre = (scale.u_eccentric(reading1_g), scale.u_eccentric(reading2_g))
    slope_g = (reading1_g - reading2_g) * scale.u_slope
    budget = (
        Contribution("repeatability", u_repeat_g),
        Contribution("rounding at load", math.sqrt(2) * scale.u_round_g),
        Contribution("rounding at zero", 0.0 if shared_zero else math.sqrt(2) * scale.u_zero_g),
        Contribution("off-centre load", 0.0 if same_spot else math.hypot(*off_centre)),
        Contribution("error of the scale", math.hypot(u_error1_g - u_error2_g, slope_g)),
    )
    u_g = math.hypot(*(part.u_g for part in budget))
    nu_eff = effective_freedom(u_g, ((u_repeat_g, scale.nu_s),))
    k = coverage_factor(nu_eff)
    change_g = (reading1_g - reading2_g) - (error1_g - error2_g)
    return Difference(change_g, u_g, k * u_g, k, nu_eff, budget)


def apart(first: Weighing, second: Weighing) -> Difference:
    """Return first minus second for weighings that share nothing: u^2 is the sum of both."""
    u_g = math.hypot(first.u_g, second.u_g)
    parts = ((first.u_repeat_g, first.nu_s), (second.u_repeat_g, second.nu_s))
    nu_eff = effective_freedom(u_g, parts)
    k = coverage_factor(nu_eff)
    budget = (
        Contribution("first weighing", first.u_g),
        Contribution("second weighing", second.u_g),
    )
    return Difference(first.mass_g - second.mass_g, u_g, k * u_g, k, nu_eff, budget)
