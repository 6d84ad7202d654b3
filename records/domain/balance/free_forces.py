"""What the engine feels at a speed: the free forces and couples of its reciprocating masses.

Vectors across the crank are complex numbers, x + jy, x at angle 0. With throw α, bank β, crank
angle θ, the force along a bore is m·r·ω²·(cos φ + A2·cos 2φ − …), φ = θ + α − β; each cosine is
half a vector turning with the crank (forward) and half one turning against it (backward).
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from records.domain.balance.layout import (
    ZERO_SHARE,
    bob_weights_needed,
    share_left,
    why_bob_weights,
)
from records.domain.balance.possible import above_zero, at_least_zero, finite
from records.domain.errors import BadValue, Code

_ROUNDING = 1e-13  # what a sum of cosines leaves of nothing, as a share of its terms


@dataclass(frozen=True)
class LoadedCylinder:
    """A cylinder with what moves in it: grams that reciprocate, grams that turn."""

    throw_deg: float
    bank_deg: float
    z_mm: float
    reciprocating_g: float
    rotating_g: float


@dataclass(frozen=True)
class Whirl:
    """Two vectors that turn against each other: the longest and shortest resultant in a turn."""

    forward: float
    backward: float

    @property
    def max(self) -> float:
        """Give the longest resultant in a turn."""
        return self.forward + self.backward

    @property
    def min(self) -> float:
        """Give the shortest resultant in a turn."""
        return abs(self.forward - self.backward)


@dataclass(frozen=True)
class FreeForces:
    """Forces in N and couples in N·m about z = 0, at one speed; pin sums in g·mm and g·mm²."""

    bob_weights_needed: bool
    why: str
    pin_force_gmm: float
    pin_couple_gmm2: float
    primary_force_N: Whirl
    primary_couple_Nm: Whirl
    secondary_force_N: Whirl
    secondary_couple_Nm: Whirl
    fraction: float
    residual_force_N: Whirl
    residual_couple_Nm: Whirl
    planar_fractions: tuple[float, ...]


def free_forces(
    cylinders: Sequence[LoadedCylinder],
    *,
    stroke_mm: float,
    rod_length_mm: float,
    speed_rpm: float,
    fraction: float = 0.5,
) -> FreeForces:
    """Reckon the free forces and couples of these cylinders at a speed.

    Rotating masses are taken as balanced on the crank and only appear in the pin sums; `fraction`
    is the part of the reciprocating mass that the counterweights carry. Raises BadValue for
    lengths, masses or a speed that can't be.
    """
    _check(cylinders, stroke_mm, rod_length_mm, speed_rpm, fraction)
    crank_mm = stroke_mm / 2
    second = second_harmonic(crank_mm / rod_length_mm)
    omega = speed_rpm * 2 * math.pi / 60
    newton = 0.5 * crank_mm * omega**2 * 1e-6  # g·mm/s² are 1e-6 N
    force1, couple1 = _whirls(cylinders, order=1, newton=newton)
    force2, couple2 = _whirls(cylinders, order=2, newton=newton * second)
    pins = [c.rotating_g * crank_mm * _turn(c.throw_deg) for c in cylinders]
    pin_couples = [c.z_mm * pin for c, pin in zip(cylinders, pins, strict=True)]
    kept = abs(1 - 2 * fraction)
    return FreeForces(
        bob_weights_needed=bob_weights_needed(cylinders),
        why=why_bob_weights(cylinders),
        pin_force_gmm=_length(pins),
        pin_couple_gmm2=_length(pin_couples),
        primary_force_N=force1,
        primary_couple_Nm=couple1,
        secondary_force_N=force2,
        secondary_couple_Nm=couple2,
        fraction=fraction,
        residual_force_N=Whirl(kept * force1.forward, force1.backward),
        residual_couple_Nm=Whirl(kept * couple1.forward, couple1.backward),
        planar_fractions=_planar_fractions(cylinders),
    )


def second_harmonic(ratio: float) -> float:
    """Give A2 of the exact slider-crank for λ = crank radius / rod length.

    −x″/(r·ω²) = cos φ + A2·cos 2φ − …, x/r = cos φ + √(1 − λ²·sin²φ)/λ; the trapezoid rule over a
    turn converges geometrically, so points are doubled until the value stands. λ must be in
    (0, 1); the short series λ + λ³/4 + 15λ⁵/128 is 1e-4 low at λ = 1/3.
    """
    last, points = math.inf, 32
    while points <= 65536:
        value = _second_harmonic_by(points, ratio)
        if abs(value - last) <= 1e-14:
            break
        last, points = value, 2 * points
    return value


def _second_harmonic_by(points: int, ratio: float) -> float:
    step = 2 * math.pi / points
    # √(1−s) − 1 instead of √(1−s): the same coefficient without the loss of digits at small λ
    terms = (
        -s / (1 + math.sqrt(1 - s)) * math.cos(2 * phi)
        for phi, s in ((i * step, (ratio * math.sin(i * step)) ** 2) for i in range(points))
    )
    return 4 / ratio * (2 / points) * math.fsum(terms)


def _whirls(
    cylinders: Sequence[LoadedCylinder], *, order: int, newton: float
) -> tuple[Whirl, Whirl]:
    """Give force and couple of the first or second order; newton is N per g of the half vector."""
    forward, backward = _terms(cylinders, order)
    z = [c.z_mm * 1e-3 for c in cylinders]
    return (
        Whirl(newton * _length(forward), newton * _length(backward)),
        Whirl(
            newton * _length([a * t for a, t in zip(z, forward, strict=True)]),
            newton * _length([a * t for a, t in zip(z, backward, strict=True)]),
        ),
    )


def _terms(cylinders: Sequence[LoadedCylinder], order: int) -> tuple[list[complex], list[complex]]:
    """Give m·e^{j(kα − (k−1)β)} and m·e^{j((k+1)β − kα)} of each cylinder, k the order."""
    k = order
    return (
        [c.reciprocating_g * _turn(k * c.throw_deg - (k - 1) * c.bank_deg) for c in cylinders],
        [c.reciprocating_g * _turn((k + 1) * c.bank_deg - k * c.throw_deg) for c in cylinders],
    )


def _planar_fractions(cylinders: Sequence[LoadedCylinder]) -> tuple[float, ...]:
    """Give the fractions b with |1 − 2b|·|forward| = |backward|: the residual is then a line.

    Of the force where the force sum isn't zero, else of the couple; none when nothing is left.
    """
    forward, backward = _terms(cylinders, 1)
    if max(share_left(forward), share_left(backward)) < ZERO_SHARE:
        z = [c.z_mm for c in cylinders]
        forward = [a * t for a, t in zip(z, forward, strict=True)]
        backward = [a * t for a, t in zip(z, backward, strict=True)]
    if share_left(forward) < ZERO_SHARE:
        return ()
    if share_left(backward) < ZERO_SHARE:
        return (0.5,)
    half = 0.5 * _length(backward) / _length(forward)
    return (round(0.5 - half, 12) + 0.0, round(0.5 + half, 12))


def _turn(angle_deg: float) -> complex:
    return cmath.exp(1j * math.radians(angle_deg))


def _length(terms: Sequence[complex]) -> float:
    """Give |Σ terms|, and exactly 0 where only rounding is left of what cancels."""
    left = abs(complex(math.fsum(t.real for t in terms), math.fsum(t.imag for t in terms)))
    return 0.0 if left <= _ROUNDING * math.fsum(abs(t) for t in terms) else left


def _check(
    cylinders: Sequence[LoadedCylinder],
    stroke_mm: float,
    rod_length_mm: float,
    speed_rpm: float,
    fraction: float,
) -> None:
    if not cylinders:
        raise BadValue(Code.MISSING, "expected at least one cylinder, got none", field="cylinders")
    for i, cylinder in enumerate(cylinders):
        for key in ("reciprocating_g", "rotating_g"):
            at_least_zero(f"cylinders/{i}/{key}", getattr(cylinder, key))
        for key in ("throw_deg", "bank_deg", "z_mm"):
            finite(f"cylinders/{i}/{key}", getattr(cylinder, key))
    above_zero("stroke_mm", stroke_mm)
    above_zero("rod_length_mm", rod_length_mm)
    at_least_zero("speed_rpm", speed_rpm)
    at_least_zero("fraction", fraction)
    if rod_length_mm <= stroke_mm / 2:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected a rod longer than half the stroke ({stroke_mm / 2:g} mm), "
            f"got {rod_length_mm:g} mm: it could not pass the crank",
            field="rod_length_mm",
            expected=f"above {stroke_mm / 2:g}",
            got=f"{rod_length_mm:g}",
        )
