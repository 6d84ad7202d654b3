"""Split an unbalance over the angles where metal may be taken (or added), for the least metal.

Parts u ≥ 0 at unit vectors a with Σ u·a = U, each within its capacity. Two places: the law of
sines, one answer. Three and more: a linear programme, least Σ u. It has two equations, so its
dual has two unknowns y, and each pair of places fixes one: a·y = 1 for both. A place with a·y < 1
then takes nothing, one with a·y > 1 its whole capacity, and the pair what is left (complementary
slackness); the pair whose parts are possible is the optimum.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NoReturn

from records.domain.balance.possible import at_least_zero, finite
from records.domain.balance.vectors import Vector, checked_vector
from records.domain.errors import BadValue, Code

_SLACK = 1e-9  # of the wanted unbalance: what floats lose in two angles close together
_SAME_ANGLE = 1e-6  # rad


@dataclass(frozen=True)
class Spot:
    """An angle where metal may be taken, and how much unbalance there is to take there."""

    angle_deg: float
    capacity_gmm: float | None = None

    @property
    def turn(self) -> complex:
        """Give the unit vector of the angle."""
        return cmath.exp(1j * math.radians(self.angle_deg))

    @property
    def most_gmm(self) -> float:
        """Give the capacity, infinite when none was said."""
        return math.inf if self.capacity_gmm is None else self.capacity_gmm


@dataclass(frozen=True)
class Split:
    """What each place takes, in the order they came, and what is left over (rounding)."""

    parts: tuple[Vector, ...]
    left_gmm: float

    @property
    def total_gmm(self) -> float:
        """Give the metal of all parts together."""
        return math.fsum(part.unbalance_gmm for part in self.parts)


def split_unbalance(wanted: Vector, spots: Sequence[Spot]) -> Split:
    """Share the wanted unbalance over the places with the least metal.

    Raises BadValue, saying why, when no shares at or above 0 and within the capacities make it.
    """
    checked_vector(wanted)
    _check_spots(spots)
    shares = _aligned(wanted, spots) or _best_pair(wanted, spots)
    if shares is None:
        _say_why(wanted, spots)
    parts = tuple(Vector(u, s.angle_deg) for u, s in zip(shares, spots, strict=True))
    left = wanted.plane - sum(u * s.turn for u, s in zip(shares, spots, strict=True))
    return Split(parts, abs(left))


def by_sines(wanted: Vector, first_deg: float, second_deg: float) -> tuple[float, float]:
    """Give the parts at two angles by the law of sines; negative where metal would be added.

    U1 = U·sin(φ2 − φ)/sin(φ2 − φ1), U2 = U·sin(φ − φ1)/sin(φ2 − φ1).
    """
    between = math.sin(math.radians(second_deg - first_deg))
    if abs(between) < _SAME_ANGLE:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected two places neither at the same angle nor opposite, got {first_deg:g}° and "
            f"{second_deg:g}°",
            field="places",
            expected="two angles that span a plane",
            got=f"{first_deg:g} and {second_deg:g}",
        )
    at_first = math.sin(math.radians(second_deg - wanted.angle_deg)) / between
    at_second = math.sin(math.radians(wanted.angle_deg - first_deg)) / between
    return wanted.unbalance_gmm * at_first, wanted.unbalance_gmm * at_second


def _aligned(wanted: Vector, spots: Sequence[Spot]) -> list[float] | None:
    """Give all to a place at the very angle: no other mix can need less."""
    for i, spot in enumerate(spots):
        same = abs(spot.turn - cmath.exp(1j * math.radians(wanted.angle_deg))) <= 1e-12
        enough = same and spot.most_gmm >= wanted.unbalance_gmm
        if enough or wanted.unbalance_gmm == 0:
            return [wanted.unbalance_gmm if j == i else 0.0 for j in range(len(spots))]
    return None


def _best_pair(wanted: Vector, spots: Sequence[Spot]) -> list[float] | None:
    """Try every pair as the one that is neither empty nor full; the rest follows from the dual."""
    best: list[float] | None = None
    for i, j in combinations(range(len(spots)), 2):
        shares = _shares_of_pair(wanted, spots, i, j)
        if shares is not None and (best is None or math.fsum(shares) < math.fsum(best)):
            best = shares
    return best


def _shares_of_pair(wanted: Vector, spots: Sequence[Spot], i: int, j: int) -> list[float] | None:
    between = _cross(spots[i].turn, spots[j].turn)
    if abs(between) < _SAME_ANGLE:
        return None
    # a_i·y = a_j·y = 1
    y = 1j * (spots[i].turn - spots[j].turn) / between
    shares = [_full_or_empty(spot, _dot(spot.turn, y)) for spot in spots]
    shares[i] = shares[j] = 0.0
    if math.inf in shares:
        return None
    rest = wanted.plane - sum(u * s.turn for u, s in zip(shares, spots, strict=True))
    shares[i] = _cross(rest, spots[j].turn) / between
    shares[j] = _cross(spots[i].turn, rest) / between
    for k in (i, j):
        most, slack = spots[k].most_gmm, _SLACK * wanted.unbalance_gmm
        if not -slack <= shares[k] <= most + slack:
            return None
        shares[k] = min(max(shares[k], 0.0), most)
    return shares


def _full_or_empty(spot: Spot, worth: float) -> float:
    return spot.most_gmm if worth > 1 else 0.0


def _say_why(wanted: Vector, spots: Sequence[Spot]) -> NoReturn:
    reach = _reach(wanted, spots)
    if reach > _SLACK * wanted.unbalance_gmm:
        _refuse(
            f"capacities that together reach {wanted.unbalance_gmm:.6g} g·mm at "
            f"{wanted.angle_deg:g}°",
            f"places that give at most {reach:.6g} g·mm there",
            "add a place, or raise a capacity",
        )
    expected = f"places on both sides of {wanted.angle_deg:g}°, less than 180° apart"
    shown = ", ".join(f"{spot.angle_deg:g}°" for spot in spots)
    if len(spots) == 2 and abs(_cross(spots[0].turn, spots[1].turn)) >= _SAME_ANGLE:
        parts = by_sines(wanted, spots[0].angle_deg, spots[1].angle_deg)
        worst = min(range(2), key=parts.__getitem__)
        if parts[worst] < 0:
            shown += f", of which {spots[worst].angle_deg:g}° would need {parts[worst]:.5g} g·mm"
    _refuse(expected, shown, "a negative part is metal put on; choose other places")


def _reach(wanted: Vector, spots: Sequence[Spot]) -> float:
    """Give the most that the places can make at the wanted angle.

    By duality the least of Σ capacity·max(0, a·y) over the y with y·d = 1: piecewise linear in
    one number, so its least lies where some a·y = 0.
    """
    along = cmath.exp(1j * math.radians(wanted.angle_deg))
    least = math.inf
    for spot in spots:
        forward, sideways = _dot(spot.turn, along), _dot(spot.turn, 1j * along)
        if abs(sideways) < 1e-12:
            continue
        y = along * complex(1, -forward / sideways)
        worths = [(_dot(s.turn, y), s.most_gmm) for s in spots]
        least = min(least, math.fsum(most * worth for worth, most in worths if worth > 1e-9))
    if math.isfinite(least):
        return least
    # only places along the line itself, or none with a limit
    return math.fsum(s.most_gmm for s in spots if _dot(s.turn, along) > 1 - 1e-12)


def _check_spots(spots: Sequence[Spot]) -> None:
    if not spots:
        raise BadValue(
            Code.MISSING,
            "expected at least one place, got none",
            field="places",
            expected="at least one place",
            got="none",
        )
    for i, spot in enumerate(spots):
        finite(f"places/{i}/angle_deg", spot.angle_deg)
        if spot.capacity_gmm is not None:
            at_least_zero(f"places/{i}/capacity_gmm", spot.capacity_gmm)
    for (i, one), (j, other) in combinations(enumerate(spots), 2):
        if abs(one.turn - other.turn) < _SAME_ANGLE:
            raise BadValue(
                Code.OUT_OF_RANGE,
                f"expected every place at an angle of its own, got the angle of place {i} again; "
                "give one place with what both can give",
                field=f"places/{j}/angle_deg",
                expected="an angle of its own",
                got=f"{other.angle_deg:g}",
            )


def _refuse(expected: str, got: str, do: str) -> NoReturn:
    raise BadValue(
        Code.OUT_OF_RANGE,
        f"this can't be split: expected {expected}, got {got}; {do}",
        field="places",
        expected=expected,
        got=got,
    )


def _cross(a: complex, b: complex) -> float:
    return a.real * b.imag - a.imag * b.real


def _dot(a: complex, b: complex) -> float:
    return a.real * b.real + a.imag * b.imag
