from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon

SCALE = {
    "d_g": 0.01,
    "s_g": 0.005,
    "eccentricity": {"load_g": 1000, "max_diff_g": 0.02},
    "certificate": [
        {"load_g": 0, "error_g": 0, "U_g": 0.02, "k": 2},
        {"load_g": 2000, "error_g": 0, "U_g": 0.02, "k": 2},
    ],
}
READINGS = {"reading1_g": 512.34, "reading2_g": "508.12"}


@pytest.mark.parametrize(
    ("shared_zero", "same_spot", "u_g"),
    [(False, False, 0.010034), (True, False, 0.009166), (True, True, 0.008165)],
)
def test_what_is_shared_cancels(shared_zero: bool, same_spot: bool, u_g: float) -> None:
    """512.34 and 508.12 g, d .01, s .005, u(E) .010 (computed with GTC)."""
    answer: Any = reckon(
        "difference",
        {"scale": SCALE, "shared_zero": shared_zero, "same_spot": same_spot} | READINGS,
    )
    assert answer["difference_g"] == pytest.approx(4.22)
    assert answer["u_g"] == pytest.approx(u_g, abs=5e-7)
    assert answer["U_g"] == pytest.approx(answer["k"] * answer["u_g"])
