"""Topic `rod-levers` against checks/balance.md 3 (calc: statics)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.rod_levers import reckon


def test_a_cut_past_the_big_end_makes_the_small_end_heavier() -> None:
    answer = reckon({"length_mm": "152.4", "removals": [{"x_mm": 190.4, "mass_g": 2}]})
    assert answer["delta_big_g"] == pytest.approx(-2.4987, abs=5e-5)
    assert answer["delta_small_g"] == pytest.approx(0.4987, abs=5e-5)


def test_a_cut_at_a_centre_leaves_the_other_end_alone() -> None:
    answer = reckon({"length_mm": 152.4, "removals": [{"x_mm": 0, "mass_g": 2}]})
    assert str(answer["delta_big_g"]) == "0.0"  # and no minus zero
    assert answer["delta_small_g"] == -2


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"removals": []}, "length_mm"),
        ({"length_mm": 0, "removals": [{"x_mm": 0, "mass_g": 1}]}, "length_mm"),
        ({"length_mm": 150}, "removals"),
        ({"length_mm": 150, "removals": [{"x_mm": 0, "mass_g": -1}]}, "removals/0/mass_g"),
        ({"length_mm": 150, "removals": [{"mass_g": 1}]}, "removals/0/x_mm"),
        ({"length_mm": 150, "removals": [{"x_mm": 0, "mass_g": 1, "zone": 2}]}, "removals/0/zone"),
        ({"length_mm": True, "removals": [{"x_mm": 0, "mass_g": 1}]}, "length_mm"),
    ],
)
def test_it_refuses_and_names_the_key(data: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        reckon(data)
    assert refused.value.field == field
