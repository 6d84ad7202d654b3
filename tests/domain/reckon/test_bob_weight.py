"""Topic `bob-weight` against checks/balance.md 2.2 A (a magazine's V8; totals calc)."""

from __future__ import annotations

import math
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.bob_weight import reckon

V8: dict[str, Any] = {
    "rods_per_pin": 2,
    "big_end_g": 229.8,
    "shells_g": 23.7,
    "oil_g": 4,
    "fraction": "0.50",
    "small_end_g": 162.4,
    "piston_g": 583.9,
    "pin_g": 173.6,
    "locks_g": 4.8,
    "rings_g": 69.5,
}


@pytest.mark.parametrize(
    ("fraction", "total_g"), [(0.5, 1505.2), (0.48, 1465.4), (0.51, 1525.1), (0.52, 1545.0)]
)
def test_the_magazine_v8_comes_out(fraction: float, total_g: float) -> None:
    answer = reckon({**V8, "fraction": fraction})
    assert answer["bob_weight_g"] == pytest.approx(total_g, abs=0.05)
    assert answer["rotating_g"] == 511.0
    assert "u_g" not in answer


def test_uncertainty_follows_the_rule() -> None:
    # reckon.md: private u·√(Σ n·c²), shared u·Σ|n·c|; rings weighed once
    answer = reckon({**V8, "u_private_g": 0.05, "u_shared_g": 0.03, "weighed_once": ["rings"]})
    private = 0.05 * math.sqrt(4 + 2 * 4 * 0.25 + 1)
    assert answer["u_g"] == pytest.approx(math.hypot(private, 0.03 * 9))


@pytest.mark.parametrize("key", V8)
def test_it_names_a_missing_and_a_negative_key(key: str) -> None:
    missing = {name: value for name, value in V8.items() if name != key}
    for data in (missing, {**V8, key: -1}):
        with pytest.raises(BadValue) as refused:
            reckon(data)
        assert refused.value.field == key


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"fraction": 1.01}, "fraction"),
        ({"rods_per_pin": 1.5}, "rods_per_pin"),
        ({"weighed_once": ["oil"]}, "weighed_once/0"),
        ({"u_private_g": -0.1}, "u_private_g"),
        ({"total_g": 1}, "total_g"),
    ],
)
def test_it_refuses_and_names_the_key(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        reckon({**V8, **change})
    assert refused.value.field == field
