"""Constants of ranges against printed tables, the exact data file and SciPy's quadrature."""

from __future__ import annotations

import math

import pytest
from scipy import integrate
from scipy.stats import norm

from records.domain.errors import BadValue
from records.domain.measure.range_constants import range_constants
from tests import outside


def test_they_are_those_of_the_exact_file() -> None:
    for row in outside.data("control_chart_constants_exact.csv"):
        ours = range_constants(int(row["n"]))
        theirs = [float(row[key]) for key in ("d2", "d3", "A2", "D3", "D4", "aiag_K3_or_K2_g1")]
        assert [
            ours.d2,
            ours.d3,
            ours.mean_factor,
            ours.lower_share,
            ours.upper_share,
            1 / ours.d2_single,
        ] == pytest.approx(theirs, abs=6e-7)


@pytest.mark.parametrize(
    ("n", "d2", "d3", "A2", "D3", "D4"),
    [
        (2, 1.128, 0.853, 1.880, 0, 3.267),
        (5, 2.326, 0.864, 0.577, 0, 2.114),
        (7, 2.704, 0.833, 0.419, 0.076, 1.924),
        (10, 3.078, 0.797, 0.308, 0.223, 1.777),
    ],
)
def test_they_are_those_of_the_printed_table(
    n: int, d2: float, d3: float, A2: float, D3: float, D4: float
) -> None:
    """checks/measure.md 4.1 (a textbook's table A.22): printed digits cut or rounded, +/-0.001."""
    ours = range_constants(n)
    assert (ours.d2, ours.d3, ours.mean_factor) == pytest.approx((d2, d3, A2), abs=1e-3)
    assert (ours.lower_share, ours.upper_share) == pytest.approx((D3, D4), abs=1e-3)


def test_two_and_three_have_closed_forms() -> None:
    assert range_constants(2).d2 == pytest.approx(2 / math.sqrt(math.pi), abs=1e-8)
    assert range_constants(2).d3 == pytest.approx(math.sqrt(2 - 4 / math.pi), abs=1e-8)
    assert range_constants(3).d2 == pytest.approx(3 / math.sqrt(math.pi), abs=1e-8)


@pytest.mark.parametrize("n", [5, 25, 100])
def test_the_mean_range_by_another_integral(n: int) -> None:
    def outside_all(x: float) -> float:
        return float(1 - norm.cdf(x) ** n - norm.sf(x) ** n)

    d2 = integrate.quad(outside_all, -12, 12, limit=200, points=[0.0])[0]
    assert range_constants(n).d2 == pytest.approx(d2, abs=1e-7)


@pytest.mark.parametrize("n", [1, 0, -3, 101])
def test_a_range_needs_two_values(n: int) -> None:
    with pytest.raises(BadValue) as refused:
        range_constants(n)
    assert refused.value.field == "n"
