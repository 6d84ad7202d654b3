"""Unbalance tolerance and forces against checks/balance.md 4 (ISO 21940-11; calc)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.unbalance import (
    mass_at_radius,
    permissible_unbalance,
    setting_up_error,
    share_to_planes,
    unbalance_force,
)
from records.domain.errors import BadValue

OZ_IN_GMM = 720.077887375
LBF_N = 4.4482216152605


@pytest.mark.parametrize(
    ("grade", "mass_kg", "rpm", "gmm", "oz_in"),
    [
        (2.5, 3600, 3000, 28_647.9, 39.78),
        (6.3, 10, 6000, 100.27, 0.1392),
        (16, 25, 7000, 545.67, 0.7578),
        (6.3, 8, 7000, 68.75, 0.0955),
    ],
)
def test_the_permissible_unbalance(
    grade: float, mass_kg: float, rpm: float, gmm: float, oz_in: float
) -> None:
    whole = permissible_unbalance(grade_mm_s=grade, mass_kg=mass_kg, service_rpm=rpm)
    assert whole == pytest.approx(gmm, rel=1e-4)
    assert whole / OZ_IN_GMM == pytest.approx(oz_in, rel=6e-4)
    # another route: eccentricity in mm is G/ω, in a rotor of so many grams
    assert whole == pytest.approx(grade / (rpm * math.pi / 30) * mass_kg * 1000)


def test_the_us_form_is_the_same() -> None:
    # checks/balance.md 4: U[oz·in] = 6.0153·G·W[lb]/n (constant calc, form from memory)
    whole = permissible_unbalance(grade_mm_s=6.3, mass_kg=50 * 0.45359237, service_rpm=6000)
    assert whole / OZ_IN_GMM == pytest.approx(6.0153 * 6.3 * 50 / 6000, rel=1e-5)


def test_the_planes_of_the_annex() -> None:
    # ISO annex inputs from memory: 10.7e3 and 17.9e3 remembered
    planes = share_to_planes(28_647.9, plane_a_mm=0, plane_b_mm=2400, cg_mm=1500)
    assert planes.plane_a_gmm == pytest.approx(10_743, rel=1e-4)
    assert planes.plane_b_gmm == pytest.approx(17_905, rel=1e-4)
    assert (planes.overhung, planes.held) == (False, False)


def test_inboard_shares_are_held_between_three_and_seven_tenths() -> None:
    planes = share_to_planes(100, plane_a_mm=0, plane_b_mm=400, cg_mm=50)
    assert (planes.plane_a_gmm, planes.plane_b_gmm) == pytest.approx((70, 30))
    assert planes.held


def test_overhung_shares_go_from_three_to_thirteen_tenths() -> None:
    planes = share_to_planes(100, plane_a_mm=0, plane_b_mm=200, cg_mm=260)
    assert (planes.plane_a_gmm, planes.plane_b_gmm) == pytest.approx((30, 130))
    assert planes.overhung
    far = share_to_planes(100, plane_a_mm=0, plane_b_mm=200, cg_mm=1000)
    assert (far.plane_a_gmm, far.plane_b_gmm) == pytest.approx((130, 130))
    assert far.held  # both held: the planes then say more than the whole


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(-900, 900))
def test_planes_may_be_named_either_way_round(a: float, b: float, cg: float) -> None:
    if abs(a - b) < 1:
        return
    one = share_to_planes(100, plane_a_mm=a, plane_b_mm=b, cg_mm=cg)
    other = share_to_planes(100, plane_a_mm=b, plane_b_mm=a, cg_mm=cg)
    assert (one.plane_a_gmm, one.plane_b_gmm) == (other.plane_b_gmm, other.plane_a_gmm)
    if not one.overhung:
        assert one.plane_a_gmm + one.plane_b_gmm == pytest.approx(100)


def test_the_force_of_an_unbalance() -> None:
    assert unbalance_force(1, 1000) == pytest.approx(0.010966, abs=5e-7)
    assert unbalance_force(OZ_IN_GMM, 1000) == pytest.approx(7.897, abs=5e-4)
    assert unbalance_force(OZ_IN_GMM, 1000) / LBF_N == pytest.approx(1.7752, abs=5e-5)


@pytest.mark.parametrize(
    ("oz_in", "rpm", "calc_lbf", "printed_lbf"),
    [
        (2, 1000, 3.550, 3.56),
        (2, 2000, 14.202, 14.25),
        (2, 4000, 56.807, 56.5),
        (2, 8000, 227.23, 228),
        (1, 2000, 7.10, 7),
        (1, 8000, 113.6, 114),
    ],
)
def test_printed_forces(oz_in: float, rpm: float, calc_lbf: float, printed_lbf: float) -> None:
    lbf = unbalance_force(oz_in * OZ_IN_GMM, rpm) / LBF_N
    assert lbf == pytest.approx(calc_lbf, rel=4e-4)
    assert lbf == pytest.approx(printed_lbf, rel=0.02)


def test_the_printed_twenty_three_and_a_half_pounds_is_a_misprint() -> None:
    # printed beside 7 and 114 lb; four times 7.10 is 28.40
    lbf = unbalance_force(OZ_IN_GMM, 4000) / LBF_N
    assert lbf == pytest.approx(28.40, abs=5e-3)
    assert lbf != pytest.approx(23.5, rel=0.15)
    assert lbf == pytest.approx(4 * unbalance_force(OZ_IN_GMM, 2000) / LBF_N)


def test_grams_at_a_radius() -> None:
    # checks/balance.md 4: 2 oz·in at 3.0 in: calc 18.900 g, printed 18.95
    assert mass_at_radius(2 * OZ_IN_GMM, 76.2) == pytest.approx(18.900, abs=5e-4)
    assert mass_at_radius(2 * OZ_IN_GMM, 76.2) == pytest.approx(18.95, abs=0.06)


def test_what_an_eccentric_seat_feigns() -> None:
    assert setting_up_error(10, 10) == 100
    assert setting_up_error(8, 10) == 80
    # more than the flywheel may keep at G 6.3 and 7000 rpm
    assert setting_up_error(8, 10) > permissible_unbalance(
        grade_mm_s=6.3, mass_kg=8, service_rpm=7000
    )


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(BadValue) as refused:
        share_to_planes(100, plane_a_mm=5, plane_b_mm=5, cg_mm=5)
    assert refused.value.field == "plane_b_mm"
    with pytest.raises(BadValue) as refused:
        permissible_unbalance(grade_mm_s=6.3, mass_kg=8, service_rpm=0)
    assert refused.value.field == "service_rpm"
    with pytest.raises(BadValue) as refused:
        unbalance_force(-1, 1000)
    assert refused.value.field == "unbalance_gmm"
    with pytest.raises(BadValue) as refused:
        mass_at_radius(1, 0)
    assert refused.value.field == "radius_mm"
