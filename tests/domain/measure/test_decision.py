"""The decision rule against JCGM 106:2012, ILAC-G8:09/2019 and SciPy."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from records.domain.errors import BadValue, Code
from records.domain.measure.decision import Verdict, conformance_probability, judge


def test_the_breakdown_voltage_of_jcgm_106() -> None:
    """JCGM 106:2012, 7: T_U -5.40, y -5.47, u 0.05 V give 0.92 (from memory, recomputed)."""
    judgement = judge(-5.47, 0.05, high=-5.40)
    assert judgement.conformance_probability == pytest.approx(0.919243, abs=5e-7)
    assert judgement.verdict is Verdict.PASSED


def test_the_motor_oil_of_jcgm_106() -> None:
    """JCGM 106:2012, 7: 12.5 ... 16.3, y 13.6, u 1.8 give 0.66 (from memory, recomputed)."""
    p = judge(13.6, 1.8, low=12.5, high=16.3).conformance_probability
    assert p == pytest.approx(0.662630, abs=5e-7)


@pytest.mark.parametrize(
    ("r", "risk"),
    [
        (3.0, 9.866e-10),
        (1.5, 0.001350),
        (1.0, 0.022750),
        (0.83, 0.048457),
        (0.0, 0.5),
        (0.82243, 0.05),
        (0.97998, 0.025),
        (1.16317, 0.01),
        (1.54512, 0.001),
    ],
)
def test_the_risk_on_the_acceptance_limit(r: float, risk: float) -> None:
    """ILAC-G8:09/2019, table 1, exact column 1 - Phi(2 r) for U = 2 u."""
    limit = judge(0.0, 0.1, high=1.0, r=r).acceptance_high
    assert limit is not None
    on_it = judge(limit, 0.1, high=1.0, r=r)
    assert on_it.verdict is Verdict.PASSED
    assert 1 - on_it.conformance_probability == pytest.approx(risk, rel=2e-4)


@pytest.mark.parametrize(
    ("tur", "row"),
    [
        (1, (0.954500, 0.839995, 0.691230, 0.579187, 0.499968)),
        (2, (0.999937, 0.977250, 0.841345, 0.655422, 0.5)),
        (4, (1.0, 0.999968, 0.977250, 0.788145, 0.5)),
        (10, (1.0, 1.0, 1.0, 0.977250, 0.5)),
    ],
)
def test_the_two_sided_grid(tur: int, row: tuple[float, ...]) -> None:
    """T = ±1, U = 1/TUR, k = 2 (computed)."""
    for y, expected in zip((0, 0.5, 0.75, 0.9, 1.0), row, strict=True):
        p = judge(y, 1 / tur / 2, low=-1, high=1).conformance_probability
        assert p == pytest.approx(expected, abs=6e-7)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (0.0, Verdict.PASSED),
        (0.2, Verdict.PASSED),
        (0.21, Verdict.CONDITIONALLY_PASSED),
        (0.3, Verdict.CONDITIONALLY_PASSED),
        (0.31, Verdict.CONDITIONALLY_FAILED),
        (0.4, Verdict.CONDITIONALLY_FAILED),
        (0.41, Verdict.FAILED),
        (-0.2, Verdict.PASSED),
        (-0.25, Verdict.CONDITIONALLY_PASSED),
        (-0.4, Verdict.CONDITIONALLY_FAILED),
        (-0.5, Verdict.FAILED),
    ],
)
def test_four_verdicts_with_each_boundary_on_the_good_side(value: float, verdict: Verdict) -> None:
    """ILAC-G8:09/2019, 4.2.3. As floats 0.3 - 0.1 is less than 0.2: the boundary still passes."""
    assert judge(value, 0.05, low=-0.3, high=0.3, r=1).verdict is verdict


def test_simple_acceptance_knows_two_verdicts() -> None:
    assert judge(1.0, 0.2, high=1.0).verdict is Verdict.PASSED
    assert judge(1.001, 0.2, high=1.0).verdict is Verdict.FAILED


def test_a_low_limit_alone_is_guarded_upward() -> None:
    judgement = judge(1.05, 0.05, low=1.0, r=1)
    assert judgement.verdict is Verdict.CONDITIONALLY_PASSED
    assert judgement.acceptance_low == pytest.approx(1.1)
    assert judgement.acceptance_high is None


def test_a_guard_band_wider_than_the_tolerance_leaves_no_acceptance_zone() -> None:
    with pytest.raises(BadValue, match="no acceptance zone") as refused:
        judge(0.0, 0.2505, low=-0.5, high=0.5, r=1)
    assert refused.value.code is Code.NO_ACCEPTANCE_ZONE
    # A zone of one point is still one.
    assert judge(0.0, 0.25, low=-0.5, high=0.5, r=1).verdict is Verdict.PASSED


def test_a_spread_is_never_below_zero_so_its_zone_may_vanish_too() -> None:
    with pytest.raises(BadValue) as refused:
        judge(0.1, 0.16, high=0.3, r=1, never_below=0.0)
    assert refused.value.code is Code.NO_ACCEPTANCE_ZONE
    assert judge(0.1, 0.15, high=0.3, r=1, never_below=0.0).acceptance_high == pytest.approx(0)
    assert judge(0.1, 9.0, high=0.3, r=0, never_below=0.0).verdict is Verdict.PASSED


def test_an_expanded_uncertainty_of_its_own_sets_the_guard_band() -> None:
    assert judge(0.0, 0.05, high=0.5, r=1, U=0.14).acceptance_high == pytest.approx(0.36)


@pytest.mark.parametrize(
    ("given_", "field"),
    [
        ({}, "high"),
        ({"high": 1.0, "u": 0.0}, "u"),
        ({"high": 1.0, "u": float("nan")}, "u"),
        ({"high": 1.0, "r": -1.0}, "r"),
        ({"high": 1.0, "U": 0.0}, "U"),
        ({"high": 1.0, "value": float("inf")}, "value"),
        ({"low": 2.0, "high": 1.0}, "high"),
        ({"low": 1.0, "high": 1.0}, "high"),
    ],
)
def test_it_refuses_what_cant_be_judged(given_: dict[str, float], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        judge(**({"value": 0.5, "u": 0.1} | given_))
    assert refused.value.field == field


@given(st.floats(-8, 8), st.floats(0.1, 3), st.floats(-3, 0), st.floats(0.1, 3))
def test_the_probability_agrees_with_scipy(y: float, u: float, low: float, high: float) -> None:
    expected = stats.norm.cdf((high - y) / u) - stats.norm.cdf((low - y) / u)
    assert conformance_probability(y, u, low, high) == pytest.approx(expected, abs=1e-12)
    one_sided = stats.norm.cdf((high - y) / u)
    assert conformance_probability(y, u, None, high) == pytest.approx(one_sided, rel=1e-9)
    assert conformance_probability(-y, u, -high) == pytest.approx(one_sided, rel=1e-9)
