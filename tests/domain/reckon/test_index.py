"""Topic `index` against checks/balance.md 4 (calc): P = (U0 + U180)/2, E = (U0 − U180)/2."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon


def answer(frame: str) -> dict[str, Any]:
    # part 30∠90 and tooling 40∠0, seen from the part
    return reckon(
        "index",
        {
            "reading_0": {"unbalance_gmm": 50, "angle_deg": 36.8698976},
            "reading_180": {"unbalance_gmm": "50", "angle_deg": 143.1301024},
            "frame": frame,
        },
    )


def test_both_frames() -> None:
    on_part = answer("part")
    assert on_part["part"]["unbalance_gmm"] == pytest.approx(30)
    assert on_part["part"]["angle_deg"] == pytest.approx(90)
    assert on_part["tooling"]["unbalance_gmm"] == pytest.approx(40)
    assert min(on_part["tooling"]["angle_deg"], 360 - on_part["tooling"]["angle_deg"]) < 1e-6
    on_mandrel = answer("mandrel")
    assert on_mandrel["part"] == on_part["tooling"]
    assert on_mandrel["tooling"] == on_part["part"]
