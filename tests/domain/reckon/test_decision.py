from __future__ import annotations

import pytest

from records.domain.reckon.topics import reckon


def test_the_motor_oil_of_jcgm_106() -> None:
    """JCGM 106:2012, 7 (from memory, recomputed): 0.66."""
    answer = reckon("decision", {"value": 13.6, "u": "1.8", "low": 12.5, "high": 16.3, "r": 0})
    assert answer["conformance_probability"] == pytest.approx(0.662630, abs=5e-7)
    assert answer["verdict"] == "pass"
    assert (answer["acceptance_low"], answer["acceptance_high"]) == (12.5, 16.3)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (0.3, "pass"),
        (0.4, "conditional pass"),
        (0.5, "conditional pass"),
        (0.6, "conditional fail"),
        (0.7, "conditional fail"),
        (0.71, "fail"),
    ],
)
def test_four_verdicts(value: float, verdict: str) -> None:
    answer = reckon("decision", {"value": value, "u": 0.1, "high": 0.5, "r": 1})
    assert answer["verdict"] == verdict
    assert answer["acceptance_high"] == pytest.approx(0.3)
    assert "acceptance_low" not in answer
