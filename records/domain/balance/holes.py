"""Drilled holes: the metal and the unbalance that a drill with a point takes, and how deep to go.

Statics: U = ∫ ρ·A(r)·r dr. A radial hole is drilled from the rim toward the axis, an axial one
along it. depth_mm is the depth at full diameter; the point goes below it. Where the wanted
unbalance is less than the point alone takes, only a partial cone goes in. Lengths mm, density
g/cm³. The rim is taken as flat at the mouth: D²/(32·R) of depth is lost to its curve.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from records.domain.balance.possible import above_zero, at_least_zero, finite, out_of_range
from records.domain.errors import BadValue, Code


class Direction(StrEnum):
    """Which way a hole runs."""

    RADIAL = "radial"
    AXIAL = "axial"


@dataclass(frozen=True)
class Drill:
    """A drill: its diameter and the full angle of its point (180 is flat)."""

    diameter_mm: float
    point_deg: float

    def __post_init__(self) -> None:
        above_zero("diameter_mm", self.diameter_mm)
        if not 0 < finite("point_deg", self.point_deg) <= 180:
            raise out_of_range("point_deg", "more than 0, at most 180", self.point_deg)

    @property
    def spread(self) -> float:
        """Give the radius that a point has per mm of its height."""
        return math.tan(math.radians(self.point_deg) / 2)

    @property
    def point_height_mm(self) -> float:
        """Give the height of the whole point."""
        return self.diameter_mm / 2 / self.spread

    @property
    def area_mm2(self) -> float:
        """Give the cross-section at full diameter."""
        return math.pi * self.diameter_mm**2 / 4

    @property
    def point_volume_mm3(self) -> float:
        """Give the volume of the whole point."""
        return self.area_mm2 * self.point_height_mm / 3


@dataclass(frozen=True)
class Place:
    """Where a hole goes: the rim's radius (radial) or the hole centre's (axial), and how far.

    thickness_mm is the metal along the hole to whatever lies behind it, smallest_wall_mm what
    must stay of it before the tip. Radial holes end at the axis at the latest.
    """

    direction: Direction
    radius_mm: float
    density_g_cm3: float
    thickness_mm: float | None = None
    smallest_wall_mm: float = 0.0

    def __post_init__(self) -> None:
        above_zero("radius_mm", self.radius_mm)
        above_zero("density_g_cm3", self.density_g_cm3)
        at_least_zero("smallest_wall_mm", self.smallest_wall_mm)
        if self.thickness_mm is not None:
            above_zero("thickness_mm", self.thickness_mm)

    @property
    def deepest_tip_mm(self) -> float:
        """Give how deep the tip may go: infinite where nothing is known to lie behind."""
        behind = math.inf if self.thickness_mm is None else self.thickness_mm
        if self.direction is Direction.RADIAL:
            behind = min(behind, self.radius_mm)
        return behind - self.smallest_wall_mm


@dataclass(frozen=True)
class Hole:
    """A hole: what it takes, its depth at full diameter, to the tip, and the width of its mouth."""

    mass_g: float
    unbalance_gmm: float
    depth_mm: float
    depth_to_tip_mm: float
    mouth_mm: float


def hole_of_depth(drill: Drill, place: Place, depth_mm: float) -> Hole:
    """Reckon a hole from its depth at full diameter; at 0 the point goes in to its full width.

    Raises BadValue for a hole that breaks through or is wider than the rim.
    """
    _check_width(drill, place)
    at_least_zero("depth_mm", depth_mm)
    hole = _hole(drill, place, depth_mm)
    _refuse_through(hole, place, "depth_mm")
    return hole


def hole_for_unbalance(drill: Drill, place: Place, unbalance_gmm: float) -> Hole:
    """Reckon how deep to drill for a wanted unbalance: a partial cone where the point suffices.

    Raises BadValue when no such hole is possible there: it breaks through or leaves too little.
    """
    _check_width(drill, place)
    above_zero("unbalance_gmm", unbalance_gmm)
    hole = _cone_for(drill, place, unbalance_gmm)
    if hole is None:
        hole = _hole(drill, place, _depth_for(drill, place, unbalance_gmm))
    _refuse_through(hole, place, "unbalance_gmm")
    return hole


def _hole(drill: Drill, place: Place, depth_mm: float) -> Hole:
    shaft, point = drill.area_mm2 * depth_mm, drill.point_volume_mm3
    tip_mm = depth_mm + drill.point_height_mm
    if place.direction is Direction.AXIAL:
        moment = (shaft + point) * place.radius_mm
    else:
        # a cone's centre of mass is a quarter of its height below its base
        point_r = place.radius_mm - depth_mm - drill.point_height_mm / 4
        moment = shaft * (place.radius_mm - depth_mm / 2) + point * point_r
    grams = place.density_g_cm3 / 1000
    return Hole(grams * (shaft + point), grams * moment, depth_mm, tip_mm, drill.diameter_mm)


def _depth_for(drill: Drill, place: Place, unbalance_gmm: float) -> float:
    """Solve the depth at full diameter: linear along the axis, a quadratic along the radius."""
    area, point = drill.area_mm2, drill.point_volume_mm3
    wanted = 1000 * unbalance_gmm / place.density_g_cm3
    if place.direction is Direction.AXIAL:
        return max(0.0, (wanted / place.radius_mm - point) / area)
    # A·t²/2 − (A·R − V)·t + W − V·(R − h/4) = 0, the smaller root, written without cancelling
    slope = area * place.radius_mm - point
    rest = wanted - point * (place.radius_mm - drill.point_height_mm / 4)
    inside = slope * slope - 2 * area * rest
    if inside < 0 or slope <= 0:
        raise _through(place, "unbalance_gmm", "more unbalance than all metal down to the axis has")
    return max(0.0, 2 * rest / (slope + math.sqrt(inside)))


def _cone_for(drill: Drill, place: Place, unbalance_gmm: float) -> Hole | None:
    """Solve how deep the point goes in; None where the whole point takes less than is wanted.

    U = ρ·(π/3)·p³·tan²κ times its radius grows with the depth p as far as the axis.
    """
    low, high = 0.0, drill.point_height_mm
    if place.direction is Direction.RADIAL:
        high = min(high, place.radius_mm)
    if unbalance_gmm >= _cone(drill, place, high).unbalance_gmm:
        return None
    # halving until the floats meet; Newton would save little and need a guard
    while low < (middle := (low + high) / 2) < high:
        if _cone(drill, place, middle).unbalance_gmm < unbalance_gmm:
            low = middle
        else:
            high = middle
    return _cone(drill, place, high)


def _cone(drill: Drill, place: Place, tip_mm: float) -> Hole:
    mass_g = place.density_g_cm3 / 1000 * math.pi / 3 * tip_mm**3 * drill.spread**2
    inward = tip_mm / 4 if place.direction is Direction.RADIAL else 0.0
    moment = mass_g * (place.radius_mm - inward)
    return Hole(mass_g, moment, 0.0, tip_mm, 2 * tip_mm * drill.spread)


def _check_width(drill: Drill, place: Place) -> None:
    if place.direction is Direction.RADIAL and drill.diameter_mm >= 2 * place.radius_mm:
        raise out_of_range(
            "diameter_mm",
            f"less than the rim's diameter ({2 * place.radius_mm:g})",
            drill.diameter_mm,
        )


def _refuse_through(hole: Hole, place: Place, field: str) -> None:
    if hole.depth_to_tip_mm > place.deepest_tip_mm * (1 + 1e-12):
        raise _through(place, field, f"a tip {hole.depth_to_tip_mm:.4g} mm deep")


def _through(place: Place, field: str, got: str) -> BadValue:
    deepest = f"at most {max(place.deepest_tip_mm, 0.0):.4g} mm to the tip"
    return BadValue(
        Code.OUT_OF_RANGE,
        f"the hole would break through or leave too thin a wall: expected {deepest}, got {got}; "
        "use a wider drill, a larger radius or a second hole",
        field=field,
        expected=deepest,
        got=got,
    )
