"""Drilled holes against checks/balance.md 5 (calc) and by numerical integration (SciPy)."""

from __future__ import annotations

import math
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from records.domain.balance.holes import (
    Direction,
    Drill,
    Hole,
    Place,
    hole_for_unbalance,
    hole_of_depth,
)
from records.domain.errors import BadValue

STEEL = 7.85
RADIAL, AXIAL = Direction.RADIAL, Direction.AXIAL


def rim(radius_mm: float = 85.0) -> Place:
    return Place(RADIAL, radius_mm, STEEL)


def integrated(drill: Drill, place: Place, hole: Hole) -> tuple[float, float]:
    """Mass and unbalance by ∫ρ·A dz and ∫ρ·A·r dz along the hole, the area read off its shape."""
    tan_half = math.tan(math.radians(drill.point_deg / 2))

    def area(z: float) -> float:
        return math.pi * min(drill.diameter_mm / 2, (hole.depth_to_tip_mm - z) * tan_half) ** 2

    def moment(z: float) -> float:
        return area(z) * (place.radius_mm - (z if place.direction is RADIAL else 0))

    bends = [hole.depth_mm] if hole.depth_mm else None
    grams = place.density_g_cm3 / 1000
    mass, unbalance = (
        grams * integrate.quad(f, 0, hole.depth_to_tip_mm, points=bends, epsabs=0, epsrel=1e-12)[0]
        for f in (area, moment)
    )
    return mass, unbalance


def curved(drill: Drill, place: Place, hole: Hole) -> tuple[float, float]:
    """Mass and unbalance with the rim round as it is, over the hole's cross-section."""
    half = drill.diameter_mm / 2
    tip = place.radius_mm - hole.depth_to_tip_mm

    def column(power: int, rho: float, turn: float) -> float:
        top = math.sqrt(place.radius_mm**2 - (rho * math.cos(turn)) ** 2)
        bottom = tip + rho / half * drill.point_height_mm
        return rho * (top**power - bottom**power) / power

    mass, unbalance = (
        place.density_g_cm3
        / 1000
        * integrate.dblquad(partial(column, power), 0, 2 * math.pi, 0, half)[0]
        for power in (1, 2)
    )
    return mass, unbalance


@pytest.mark.parametrize(
    ("point_deg", "height", "volume"),
    [(118, 0.30043, 0.078652), (135, 0.20711, 0.054220), (90, 0.5, math.pi / 24)],
)
def test_the_point_of_a_drill(point_deg: float, height: float, volume: float) -> None:
    drill = Drill(10, point_deg)
    assert drill.point_height_mm / 10 == pytest.approx(height, abs=5e-6)
    assert drill.point_volume_mm3 / 1000 == pytest.approx(volume, abs=5e-7)


@pytest.mark.parametrize(
    ("diameter", "depth", "radius", "mass_g", "gmm", "curved_g", "curved_gmm"),
    [
        (12.7, 20, 85, 21.15, 1572.6, 21.09, 1567.6),
        (12, 15, 80, 14.38, 1033.9, 14.33, 1029.9),
        (25.4, 25.4, 85, 111.15, 7888, 110.20, 7808),
    ],
)
def test_radial_holes(
    diameter: float,
    depth: float,
    radius: float,
    mass_g: float,
    gmm: float,
    curved_g: float,
    curved_gmm: float,
) -> None:
    drill, place = Drill(diameter, 118), rim(radius)
    hole = hole_of_depth(drill, place, depth)
    assert hole.mass_g == pytest.approx(mass_g, abs=5e-3)
    assert hole.unbalance_gmm == pytest.approx(gmm, rel=5e-5)
    assert hole.depth_to_tip_mm == pytest.approx(depth + 0.30043 * diameter, abs=1e-4)
    assert integrated(drill, place, hole) == pytest.approx((hole.mass_g, hole.unbalance_gmm))
    # the rim taken as flat says at most one per cent too much
    round_rim = curved(drill, place, hole)
    assert round_rim == pytest.approx((curved_g, curved_gmm), rel=5e-4)
    assert 1 < hole.unbalance_gmm / round_rim[1] < 1.011


def test_the_cone_left_out_would_lose_six_per_cent() -> None:
    hole = hole_of_depth(Drill(12.7, 118), rim(), 20)
    flat = hole_of_depth(Drill(12.7, 180), rim(), 20)
    assert hole.mass_g - flat.mass_g == pytest.approx(1.26, abs=5e-3)
    assert flat.depth_to_tip_mm == pytest.approx(20)


def test_the_depth_for_an_ounce_inch() -> None:
    hole = hole_for_unbalance(Drill(12.7, 118), rim(), 720.077887375)
    assert hole.depth_mm == pytest.approx(7.729, abs=5e-4)
    assert hole.unbalance_gmm == pytest.approx(720.077887375)


def test_less_than_the_point_takes_only_part_of_the_point() -> None:
    drill = Drill(12.7, 118)
    assert hole_of_depth(drill, rim(), 0).unbalance_gmm == pytest.approx(106, abs=0.5)
    hole = hole_for_unbalance(drill, rim(), 50)
    assert hole.depth_mm == 0
    assert hole.depth_to_tip_mm == pytest.approx(2.965, abs=5e-4)
    assert hole.mouth_mm == pytest.approx(9.87, abs=5e-3)
    assert integrated(drill, rim(), hole) == pytest.approx((hole.mass_g, 50))


def test_an_axial_hole_is_its_mass_times_its_radius() -> None:
    drill, place = Drill(12, 118), Place(AXIAL, 60, STEEL)
    hole = hole_of_depth(drill, place, 10)
    assert hole.unbalance_gmm == pytest.approx(60 * hole.mass_g)
    assert integrated(drill, place, hole) == pytest.approx((hole.mass_g, hole.unbalance_gmm))


@settings(max_examples=150)
@given(
    st.floats(3, 30),
    st.sampled_from([60.0, 90.0, 118.0, 135.0, 180.0]),
    st.floats(60, 200),
    st.floats(0.001, 30),
    st.sampled_from([RADIAL, AXIAL]),
)
def test_depth_and_unbalance_undo_each_other(
    diameter: float, point: float, radius: float, depth: float, direction: Direction
) -> None:
    drill, place = Drill(diameter, point), Place(direction, radius, STEEL)
    hole = hole_of_depth(drill, place, depth)
    again = hole_for_unbalance(drill, place, hole.unbalance_gmm)
    assert again.depth_mm == pytest.approx(depth, rel=1e-9, abs=1e-9)
    assert integrated(drill, place, again)[1] == pytest.approx(hole.unbalance_gmm, rel=1e-9)


@given(st.floats(3, 30), st.floats(20, 170), st.floats(40, 200), st.floats(0.001, 0.999))
def test_any_share_of_the_point_can_be_solved(
    diameter: float, point: float, radius: float, share: float
) -> None:
    drill, place = Drill(diameter, point), rim(radius)
    if drill.point_height_mm > radius:
        return
    wanted = share * hole_of_depth(drill, place, 0).unbalance_gmm
    hole = hole_for_unbalance(drill, place, wanted)
    assert hole.depth_mm == 0
    assert hole.mouth_mm <= diameter * (1 + 1e-12)
    assert integrated(drill, place, hole)[1] == pytest.approx(wanted, rel=1e-9)


def test_a_hole_that_breaks_through_is_refused() -> None:
    web = Place(AXIAL, 60, STEEL, thickness_mm=20, smallest_wall_mm=3)
    drill = Drill(12, 118)  # point 3.605 mm: 13.395 mm of full depth leave 3 mm
    assert hole_of_depth(drill, web, 13.39).depth_to_tip_mm < 17
    with pytest.raises(BadValue, match="break through") as refused:
        hole_of_depth(drill, web, 13.40)
    assert refused.value.field == "depth_mm"
    wanted = hole_of_depth(drill, Place(AXIAL, 60, STEEL), 14).unbalance_gmm
    with pytest.raises(BadValue, match="break through") as refused:
        hole_for_unbalance(drill, web, wanted)
    assert refused.value.field == "unbalance_gmm"


def test_a_radial_hole_ends_at_the_axis() -> None:
    drill = Drill(12.7, 118)
    with pytest.raises(BadValue, match="break through"):
        hole_of_depth(drill, rim(), 82)
    most = hole_of_depth(drill, rim(), 85 - drill.point_height_mm).unbalance_gmm
    assert hole_for_unbalance(drill, rim(), most * 0.999).depth_to_tip_mm < 85
    with pytest.raises(BadValue, match="break through"):
        hole_for_unbalance(drill, rim(), most * 1.001)
    with pytest.raises(BadValue, match="break through"):
        hole_for_unbalance(drill, rim(), most * 100)


def test_a_needle_of_a_point_is_solved_within_the_rim() -> None:
    needle = Drill(20, 5)  # its point is 229 mm high, longer than the rim's radius
    assert hole_for_unbalance(needle, rim(), 10).depth_to_tip_mm < 85
    with pytest.raises(BadValue, match="break through"):
        hole_for_unbalance(needle, rim(), 1e5)
    with pytest.raises(BadValue, match="break through"):
        hole_of_depth(needle, rim(), 0)


@pytest.mark.parametrize("unbalance_gmm", [0.0, -50.0, math.nan, math.inf])
def test_a_negative_removal_is_refused(unbalance_gmm: float) -> None:
    with pytest.raises(BadValue) as refused:
        hole_for_unbalance(Drill(12.7, 118), rim(), unbalance_gmm)
    assert refused.value.field == "unbalance_gmm"


def test_a_hole_wider_than_the_rim_is_refused() -> None:
    with pytest.raises(BadValue) as refused:
        hole_of_depth(Drill(170, 118), rim(), 1)
    assert refused.value.field == "diameter_mm"


@pytest.mark.parametrize("point_deg", [0.0, -118.0, 181.0, math.nan])
def test_a_point_that_cannot_be_is_refused(point_deg: float) -> None:
    with pytest.raises(BadValue) as refused:
        Drill(10, point_deg)
    assert refused.value.field == "point_deg"
