"""Topic `gauge-study` against AIAG MSA, 4th edition (checks/measure.md 5.1)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.reckon.topics import reckon
from tests import outside


def test_both_methods() -> None:
    rows = outside.data("aiag_msa4_grr_10x3x3.csv")
    found: dict[str, Any] = reckon("gauge-study", {"rows": rows, "tolerance": 8})
    ranges, variance = found["average_range"], found["anova"]
    assert ranges["grr_percent"] == pytest.approx(26.68, abs=5e-3)
    assert ranges["ndc"] == 5
    assert variance["ev"] == pytest.approx(0.199933, abs=5e-7)
    assert variance["grr_percent"] == pytest.approx(27.86, abs=5e-3)
    assert variance["tolerance_percent"] == pytest.approx(22.68, abs=5e-3)
    assert variance["interaction_p"] == pytest.approx(0.974106, abs=5e-7)
    assert variance["pooled"] is True
    assert variance["ndc"] == 4
    assert {"ev", "av", "grr", "pv", "tv"} <= ranges.keys() & variance.keys()


def test_names_may_be_numbers() -> None:
    def rows(trial: Any) -> list[dict[str, Any]]:
        return [
            {"part": p, "appraiser": a, "trial": trial(t), "value": 500 + p + 0.1 * t * (a == "A")}
            for p in (1, 2, 3)
            for a in "AB"
            for t in (1, 2)
        ]

    plain = reckon("gauge-study", {"rows": rows(int)})
    assert plain == reckon("gauge-study", {"rows": rows(str)})
    assert "tolerance_percent" not in plain["average_range"]  # type: ignore[operator]
