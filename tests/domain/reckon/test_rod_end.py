from __future__ import annotations

import math
from typing import Any

import pytest

from records.domain.reckon.topics import reckon


@pytest.mark.parametrize(("u_support_mm", "u_g"), [(0.05, 0.186726), ("0", 0.108012)])
def test_the_rod_of_600_g(u_support_mm: object, u_g: float) -> None:
    """M 600 g, L 150 mm, a 45 mm, d .1, s .1 (derived; checked with GTC)."""
    answer: Any = reckon(
        "rod-end",
        {
            "rod_g": 600,
            "length_mm": 150,
            "cg_from_big_mm": 45,
            "scale": {"d_g": 0.1, "s_g": 0.1},
            "u_support_mm": u_support_mm,
        },
    )
    assert (answer["big_g"], answer["small_g"]) == pytest.approx((420, 180))
    assert answer["u_big_g"] == pytest.approx(u_g, abs=5e-7)
    assert math.hypot(*(line["u_g"] for line in answer["budget"])) == pytest.approx(u_g, abs=5e-7)
