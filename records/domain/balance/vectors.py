"""Unbalance as a vector across the shaft: an amount in g·mm at an angle, and sums of such.

Angles in degrees, counter-clockwise as seen from the front, given back within 0 … 360. A vector
says where the heavy spot is; metal is taken there, or added at the opposite angle.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from records.domain.balance.possible import above_zero, at_least_zero, finite
from records.domain.errors import BadValue, Code

_ROUNDING = 1e-13  # what a sum leaves of nothing, as a share of its terms


@dataclass(frozen=True)
class Vector:
    """An unbalance: its amount and the angle of the heavy spot."""

    unbalance_gmm: float
    angle_deg: float

    @property
    def plane(self) -> complex:
        """Give the vector as a complex number, angle 0 along the real axis."""
        return cmath.rect(self.unbalance_gmm, math.radians(self.angle_deg))


@dataclass(frozen=True)
class TrialMass:
    """What a trial mass did, and the mass to put on instead, at the angle it shall have."""

    effect: Vector
    mass_g: float
    angle_deg: float


def vector_sum(vectors: Sequence[Vector]) -> Vector:
    """Add vectors; what is only rounding of terms that cancel becomes 0 at angle 0."""
    terms = [vector.plane for vector in vectors]
    total = complex(math.fsum(t.real for t in terms), math.fsum(t.imag for t in terms))
    if abs(total) <= _ROUNDING * math.fsum(abs(t) for t in terms):
        return Vector(0.0, 0.0)
    return Vector(abs(total), _turn(math.degrees(math.atan2(total.imag, total.real))))


def scaled(vector: Vector, by: float) -> Vector:
    """Give the vector times a number; a negative one turns it round."""
    turned = vector.angle_deg + (180.0 if by < 0 else 0.0)
    return Vector(vector.unbalance_gmm * abs(by), _turn(turned))


def checked_vector(vector: Vector, field: str = "") -> Vector:
    """Give the vector back; raise BadValue naming its key, under field, if it can't be."""
    under = f"{field}/" if field else ""
    at_least_zero(f"{under}unbalance_gmm", vector.unbalance_gmm)
    finite(f"{under}angle_deg", vector.angle_deg)
    return vector


def trial_mass(before: Vector, with_trial: Vector, *, mass_g: float, angle_deg: float) -> TrialMass:
    """Reckon the mass that cancels `before` from one run with a trial mass at a known angle.

    The readings may be in any unit that grows with unbalance. Raises BadValue when the trial mass
    changed nothing.
    """
    checked_vector(before, "before")
    checked_vector(with_trial, "with_trial")
    above_zero("mass_g", mass_g)
    finite("angle_deg", angle_deg)
    effect = vector_sum([with_trial, scaled(before, -1)])
    if effect.unbalance_gmm == 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            "expected a reading that the trial mass changed, got the same reading twice; use a "
            "heavier trial mass or look whether the reading is right",
            field="with_trial",
            expected="a reading unlike the first",
            got="the same reading",
        )
    turn = before.angle_deg + 180 - effect.angle_deg
    needed = mass_g * before.unbalance_gmm / effect.unbalance_gmm
    return TrialMass(effect, needed, _turn(angle_deg + turn))


def _turn(angle_deg: float) -> float:
    """Give the angle within 0 … 360; a rounding below 0 would come back as 360 itself."""
    within = angle_deg % 360.0
    return 0.0 if within == 360.0 else within
