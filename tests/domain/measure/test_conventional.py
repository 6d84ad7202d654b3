from __future__ import annotations

import pytest

from records.domain.errors import BadValue
from records.domain.measure.conventional import (
    conventional_statement,
    true_mass_excess,
    true_over_conventional,
)


@pytest.mark.parametrize(
    ("density_kg_m3", "excess_g"),
    [(2700, 0.1473), (7200, 0.0083), (7850, 0.0014), (17000, -0.0397), (8000, 0.0)],
)
def test_the_true_mass_of_500_g(density_kg_m3: float, excess_g: float) -> None:
    """OIML D 28 (computed); densities are nominal, common practice, no source."""
    assert true_mass_excess(500, density_kg_m3) == pytest.approx(excess_g, abs=5e-5)


def test_the_ratio_is_that_of_the_definition() -> None:
    assert true_over_conventional(2115) == pytest.approx((1 - 1.2 / 8000) / (1 - 1.2 / 2115))
    # In print 1.000417 at an air density of 1.199314 (vignette of CRAN masscor): 1e-6 apart.
    assert true_over_conventional(2115) == pytest.approx(1.000417, abs=1e-6)


@pytest.mark.parametrize("density_kg_m3", [0.0, -5.0, 1.2, float("nan")])
def test_it_refuses_a_density_that_cant_be(density_kg_m3: float) -> None:
    with pytest.raises(BadValue) as refused:
        true_over_conventional(density_kg_m3)
    assert refused.value.field == "density_kg_m3"


def test_the_statement_names_the_figure() -> None:
    assert "conventional masses" in conventional_statement()
    assert "0.147 g" in conventional_statement()
