"""Topic `chart` against the e-Handbook and NIST's mass check standard (checks/measure.md 4.2)."""

from __future__ import annotations

from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.reckon.topics import reckon
from tests import outside

VALUES = [49.6, 47.6, 49.9, 51.3, 47.8, "51.2", 52.6, 52.4, 53.6, 52.1]


def answer(**data: Any) -> dict[str, Any]:
    return reckon("chart", data)


def test_individuals() -> None:
    found = answer(values=VALUES, kind="individuals")
    assert found["centre"] == pytest.approx(50.81)
    assert (found["low"], found["high"]) == pytest.approx((45.8159, 55.8041), abs=5e-5)
    assert found["range_high"] == pytest.approx(6.135, abs=5e-4)
    assert found["warning_high"] == pytest.approx(50.81 + 2 / 3 * (55.8041 - 50.81), abs=5e-5)
    assert found["signals"] == []


def test_the_mass_check_standard() -> None:
    rows = outside.data("nist_mass_check_standard_217.csv")
    values = [row["check_standard_value_mg"] for row in rows]
    given = {"values": values, "baseline": 117, "sigma": 0.030139456}
    signals = answer(kind="individuals", **given)["signals"]
    assert [s["at"] for s in signals if s["rule"] == "action 3s"] == [154, 179]
    runs = [s["at"] for s in signals if s["rule"] == "run of 8" and s["at"] > 117]
    assert runs[0] == 137
    average = answer(kind="ewma", **{**given, "lambda": 0.2})
    assert next(s for s in average["signals"] if s["at"] > 117) == {"at": 155, "rule": "ewma"}
    assert "range_high" not in average


def test_means_and_ranges() -> None:
    found = answer(subgroups=[[1, 2, 3], [2, 3, "4"], [1, 3, 5]], kind="mean-range")
    mean_range = (2 + 2 + 4) / 3
    assert found["centre"] == pytest.approx((2 + 3 + 3) / 3)
    # printed A2 1.023, D4 2.574
    assert found["high"] - found["centre"] == pytest.approx(1.023 * mean_range, rel=1e-3)
    assert found["range_high"] == pytest.approx(2.574 * mean_range, rel=1e-3)
    assert found["points"] == [2, 3, 3]


def test_a_weight_belongs_to_an_ewma_alone() -> None:
    with pytest.raises(BadValue) as refused:
        answer(values=VALUES, kind="individuals", **{"lambda": 0.2})
    assert refused.value.field == "lambda"
