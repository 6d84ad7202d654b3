"""Topic `split` against checks/balance.md 5 (calc)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.topics import reckon


def answer(gmm: float, angle: float, *places: dict[str, float]) -> dict[str, Any]:
    return reckon("split", {"unbalance_gmm": gmm, "angle_deg": angle, "places": list(places)})


def test_two_places() -> None:
    found = answer(100, 200, {"angle_deg": 180}, {"angle_deg": 225})
    assert [part["unbalance_gmm"] for part in found["parts"]] == pytest.approx(
        [59.767, 48.369], abs=5e-4
    )
    assert [part["angle_deg"] for part in found["parts"]] == [180, 225]
    assert found["left_gmm"] == pytest.approx(0, abs=1e-9)


def test_a_capacity_moves_the_rest_outward() -> None:
    found = answer(
        100,
        30,
        {"angle_deg": 0},
        {"angle_deg": 20, "capacity_gmm": 40},
        {"angle_deg": 40, "capacity_gmm": 40},
        {"angle_deg": 90},
    )
    parts = [part["unbalance_gmm"] for part in found["parts"]]
    assert parts[1:3] == [40, 40]
    assert found["total_gmm"] == pytest.approx(sum(parts))


def test_more_places_than_a_shop_has_are_refused() -> None:
    with pytest.raises(BadValue) as refused:
        answer(1, 0, *({"angle_deg": float(i)} for i in range(73)))
    assert refused.value.field == "places"
