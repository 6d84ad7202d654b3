"""Rod ends: statics [derived, checked with GTC]; 600 g, 150 mm, 45 mm from the big end."""

from __future__ import annotations

import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue
from records.domain.measure.rod_ends import Contact, closure, hung_end, share_ends
from records.domain.measure.scale import CertificatePoint, Scale
from records.domain.measure.weighing import weigh
from tests.domain.measure.examples import plain_scale

FIRM = Contact(0.0, 0.0)
LOOSE = Contact(0.05, 0.05)


def test_each_end_carries_its_share() -> None:
    assert share_ends(600, 150, 45) == pytest.approx((420, 180))


def test_the_contact_dominates() -> None:
    """d .1, s .1, u(e) .05 mm each: u = 0.186726 g, U = 0.373 g; budget as in the table."""
    end = hung_end(plain_scale(0.1, 0.1), 420, 180, 150, LOOSE, is_big=True)
    assert end.u_g == pytest.approx(0.186726, abs=5e-7)
    assert end.U_g == pytest.approx(0.373, abs=5e-4)
    budget = {line.source: line.u_g for line in end.budget}
    assert budget["contact at the big end"] == pytest.approx(0.14)
    assert budget["contact at the small end"] == pytest.approx(0.06)
    assert budget["repeatability"] == pytest.approx(0.10)
    assert budget["rounding at load"] == pytest.approx(0.0289, abs=5e-5)
    assert budget["rounding at zero"] == pytest.approx(0.0289, abs=5e-5)


def test_without_contact_only_the_scale_is_left() -> None:
    """u(e) = 0: 0.108012 g."""
    end = hung_end(plain_scale(0.1, 0.1), 420, 180, 150, FIRM, is_big=True)
    assert end.u_g == pytest.approx(0.108012, abs=5e-7)


def test_hanging_anew_thins_contact_and_repeatability() -> None:
    end = hung_end(plain_scale(0.1, 0.1), 420, 180, 150, LOOSE, is_big=True, hangings=4)
    private = (0.14**2 + 0.06**2 + 0.1**2) / 4 + 2 * 0.1**2 / 12
    assert end.u_g == pytest.approx(math.sqrt(private))


@given(st.floats(200, 900), st.floats(0.1, 0.9), st.floats(100, 200), st.floats(0.001, 0.2))
def test_both_ends_agree_with_gtc(
    rod_g: float, share: float, length_mm: float, e_mm: float
) -> None:
    big_g, small_g = share_ends(rod_g, length_mm, share * length_mm)
    scale = plain_scale(0.1, 0.05)
    contact = Contact(e_mm, 2 * e_mm)
    e_big, e_small = GTC.ureal(0, e_mm), GTC.ureal(0, 2 * e_mm)
    span = length_mm + e_small - e_big
    small_hung = rod_g * (share * length_mm - e_big) / span + GTC.ureal(0, weigh(scale, 1).u_g)
    big_hung = rod_g * (length_mm * (1 - share) + e_small) / span
    big_hung += GTC.ureal(0, weigh(scale, 1).u_g)
    big = hung_end(scale, big_g, small_g, length_mm, contact, is_big=True)
    small = hung_end(scale, small_g, big_g, length_mm, contact, is_big=False)
    assert big.u_g == pytest.approx(GTC.uncertainty(big_hung), rel=1e-9)
    assert small.u_g == pytest.approx(GTC.uncertainty(small_hung), rel=1e-9)


def test_closure_is_compared_with_its_own_uncertainty() -> None:
    """u(C) = sqrt(3 (s^2 + 2 d^2/12)) = 0.111803 g for d .1, s .05."""
    scale = plain_scale(0.1, 0.05)
    big = hung_end(scale, 420.1, 180, 150, FIRM, is_big=True)
    small = hung_end(scale, 180, 420.1, 150, FIRM, is_big=False)
    close = closure(weigh(scale, 600.3), big, small)
    assert close.u_g == pytest.approx(0.111803, abs=5e-7)
    assert close.closure_g == pytest.approx(0.2)
    assert close.closes
    assert not closure(weigh(scale, 600.4), big, small).closes


def test_closure_is_blind_to_an_error_in_proportion_but_shows_a_constant_one() -> None:
    in_proportion = Scale(
        0.001,
        0.001,
        0.0,
        certificate=(CertificatePoint(0, 0, 1e-12), CertificatePoint(1000, 0, 10.0)),
    )
    constant = Scale(
        0.001,
        0.001,
        0.0,
        certificate=(CertificatePoint(0, 0, 2.0), CertificatePoint(1000, 0, 2.0)),
    )
    for scale, shared_g in ((in_proportion, 0.0), (constant, 1.0)):
        big = hung_end(scale, 420, 180, 150, FIRM, is_big=True)
        small = hung_end(scale, 180, 420, 150, FIRM, is_big=False)
        found = closure(weigh(scale, 600), big, small)
        assert found.u_g == pytest.approx(math.hypot(shared_g, math.sqrt(6 / 12) * 0.001))


def test_each_hanging_has_its_own_contact_in_a_closure() -> None:
    scale = plain_scale(0.1, 0.05)
    big = hung_end(scale, 420, 180, 150, LOOSE, is_big=True)
    small = hung_end(scale, 180, 420, 150, LOOSE, is_big=False)
    found = closure(weigh(scale, 600), big, small)
    assert found.u_g**2 == pytest.approx(0.111803**2 + 2 * (0.14**2 + 0.06**2), rel=1e-4)


@pytest.mark.parametrize(
    ("rod_g", "length_mm", "cg_mm", "field"),
    [
        (0, 150, 45, "rod_g"),
        (600, 0, 45, "length_mm"),
        (600, 150, 151, "cg_from_big_mm"),
        (600, 150, -1, "cg_from_big_mm"),
    ],
)
def test_it_refuses_a_rod_that_cant_be(
    rod_g: float, length_mm: float, cg_mm: float, field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        share_ends(rod_g, length_mm, cg_mm)
    assert refused.value.field == field


def test_no_end_has_an_uncertainty_without_a_length() -> None:
    with pytest.raises(BadValue) as refused:
        hung_end(plain_scale(), 420, 180, 0, LOOSE, is_big=True)
    assert refused.value.field == "length_mm"
