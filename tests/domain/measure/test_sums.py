"""Sums and differences against the GUM, Eurachem, EA-4/02 and GTC."""

from __future__ import annotations

import math

import GTC
import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.errors import BadValue
from records.domain.measure.scale import CertificatePoint, Scale
from records.domain.measure.sums import Term, combine
from records.domain.measure.weighing import Weighing, weigh
from tests.domain.measure.examples import plain_scale, shop_scale

SMALL = st.floats(0.001, 1.0)


def bare(mass_g: float, u_private_g: float, u_shared_g: float) -> Weighing:
    """A weighing of which only the two shares of its uncertainty are known."""
    u_g = math.hypot(u_private_g, u_shared_g)
    return Weighing(
        mass_g, u_g, 2 * u_g, 2, None, u_shared_g, u_private_g, 0.0, u_private_g, None, ()
    )


def test_ten_items_against_one_standard_add_linearly() -> None:
    """GUM 5.2.2, example: ten of u 0.1 with r = +1 give 1.0, not 0.32 (from memory)."""
    total = combine([Term(1, bare(100, 0.0, 0.1), "S-02") for _ in range(10)])
    assert total.u_g == pytest.approx(1.0)
    assert total.mass_g == 1000


def test_ten_items_on_ten_scales_add_by_squares() -> None:
    total = combine([Term(1, bare(100, 0.0, 0.1), f"S-{i}") for i in range(10)])
    assert total.u_g == pytest.approx(0.1 * math.sqrt(10))


def test_the_triple_on_which_three_libraries_agree() -> None:
    """512.34 and 508.12 g, private .0071, shared .010 (uncertainties, GTC, metrolopy)."""
    first, second = bare(512.34, 0.0071, 0.010), bare(508.12, 0.0071, 0.010)
    together = combine([Term(1, first, "S-02"), Term(-1, second, "S-02")])
    assert together.u_g == pytest.approx(0.0100409163, abs=5e-11)
    assert together.mass_g == pytest.approx(4.22)
    alone = combine([Term(1, first, "S-02"), Term(-1, second, "S-03")])
    assert alone.u_g == pytest.approx(0.01734, abs=5e-6)


def test_a_mass_by_difference_counts_an_independent_limit_twice() -> None:
    """Eurachem/CITAC guide A2: 60.5450 - 60.1562 g, linearity ±0.15 mg, u 0.13 mg."""
    u_g = 0.00015 / math.sqrt(3)
    terms = [Term(1, bare(60.5450, u_g, 0), "gross"), Term(-1, bare(60.1562, u_g, 0), "tare")]
    difference = combine(terms)
    assert difference.mass_g == pytest.approx(0.3888, abs=1e-9)
    # The guide rounds 0.0866 to 0.09 mg before it multiplies by root 2.
    assert difference.u_g * 1000 == pytest.approx(0.1225, abs=5e-5)


def test_the_10_kg_weight_of_ea_4_02() -> None:
    """EA-4/02, S2: u 29.3 mg, U 59 mg, m 10000.025 g (in print 29.3 and 59)."""
    in_mg = (45 / 2, 15 / math.sqrt(3), 25 / math.sqrt(3), 10 / math.sqrt(3), 10 / math.sqrt(3))
    terms = [Term(1, bare(0, u_mg / 1000, 0), i) for i, u_mg in enumerate(in_mg)]
    terms[0] = Term(1, bare(10000.005, in_mg[0] / 1000, 0), 0)
    terms[2] = Term(1, bare(0.020, in_mg[2] / 1000, 0), 2)
    weight = combine(terms)
    assert weight.mass_g == pytest.approx(10000.025, abs=1e-9)
    assert weight.u_g * 1000 == pytest.approx(29.3, abs=0.05)
    assert weight.U_g * 1000 == pytest.approx(59, abs=0.6)


def test_three_parts_weighed_apart_are_worse_evidence_than_a_set_weighed_together() -> None:
    """U between two sets: 0.32 g for three parts apart, 0.18 g together (d 0.1, s 0.05)."""
    part = weigh(plain_scale(), 170)
    signs = (1, 1, 1, -1, -1, -1)
    apart = combine([Term(sign, part, "S-02") for sign in signs])
    together = combine([Term(1, part, "S-02"), Term(-1, part, "S-02")])
    assert apart.U_g == pytest.approx(0.32, abs=0.005)
    assert together.U_g == pytest.approx(0.18, abs=0.005)


def test_one_s_behind_all_weighings_is_one_estimate() -> None:
    scale = Scale(0.001, 0.001, 0.05, nu_s=9)
    total = combine([Term(1, weigh(scale, 100), "S-02") for _ in range(4)])
    assert total.nu_eff == pytest.approx(9, rel=0.01)


def test_a_sum_of_nothing_is_refused() -> None:
    with pytest.raises(BadValue):
        combine([])


@given(
    st.lists(st.tuples(st.floats(-4, 4), st.floats(1, 1900)), min_size=1, max_size=6),
    st.tuples(*[SMALL] * 4),
    st.integers(2, 40),
)
def test_a_sum_agrees_with_gtc_that_follows_shared_inputs(
    items: list[tuple[float, float]], sizes_g: tuple[float, ...], nu_s: int
) -> None:
    d_g, s_g, U_g, drift_g = sizes_g
    points = (CertificatePoint(0, 0.1, U_g), CertificatePoint(2000, 0.1, U_g))
    scale = Scale(d_g, d_g, s_g, drift_g=drift_g, certificate=points)
    total = combine([Term(c, weigh(scale, reading_g), "S-02") for c, reading_g in items])

    error, drift = GTC.ureal(0.1, U_g / 2), GTC.ureal(0, drift_g / math.sqrt(3))
    expected = GTC.ureal(0, 0)
    for c, reading_g in items:
        rounding = GTC.ureal(0, d_g / math.sqrt(12)) + GTC.ureal(0, d_g / math.sqrt(12))
        expected += c * (reading_g - error + drift + rounding + GTC.ureal(0, s_g))
    assert total.mass_g == pytest.approx(GTC.value(expected), rel=1e-9, abs=1e-9)
    assert total.u_g == pytest.approx(GTC.uncertainty(expected), rel=1e-9, abs=1e-12)


def test_the_shared_part_cancels_in_a_difference_and_piles_up_in_a_sum() -> None:
    weighing = weigh(shop_scale(drift_g=0.03), 510)
    cancelled = combine([Term(1, weighing, "S-02"), Term(-1, weighing, "S-02")])
    piled = combine([Term(1, weighing, "S-02"), Term(1, weighing, "S-02")])
    assert cancelled.u_shared_g == 0
    assert piled.u_shared_g == pytest.approx(2 * math.hypot(0.010, 0.03 / math.sqrt(3)))
