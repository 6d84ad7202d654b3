"""Topic `twist` against checks/balance.md 7 (a printed example; calc)."""

from __future__ import annotations

import json
from typing import Any

import pytest

from records.domain.reckon.topics import reckon


def answer() -> dict[str, Any]:
    return reckon(
        "twist",
        {"inertias_kgm2": [0.15, "0.30", 0.09], "stiffness_Nm_rad": [132_002, 198_003]},
    )


def test_frequencies_and_shapes() -> None:
    found = answer()
    assert found["natural_Hz"] == pytest.approx([0, 170.688, 277.034], abs=1e-3)
    assert found["natural_Hz"][0] == 0  # not 1e-7, not NaN
    assert found["shapes"][1] == pytest.approx([1, -0.307, -0.643], abs=5e-4)
    assert found["shapes"][2] == pytest.approx([1, -2.443, 6.477], abs=5e-4)
    assert "engineer" in found["caution"]


def test_critical_speeds_by_order() -> None:
    speeds = answer()["critical_rpm"]
    assert list(speeds) == [f"{half / 2:g}" for half in range(1, 25)]
    assert speeds["4"] == pytest.approx([60 * 170.688 / 4, 60 * 277.034 / 4], rel=1e-5)
    assert speeds["0.5"][0] == pytest.approx(120 * 170.688, rel=1e-5)
    json.dumps(answer(), allow_nan=False)
