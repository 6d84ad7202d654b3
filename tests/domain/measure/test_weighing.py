"""One weighing in the form of EURAMET cg-18, against published rows and against GTC."""

from __future__ import annotations

import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from records.domain.errors import BadValue
from records.domain.measure.scale import (
    CertificatePoint,
    Eccentricity,
    Repeatability,
    Scale,
)
from records.domain.measure.weighing import weigh
from tests.domain.measure.examples import plain_scale, scale_5142

SMALL = st.floats(0.001, 1.0)


def test_the_published_row_of_a_220_g_scale() -> None:
    """Vignette of CRAN masscor: 211.1342 g on 220 g x 0.1 mg; u(E), u(R), u(W) as printed."""
    scale = Scale(
        d_g=1e-4,
        d0_g=1e-4,
        s_g=4e-5,
        eccentricity=Eccentricity(100, 1e-4),
        certificate=(CertificatePoint(200, -2e-4, 4e-4), CertificatePoint(220, -2e-4, 5e-4)),
    )
    weighing = weigh(scale, 211.1342)
    assert weighing.mass_g == pytest.approx(211.1344, abs=1e-9)
    assert weighing.u_error_g == pytest.approx(0.0002278355, abs=5e-11)
    assert weighing.u_reading_g == pytest.approx(8.35552e-05, abs=5e-11)
    assert weighing.u_g == pytest.approx(0.0002426736, abs=5e-11)


@pytest.mark.parametrize(
    ("reading_g", "mass_g", "in_mg"),
    [
        (100, 100.00, (5.0, 6.481, 8.185, 16.37)),
        (500, 500.01, (10.0, 7.071, 12.247, 24.49)),
        (1000, 1000.02, (10.0, 8.660, 13.229, 26.46)),
    ],
)
def test_the_rows_of_certificate_5142(
    reading_g: float, mass_g: float, in_mg: tuple[float, float, float, float]
) -> None:
    """Certificate 5142 (INM Colombia, data set of CRAN masscor); rows computed in its form."""
    u_error_mg, u_reading_mg, u_mg, U_mg = in_mg
    weighing = weigh(scale_5142(), reading_g)
    assert weighing.mass_g == pytest.approx(mass_g, abs=1e-9)
    assert weighing.u_error_g * 1000 == pytest.approx(u_error_mg, abs=0.0005)
    assert weighing.u_reading_g * 1000 == pytest.approx(u_reading_mg, abs=0.0005)
    assert weighing.u_g * 1000 == pytest.approx(u_mg, abs=0.0005)
    assert weighing.U_g * 1000 == pytest.approx(U_mg, abs=0.005)
    assert weighing.k == 2.0


@pytest.mark.parametrize(
    ("d_g", "s_g", "u_g", "U_g"),
    [
        (0.1, 0.05, 0.06455, 0.1291),
        (0.1, 0.03, 0.05066, 0.1013),
        (0.01, 0.005, 0.006455, 0.01291),
        (1, 0.5, 0.6455, 1.291),
    ],
)
def test_the_formula_rows_without_a_certificate(
    d_g: float, s_g: float, u_g: float, U_g: float
) -> None:
    """Computed by the form of cg-18, no calibration term."""
    weighing = weigh(plain_scale(d_g, s_g), 500)
    assert weighing.u_g == pytest.approx(u_g, rel=1e-4)
    assert weighing.U_g == pytest.approx(U_g, rel=5e-4)
    assert weighing.mass_g == 500


def test_averaging_thins_repeatability_and_leaves_rounding() -> None:
    one, four = weigh(plain_scale(), 500), weigh(plain_scale(), 500, 4)
    assert four.u_repeat_g == pytest.approx(one.u_repeat_g / 2)
    assert four.u_g**2 == pytest.approx(0.05**2 / 4 + 2 * 0.1**2 / 12)


def test_drift_is_a_half_width() -> None:
    scale = Scale(0.1, 0.1, 0.05, drift_g=0.3)
    assert weigh(scale, 500).u_drift_g == pytest.approx(0.3 / math.sqrt(3))
    assert weigh(scale, 500).u_g == pytest.approx(math.hypot(0.3 / math.sqrt(3), 0.0645497))


def test_zero_may_have_a_step_of_its_own() -> None:
    assert weigh(Scale(0.1, 0.01, 0.0), 500).u_g == pytest.approx(
        math.sqrt((0.1**2 + 0.01**2) / 12)
    )


@pytest.mark.parametrize("reading_g", [-0.1, float("nan"), float("inf")])
def test_it_refuses_a_reading_that_cant_be(reading_g: float) -> None:
    with pytest.raises(BadValue) as refused:
        weigh(plain_scale(), reading_g)
    assert refused.value.field == "reading_g"


def test_it_refuses_no_reading_at_all() -> None:
    with pytest.raises(BadValue) as refused:
        weigh(plain_scale(), 500, 0)
    assert refused.value.field == "n"


@given(st.floats(1, 1999), st.integers(1, 60), st.integers(1, 9), st.tuples(*[SMALL] * 6))
def test_it_agrees_with_gtc_and_scipy(
    reading_g: float, nu_s: int, n: int, sizes_g: tuple[float, ...]
) -> None:
    d_g, s_g, U1_g, U2_g, drift_g, off_g = sizes_g
    certificate = (CertificatePoint(0, 0.1, U1_g), CertificatePoint(2000, -0.1, U2_g))
    scale = Scale(
        d_g, d_g, (Repeatability(0, s_g),), nu_s, drift_g, Eccentricity(1000, off_g), certificate
    )
    weighing = weigh(scale, reading_g, n)

    share = reading_g / 2000
    error = GTC.ureal(0.1 - 0.2 * share, (U1_g + (U2_g - U1_g) * share) / 2)
    width = reading_g * off_g / 2000
    private = (
        GTC.ureal(0, GTC.type_b.uniform(d_g / 2))
        + GTC.ureal(0, GTC.type_b.uniform(d_g / 2))
        + GTC.ureal(0, GTC.type_b.uniform(width))
        + GTC.ureal(0, s_g / math.sqrt(n), nu_s)
    )
    expected = reading_g - error + private + GTC.ureal(0, GTC.type_b.uniform(drift_g))
    assert weighing.mass_g == pytest.approx(GTC.value(expected), rel=1e-9)
    assert weighing.u_g == pytest.approx(GTC.uncertainty(expected), rel=1e-9)
    assert weighing.u_reading_g == pytest.approx(GTC.uncertainty(private), rel=1e-9)
    assert weighing.nu_eff == pytest.approx(GTC.dof(expected), rel=1e-9)
    assert weighing.nu_eff is not None
    k = stats.t.ppf(0.97725, math.floor(weighing.nu_eff))
    assert weighing.U_g == pytest.approx(k * weighing.u_g, rel=1e-9)
    assert math.hypot(*(line.u_g for line in weighing.budget)) == pytest.approx(weighing.u_g)
