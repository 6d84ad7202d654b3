"""Chi-square against SciPy, and the printed bounds of the e-Handbook."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from records.domain.errors import BadValue
from records.domain.measure.chi_square import chi_square_below, chi_square_quantile


@given(nu=st.integers(1, 1_000_000), p=st.floats(0.001, 0.999))
def test_quantiles_are_those_of_scipy(nu: int, p: float) -> None:
    assert chi_square_quantile(p, nu) == pytest.approx(stats.chi2.ppf(p, nu), rel=1e-9)


@given(nu=st.integers(1, 2_000), ratio=st.floats(0.01, 4))
def test_probabilities_are_those_of_scipy(nu: int, ratio: float) -> None:
    expected = stats.chi2.cdf(nu * ratio, nu)
    assert chi_square_below(nu * ratio, nu) == pytest.approx(expected, abs=1e-11)


def test_a_printed_table() -> None:
    # NIST/SEMATECH e-Handbook 1.3.6.7.4, critical values of chi-square: nu 10 and 99
    assert chi_square_quantile(0.975, 10) == pytest.approx(20.483, abs=5e-4)
    assert chi_square_quantile(0.025, 10) == pytest.approx(3.247, abs=5e-4)
    assert chi_square_quantile(0.975, 99) == pytest.approx(128.422, abs=5e-4)


@pytest.mark.parametrize(("p", "nu"), [(0.0, 3), (1.0, 3), (0.5, 0)])
def test_what_no_quantile_has_is_refused(p: float, nu: int) -> None:
    with pytest.raises(BadValue, match="expected p within 0 and 1"):
        chi_square_quantile(p, nu)
