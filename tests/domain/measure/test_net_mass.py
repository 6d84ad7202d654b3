"""Minimum net mass against checks/measure.md 1.4 (USP <41>; EURAMET cg-18, appendix G)."""

from __future__ import annotations

import math

import pytest

from records.domain.errors import BadValue
from records.domain.measure.net_mass import minimum_load, minimum_net_mass


@pytest.mark.parametrize(
    ("s_g", "d_g", "mass_g"),
    [(0, 0.1, 82), (0, 0.01, 8.2), (0, 0.001, 0.82), (0.005, 0.01, 10.0), (0.00015, 1e-5, 0.30000)],
)
def test_the_smallest_net_mass(s_g: float, d_g: float, mass_g: float) -> None:
    assert minimum_net_mass(s_g, d_g) == pytest.approx(mass_g)


@pytest.mark.parametrize(
    ("alpha_g", "beta", "share", "loads_g"),
    [
        (0.2, 1e-4, 0.01, (20.2020, 40.8163, 61.8557)),
        (0.2, 1e-4, 0.001, (222.2222, 500.0, 857.1429)),
        (0.02, 2e-5, 0.001, (20.4082, 41.6667, 63.8298)),
    ],
)
def test_the_smallest_load(
    alpha_g: float, beta: float, share: float, loads_g: tuple[float, ...]
) -> None:
    for factor, load_g in zip((1, 2, 3), loads_g, strict=True):
        found = minimum_load(alpha_g, beta, share, factor)
        assert found == pytest.approx(load_g, abs=5e-5)
        # at that load U times the safety factor is just the share
        assert factor * (alpha_g + beta * found) == pytest.approx(share * found)


@pytest.mark.parametrize("factor", [10, 11])
def test_no_load_is_large_enough_where_the_slope_uses_up_the_share(factor: float) -> None:
    with pytest.raises(BadValue, match="no load is large enough") as refused:
        minimum_load(0.2, 1e-4, 0.001, factor)
    assert refused.value.field == "beta"


def test_what_cannot_be_is_named() -> None:
    for s_g, d_g, share, field in (
        (-1.0, 0.1, 0.001, "s_g"),
        (0.1, 0.0, 0.001, "d_g"),
        (0.1, 0.1, 0.0, "share"),
        (math.nan, 0.1, 0.001, "s_g"),
    ):
        with pytest.raises(BadValue) as refused:
            minimum_net_mass(s_g, d_g, share)
        assert refused.value.field == field
