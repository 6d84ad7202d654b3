from __future__ import annotations

import math
from typing import Any

import pytest

from records.domain.reckon.topics import reckon
from tests import outside


def scale_5142() -> dict[str, Any]:
    """Certificate 5142 (published data set of CRAN masscor) in the words of the topic."""
    data = outside.data("balance_certificate_2kg_0.01g.json")
    rows = zip(data["load_g"], data["error_g"], data["U_k2_g"], strict=True)
    return {
        "d_g": data["d_g"],
        "s_g": data["repeatability"],
        "eccentricity": data["eccentricity"],
        "certificate": [{"load_g": m, "error_g": e, "U_g": U, "k": 2} for m, e, U in rows],
    }


@pytest.mark.parametrize(
    ("reading_g", "mass_g", "U_mg"),
    [(100, 100.00, 16.37), ("500", 500.01, 24.49), (1000, 1000.02, 26.46)],
)
def test_the_rows_of_certificate_5142(reading_g: object, mass_g: float, U_mg: float) -> None:
    answer = reckon("weighing", {"scale": scale_5142(), "reading_g": reading_g})
    assert answer["mass_g"] == pytest.approx(mass_g)
    assert answer["U_g"] == pytest.approx(U_mg / 1000, abs=5e-6)
    assert answer["k"] == 2
    assert "nu_eff" not in answer


def test_the_budget_sums_to_u() -> None:
    answer: Any = reckon("weighing", {"scale": scale_5142(), "reading_g": 500, "n": 2})
    assert math.hypot(*(line["u_g"] for line in answer["budget"])) == pytest.approx(answer["u_g"])
    assert math.hypot(answer["u_error_g"], answer["u_reading_g"]) == pytest.approx(answer["u_g"])


def test_few_degrees_of_freedom_widen_k() -> None:
    scale = {"d_g": "0.001", "s_g": "0.05", "nu_s": 9}
    answer = reckon("weighing", {"scale": scale, "reading_g": 500})
    assert answer["nu_eff"] == pytest.approx(9, rel=1e-3)
    # t for 95.45 % and 9 degrees of freedom (SciPy)
    assert answer["k"] == pytest.approx(2.320, abs=5e-4)


def test_zero_has_the_step_of_the_scale_unless_told() -> None:
    scale = {"d_g": 0.1, "s_g": 0}
    one = reckon("weighing", {"scale": scale, "reading_g": 500})
    other = reckon("weighing", {"scale": scale | {"d0_g": 0}, "reading_g": 500})
    assert one["u_g"] == pytest.approx(0.1 / math.sqrt(6))
    assert other["u_g"] == pytest.approx(0.1 / math.sqrt(12))
