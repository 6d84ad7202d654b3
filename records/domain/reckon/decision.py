"""Topic `decision`: the verdict on a value against its limits."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.decision import judge
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return verdict, conformance_probability, guard_band and the acceptance limits there are.

    U is 2 u. No acceptance zone is an error with the code no_acceptance_zone.
    """
    read = Shape(data)
    value, u = read.number("value"), read.number("u", above=0)
    low, high = read.optional_number("low"), read.optional_number("high")
    r = read.number("r", minimum=0)
    read.done()
    judgement = judge(value, u, low=low, high=high, r=r)
    answer: dict[str, object] = {
        "verdict": judgement.verdict.value,
        "conformance_probability": judgement.conformance_probability,
        "guard_band": judgement.guard_band,
    }
    if judgement.acceptance_low is not None:
        answer["acceptance_low"] = judgement.acceptance_low
    if judgement.acceptance_high is not None:
        answer["acceptance_high"] = judgement.acceptance_high
    return answer
