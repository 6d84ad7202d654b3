"""Topic `unbalance-tolerance` against checks/balance.md 4 (ISO 21940-11; calc)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon


def answer(**change: Any) -> dict[str, Any]:
    rotor = {
        "grade_mm_s": 6.3,
        "mass_kg": 8,
        "service_rpm": 7000,
        "plane_a_mm": 0,
        "plane_b_mm": 400,
        "cg_mm": "200",
    }
    return reckon("unbalance-tolerance", {**rotor, **change})


def test_an_even_rotor_halves_its_tolerance() -> None:
    found = answer()
    assert found["U_per_gmm"] == pytest.approx(68.75, abs=5e-3)
    assert found["plane_a_gmm"] == found["plane_b_gmm"] == pytest.approx(68.75 / 2, abs=5e-3)
    assert (found["overhung"], found["share_held"]) == (False, False)
    # F = U·ω², U = G·m/ω: the force is G·m·ω whatever the rotor; calc
    assert found["force_at_service_N"] == pytest.approx(6.3e-3 * 8 * 733.038, rel=1e-5)


def test_a_share_held_at_its_limit_is_said() -> None:
    found = answer(cg_mm=50)
    whole = found["U_per_gmm"]
    assert (found["plane_a_gmm"], found["plane_b_gmm"]) == pytest.approx((0.7 * whole, 0.3 * whole))
    assert found["share_held"] is True


def test_an_overhung_rotor() -> None:
    found = answer(plane_b_mm=200, cg_mm=260)
    whole = found["U_per_gmm"]
    assert (found["plane_a_gmm"], found["plane_b_gmm"]) == pytest.approx((0.3 * whole, 1.3 * whole))
    assert found["overhung"] is True
