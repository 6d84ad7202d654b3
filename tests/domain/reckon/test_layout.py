"""Topic `layout` against checks/balance.md 1.2 to 1.4 (calc)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.layout import reckon


def cross_plane_v8(**change: Any) -> dict[str, Any]:
    cylinders = [
        {
            "throw_deg": throw,
            "bank_deg": bank,
            "z_mm": z,
            "reciprocating_g": 1000,
            "rotating_g": "500",
        }
        for throw, z in ((0, -150), (90, -50), (270, 50), (180, 150))
        for bank in (-45, 45)
    ]
    return {
        "cylinders": cylinders,
        "stroke_mm": 100,
        "rod_length_mm": 200,
        "speed_rpm": 2000,
        **change,
    }


def test_a_cross_plane_v8_is_pure_forward_and_cancelled_by_half() -> None:
    # checks/balance.md 1.3: couple √10·F1·a, max = min; pin couple 6.325 a; 0 left at b = 0.5
    answer: Any = reckon(cross_plane_v8())
    f1 = 2193.245  # m·r·ω² of 1 kg at r 50, 2000 rpm: half of the 4386.5 N in 1.4
    couple = answer["primary_couple_Nm"]
    assert couple["max"] == couple["min"] == couple["forward"]
    assert couple["max"] == pytest.approx(10**0.5 * f1 * 0.1, rel=1e-5)
    assert couple["backward"] == 0
    assert answer["primary_force_N"]["max"] == 0
    assert answer["secondary_force_N"]["max"] == 0
    assert answer["bob_weights_needed"] is True
    assert answer["pin_sum"]["force_gmm"] == 0
    assert answer["pin_sum"]["couple_gmm2"] == pytest.approx(6.3246 * 100 * 500 * 50, rel=1e-5)
    assert answer["residual_at_fraction"]["couple_Nm"] == {"max": 0, "min": 0}
    assert answer["planar_fractions"] == [0.5]


def test_it_leaves_what_the_fraction_leaves() -> None:
    answer: Any = reckon(cross_plane_v8(fraction=0.366))
    left = answer["residual_at_fraction"]["couple_Nm"]["max"]
    assert left / answer["primary_couple_Nm"]["max"] == pytest.approx(0.847 / 3.162, abs=3e-4)


def test_a_single_is_planar_without_and_with_the_whole() -> None:
    one = {"throw_deg": 0, "bank_deg": 0, "z_mm": 0, "reciprocating_g": 500, "rotating_g": 500}
    answer: Any = reckon(cross_plane_v8(cylinders=[one], fraction=0.5))
    assert answer["planar_fractions"] == [0, 1]
    force = answer["residual_at_fraction"]["force_N"]
    assert force["max"] == force["min"] == pytest.approx(answer["primary_force_N"]["max"] / 2)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cylinders": []}, "cylinders"),
        ({"cylinders": [{"throw_deg": 0}]}, "cylinders/0/bank_deg"),
        ({"stroke_mm": 0}, "stroke_mm"),
        ({"rod_length_mm": 50}, "rod_length_mm"),
        ({"speed_rpm": -1}, "speed_rpm"),
        ({"fraction": 1.2}, "fraction"),
        ({"name": "v8"}, "name"),
    ],
)
def test_it_refuses_and_names_the_key(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(cross_plane_v8(**change))
    assert refused.value.field == field
