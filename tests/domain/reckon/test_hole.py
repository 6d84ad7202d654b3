"""Topic `hole` against checks/balance.md 5 (calc)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon


def answer(**change: Any) -> dict[str, Any]:
    steel = {
        "density_g_cm3": 7.85,
        "diameter_mm": 12.7,
        "point_deg": 118,
        "direction": "radial",
        "radius_mm": 85,
    }
    return reckon("hole", {**steel, **change})


def test_from_a_depth() -> None:
    found = answer(depth_mm=20)
    assert found["mass_g"] == pytest.approx(21.15, abs=5e-3)
    assert found["unbalance_gmm"] == pytest.approx(1572.6, abs=0.05)
    assert found["depth_mm"] == 20
    assert found["depth_to_tip_mm"] == pytest.approx(23.815, abs=5e-4)


def test_the_depth_for_an_unbalance() -> None:
    found = answer(unbalance_gmm="720.077887375")
    assert found["depth_mm"] == pytest.approx(7.729, abs=5e-4)
    assert found["unbalance_gmm"] == pytest.approx(720.08, abs=5e-3)


def test_only_the_point_goes_in() -> None:
    found = answer(unbalance_gmm=50)
    assert found["depth_mm"] == 0
    assert found["unbalance_gmm"] == pytest.approx(50)
    assert found["depth_to_tip_mm"] == pytest.approx(2.965, abs=5e-4)
    assert found["mouth_mm"] == pytest.approx(9.87, abs=5e-3)


def test_an_axial_hole() -> None:
    found = answer(direction="axial", radius_mm=70, depth_mm=20)
    assert found["unbalance_gmm"] == pytest.approx(70 * 21.15, abs=0.4)
