"""Advice on the next calibration by the staircase of ILAC-G24:2022, 6.2 (80 % from memory)."""

from __future__ import annotations

import math

import pytest

from records.domain.errors import BadValue
from records.domain.measure.interval import Found, Step, advise_interval


@pytest.mark.parametrize(
    ("current", "errors_g", "months", "step"),
    [
        (12, (0.01, -0.08), 18, Step.LONGER),  # 80 % is still well inside
        (12, (0.01, -0.081), 12, Step.SAME),
        (12, (0.1, 0.0), 12, Step.SAME),  # on the limit is inside
        (12, (0.0, -0.101), 9, Step.SHORTER),
        (24, (0.0, 0.0), 24, Step.SAME),  # the top of the stair
        (1, (0.3, 0.0), 1, Step.SAME),  # the foot of it
        (7, (0.0, 0.0), 9, Step.LONGER),  # an interval between two steps
        (7, (0.3, 0.0), 6, Step.SHORTER),
    ],
)
def test_the_stair(current: int, errors_g: tuple[float, ...], months: int, step: Step) -> None:
    advice = advise_interval(current, [Found(error, 0.1) for error in errors_g])
    assert (advice.months, advice.step) == (months, step)
    assert "% of its limit" in advice.why


def test_the_worst_load_decides() -> None:
    advice = advise_interval(12, [Found(0.05, 0.1), Found(0.3, 0.2)])
    assert advice.step is Step.SHORTER
    assert advice.worst_share == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("current", "found", "field"),
    [
        (12, [], "as_found"),
        (0, [Found(0, 1)], "current_months"),
        (25, [Found(0, 1)], "current_months"),
        (12, [Found(0, 1), Found(0, 0)], "as_found/1/limit_g"),
        (12, [Found(math.nan, 1)], "as_found/0/error_g"),
    ],
)
def test_what_gives_no_advice_is_named(current: int, found: list[Found], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        advise_interval(current, found)
    assert refused.value.field == field
