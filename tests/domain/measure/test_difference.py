"""The difference of two readings on one scale [derived from GUM 5.2.2, verified with GTC]."""

from __future__ import annotations

import math
from dataclasses import replace

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue
from records.domain.measure.difference import apart, difference
from records.domain.measure.scale import CertificatePoint, Eccentricity, Scale
from records.domain.measure.sums import Term, combine
from records.domain.measure.weighing import weigh
from tests.domain.measure.examples import plain_scale, shop_scale

SMALL = st.floats(0.001, 1.0)
READING = st.floats(1, 1999)


@pytest.mark.parametrize(
    ("shared_zero", "same_spot", "u_g"),
    [(False, False, 0.010034), (True, False, 0.009166), (True, True, 0.008165)],
)
def test_what_is_shared_cancels(shared_zero: bool, same_spot: bool, u_g: float) -> None:
    """512.34 and 508.12 g, d .01, s .005, u(E) .010 (computed with GTC)."""
    found = difference(shop_scale(), 512.34, 508.12, shared_zero=shared_zero, same_spot=same_spot)
    assert found.difference_g == pytest.approx(4.22)
    assert found.u_g == pytest.approx(u_g, abs=5e-7)


def test_on_two_scales_nothing_cancels() -> None:
    """The naive row of the same table: 0.017340 g."""
    first, second = weigh(shop_scale(), 512.34), weigh(shop_scale(), 508.12)
    assert apart(first, second).u_g == pytest.approx(0.017340, abs=5e-7)
    assert apart(first, second).difference_g == pytest.approx(4.22)


@pytest.mark.parametrize(
    ("d_g", "s_g", "own_zeros_g", "one_zero_g"),
    [
        (0.1, 0.05, 0.09129, 0.08165),
        (0.1, 0.03, 0.07165, 0.05888),
        (0.01, 0.005, 0.009129, 0.008165),
        (1, 0.5, 0.9129, 0.8165),
    ],
)
def test_the_formula_rows_without_a_certificate(
    d_g: float, s_g: float, own_zeros_g: float, one_zero_g: float
) -> None:
    """Computed by the form of cg-18, no calibration term."""
    scale = plain_scale(d_g, s_g)
    assert difference(scale, 510, 505).u_g == pytest.approx(own_zeros_g, rel=1e-4)
    assert difference(scale, 510, 505, shared_zero=True).u_g == pytest.approx(one_zero_g, rel=1e-4)


def test_a_slope_of_one_in_a_hundred_thousand_is_not_felt() -> None:
    """The last row of the table: adding u(b) = 1e-5 changes u by less than 1e-7."""
    plain = difference(shop_scale(), 512.34, 508.12)
    tilted = difference(replace(shop_scale(), u_slope=1e-5), 512.34, 508.12)
    assert 0 < tilted.u_g - plain.u_g < 1e-7


def test_the_slope_counts_with_the_distance() -> None:
    scale = Scale(0.01, 0.01, 0.0, u_slope=1e-4)
    found = difference(scale, 1500, 500)
    assert found.u_g == pytest.approx(math.sqrt(4 * 0.01**2 / 12 + 0.1**2))


def test_the_error_at_each_load_is_taken_off() -> None:
    points = (CertificatePoint(0, 0.0, 0.02), CertificatePoint(1000, 0.5, 0.06))
    found = difference(Scale(0.1, 0.1, 0.0, certificate=points), 600, 200)
    assert found.difference_g == pytest.approx(400 - 0.2)
    left = found.u_g**2 - 4 * 0.1**2 / 12
    assert left == pytest.approx((0.022 - 0.014) ** 2)


def test_averaging_thins_each_side_by_its_own_count() -> None:
    found = difference(plain_scale(), 510, 505, n1=4, n2=2)
    assert found.u_g**2 == pytest.approx(0.05**2 * (1 / 4 + 1 / 2) + 4 * 0.1**2 / 12)


@pytest.mark.parametrize(
    ("readings", "field"), [((-1, 5), "reading1_g"), ((5, 2001), "reading2_g")]
)
def test_it_refuses_a_reading_that_cant_be(readings: tuple[float, float], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        difference(shop_scale(), *readings)
    assert refused.value.field == field


@given(READING, READING, st.integers(1, 40), st.tuples(*[SMALL] * 5))
def test_it_agrees_with_gtc_that_follows_shared_inputs(
    r1_g: float, r2_g: float, nu_s: int, sizes_g: tuple[float, ...]
) -> None:
    d_g, s_g, U1_g, U2_g, off_g = sizes_g
    points = (CertificatePoint(0, 0.2, U1_g), CertificatePoint(2000, -0.2, U2_g))
    scale = Scale(d_g, d_g, s_g, nu_s, 0.5, Eccentricity(1000, off_g), points)
    found = difference(scale, r1_g, r2_g)

    # One standard normal input stands for the calibration that both readings share.
    shared, drift = GTC.ureal(0, 1), GTC.ureal(0, 0.5 / math.sqrt(3))
    scatter = GTC.ureal(0, math.sqrt(2) * s_g, nu_s)

    def corrected(reading_g: float) -> GTC.lib.UncertainReal:
        share = reading_g / 2000
        error = 0.2 - 0.4 * share + shared * (U1_g + (U2_g - U1_g) * share) / 2
        u_off_g = reading_g * off_g / (2000 * math.sqrt(3))
        rounding = GTC.ureal(0, d_g / math.sqrt(12)) + GTC.ureal(0, d_g / math.sqrt(12))
        return reading_g - error + drift + rounding + GTC.ureal(0, u_off_g)

    expected = corrected(r1_g) - corrected(r2_g) + scatter
    assert found.difference_g == pytest.approx(GTC.value(expected), rel=1e-9, abs=1e-9)
    assert found.u_g == pytest.approx(GTC.uncertainty(expected), rel=1e-9)
    assert found.nu_eff == pytest.approx(GTC.dof(expected), rel=1e-8)


@given(READING, READING)
def test_a_difference_is_the_sum_with_a_minus(r1_g: float, r2_g: float) -> None:
    scale = shop_scale(nu_s=7, drift_g=0.02)
    found = difference(scale, r1_g, r2_g)
    terms = [Term(1, weigh(scale, r1_g), "S-02"), Term(-1, weigh(scale, r2_g), "S-02")]
    assert combine(terms).u_g == pytest.approx(found.u_g, rel=1e-9)
    assert combine(terms).nu_eff == pytest.approx(found.nu_eff, rel=1e-9)
