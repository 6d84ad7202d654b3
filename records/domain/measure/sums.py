"""Sums and differences of weighings: what is shared adds linearly, what is private by squares.

GUM (JCGM 100:2008) 5.2.2 with its note 1. All weighings under one calibration of one scale share
that scale's error and drift with their signs, so that they cancel in a difference and pile up in
a sum. Between scales, and across a recalibration, nothing is shared.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.weighing import Weighing


@dataclass(frozen=True, slots=True)
class Term:
    """A weighing that counts with a coefficient, under one calibration of one scale.

    coefficient is the share in which the mass counts; shares names the scale and its calibration
    (any hashable): equal names share their error.
    """

    coefficient: float
    weighing: Weighing
    shares: Hashable


@dataclass(frozen=True, slots=True)
class Combined:
    """A mass worked out of several weighings, in g."""

    mass_g: float
    u_g: float
    U_g: float
    k: float
    nu_eff: float | None
    u_private_g: float
    u_shared_g: float


def combine(terms: Iterable[Term]) -> Combined:
    """Return the weighted sum of weighings with its uncertainty; each has its own zero.

    A weighing used N times (one lock weighed for all places) is one term with the coefficient N.
    """
    groups: dict[Hashable, list[Term]] = {}
    for term in terms:
        groups.setdefault(term.shares, []).append(term)
    if not groups:
        raise BadValue(
            Code.MISSING,
            "expected at least one weighing, got none",
            field="weighings",
            expected="at least one weighing",
            got="none",
        )
    every = [term for group in groups.values() for term in group]
    u_private_g = math.hypot(*(t.coefficient * t.weighing.u_reading_g for t in every))
    u_shared_g = math.hypot(*(_shared(group) for group in groups.values()))
    u_g = math.hypot(u_private_g, u_shared_g)
    nu_eff = effective_freedom(u_g, (_repeatability(group) for group in groups.values()))
    k = coverage_factor(nu_eff)
    return Combined(
        mass_g=math.fsum(t.coefficient * t.weighing.mass_g for t in every),
        u_g=u_g,
        U_g=k * u_g,
        k=k,
        nu_eff=nu_eff,
        u_private_g=u_private_g,
        u_shared_g=u_shared_g,
    )


def _shared(group: list[Term]) -> float:
    error = math.fsum(t.coefficient * t.weighing.u_error_g for t in group)
    drift = math.fsum(t.coefficient * t.weighing.u_drift_g for t in group)
    return math.hypot(error, drift)


def _repeatability(group: list[Term]) -> tuple[float, float | None]:
    # One s stands behind all weighings of a scale, so it is one estimate, not several.
    u = math.hypot(*(t.coefficient * t.weighing.u_repeat_g for t in group))
    return u, group[0].weighing.nu_s
