"""Student's t and Welch-Satterthwaite against SciPy, EA-4/02 table E.1 and the GUM's examples."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from records.domain.errors import BadValue
from records.domain.measure.coverage import (
    beyond_f,
    coverage_factor,
    effective_freedom,
    t_quantile,
)


@pytest.mark.parametrize("p", [0.9545, 0.95, 0.99])
def test_t_agrees_with_scipy_for_all_degrees_of_freedom_to_two_hundred(p: float) -> None:
    for nu in range(1, 201):
        assert t_quantile(nu, p) == pytest.approx(stats.t.ppf((1 + p) / 2, nu), rel=1e-9)


@given(st.integers(1, 1_000_000), st.floats(0.5, 0.999))
def test_t_agrees_with_scipy_at_any_degrees_of_freedom(nu: int, p: float) -> None:
    assert t_quantile(nu, p) == pytest.approx(stats.t.ppf((1 + p) / 2, nu), rel=1e-9)


@pytest.mark.parametrize(
    ("nu", "k"),
    [
        (1, 13.97),
        (2, 4.53),
        (3, 3.31),
        (4, 2.87),
        (5, 2.65),
        (10, 2.28),
        (20, 2.13),
        (50, 2.05),
        (None, 2.00),
    ],
)
def test_k_is_that_of_ea_4_02_table_e_1(nu: float | None, k: float) -> None:
    """EA-4/02, table E.1, for 95.45 % (from memory, reproduced by computation)."""
    assert coverage_factor(nu) == pytest.approx(k, abs=0.005)


def test_degrees_of_freedom_are_truncated_before_the_look_up() -> None:
    """GUM H.1: 16.75 becomes 16, t99 = 2.92; without truncation it would be 2.9035."""
    assert coverage_factor(16.75, 0.99) == t_quantile(16, 0.99)
    assert coverage_factor(16.75, 0.99) == pytest.approx(2.92078, abs=5e-6)


def test_a_whole_number_isnt_lost_to_the_rounding_of_floats() -> None:
    assert coverage_factor(9 * (1 - 1e-15)) == t_quantile(9, 0.9545)


def test_the_gauge_block_of_gum_h_1() -> None:
    """GUM H.1 (from memory, reproduced by GTC)."""
    u_nm = (25, 5.8, 3.9, 6.7, 2.9, 16.6)
    u = math.hypot(*u_nm)
    nu_eff = effective_freedom(u, zip(u_nm, (18, 24, 5, 8, 50, 2), strict=True))
    assert u == pytest.approx(31.66, abs=0.01)
    assert round(u) == 32
    assert nu_eff == pytest.approx(16.75, abs=0.005)
    assert coverage_factor(nu_eff, 0.99) * 32 == pytest.approx(93, abs=0.5)
    assert coverage_factor(nu_eff, 0.95) == pytest.approx(2.12, abs=0.005)


def test_the_example_of_gum_g_4_1() -> None:
    """GUM G.4.1: relative u 0.25, 0.57, 0.82 % of 10, 5, 15 readings (from memory)."""
    parts = ((0.25, 9), (0.57, 4), (0.82, 14))
    u = math.hypot(0.25, 0.57, 0.82)
    assert u == pytest.approx(1.03, abs=0.005)
    assert effective_freedom(u, parts) == pytest.approx(19.0, abs=0.05)
    assert coverage_factor(19.0, 0.95) * u == pytest.approx(2.2, abs=0.05)


def test_nothing_limits_what_has_no_finite_degrees_of_freedom() -> None:
    assert effective_freedom(1.0, ((1.0, None),)) is None
    assert effective_freedom(1.0, ((0.0, 3),)) is None
    assert coverage_factor(None) == 2.0
    assert coverage_factor(None, 0.99) == pytest.approx(stats.norm.ppf(0.995))


def test_it_refuses_less_than_one_degree_of_freedom() -> None:
    with pytest.raises(BadValue):
        coverage_factor(0.9)


@given(st.floats(0, 1e-12), st.integers(1, 200), st.integers(1, 200))
def test_a_ratio_of_all_but_nothing_is_all_but_always_exceeded(
    ratio: float, upper: int, lower: int
) -> None:
    expected = stats.f.sf(ratio, upper, lower)
    # 1 − x has sixteen digits, and one degree of freedom takes its root
    assert beyond_f(ratio, upper, lower) == pytest.approx(expected, abs=1e-7)
