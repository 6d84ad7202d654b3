"""Topic `slug` against checks/balance.md 5 (calc; ASTM B777 class 1)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon


def test_an_inch_of_tungsten_alloy_in_steel() -> None:
    found: dict[str, Any] = reckon(
        "slug",
        {
            "slug_density_g_cm3": 17.0,
            "parent_density_g_cm3": "7.85",
            "diameter_mm": 25.4,
            "length_mm": 25.4,
            "radius_mm": 70,
        },
    )
    assert found["slug_g"] == pytest.approx(218.8, abs=0.05)
    assert found["net_gain_g"] == pytest.approx(117.8, abs=0.05)
    assert found["unbalance_gmm"] == pytest.approx(70 * 117.8, rel=4e-4)
