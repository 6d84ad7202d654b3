"""Pooled scatter against NumPy and SciPy, and the e-Handbook's check-standard data."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from records.domain.measure.pooled import FEWEST, Group, Pool, interval
from tests import outside

MASSES = st.floats(400, 600).map(lambda value: round(value, 2))


def pool_of(groups: list[list[float]]) -> Pool:
    pool = Pool()
    for values in groups:
        group = Group()
        for value in values:
            group.add(value)
        pool.add(group)
    return pool


@given(st.lists(st.lists(MASSES, min_size=1, max_size=6), min_size=1, max_size=20))
def test_it_is_the_pooled_standard_deviation(groups: list[list[float]]) -> None:
    pool = pool_of(groups)
    freedom = sum(len(values) - 1 for values in groups)
    squares = sum((len(v) - 1) * np.var(v, ddof=1) for v in groups if len(v) > 1)
    assert pool.freedom == freedom
    assert pool.groups == sum(len(values) > 1 for values in groups)
    if freedom:
        assert pool.s_g == pytest.approx(np.sqrt(squares / freedom), rel=1e-9, abs=1e-9)
    else:
        assert pool.s_g == 0


def test_a_printed_pool() -> None:
    # NIST/SEMATECH e-Handbook 2.6.2.1, a check standard: 25 days, six readings a day;
    # printed: level-1 standard deviation 0.06139 ohm.cm with 125 degrees of freedom
    pool = Pool()
    for row in outside.data("nist_resistivity_check_standard_25.csv"):
        s = float(row["short_term_sd_5df"])
        pool.add(Group(n=6, mean_g=float(row["value_ohm_cm"]), squares=5 * s * s))
    assert (pool.groups, pool.freedom) == (25, 125)
    assert pool.s_g == pytest.approx(0.06139, abs=5e-6)


@given(nu=st.integers(1, 5000), p=st.sampled_from([0.9, 0.95, 0.9545, 0.99]))
def test_the_interval_is_that_of_chi_square(nu: int, p: float) -> None:
    low, high = interval(0.05, nu, p)
    assert low == pytest.approx(0.05 * np.sqrt(nu / stats.chi2.ppf((1 + p) / 2, nu)), rel=1e-9)
    assert high == pytest.approx(0.05 * np.sqrt(nu / stats.chi2.ppf((1 - p) / 2, nu)), rel=1e-9)


def test_the_interval_holds_sigma_as_often_as_it_says() -> None:
    chance = np.random.default_rng(7)
    drawn = chance.normal(500, 0.1, size=(2000, 11)).std(axis=1, ddof=1)
    held = sum(low <= 0.1 <= high for low, high in (interval(float(s), 10) for s in drawn))
    assert held / 2000 == pytest.approx(0.95, abs=0.02)


def test_few_readings_tell_nothing() -> None:
    pairs = [[500.0, 500.1]] * FEWEST
    assert pool_of(pairs).tells
    assert not pool_of(pairs[1:]).tells
