"""The table of topics: one face for every sum, for the command, the API and the pages."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from records.domain.errors import BadValue, Code
from records.domain.reckon import (
    bob_weight,
    chart,
    convert,
    decision,
    difference,
    gauge_study,
    hole,
    index,
    layout,
    match,
    rod_end,
    rod_levers,
    rod_pads,
    slug,
    split,
    twist,
    unbalance_tolerance,
    weighing,
)
from records.domain.reckon.numbers import say

Topic = Callable[[Mapping[str, object]], dict[str, object]]

TOPICS: dict[str, Topic] = {
    "weighing": weighing.reckon,
    "difference": difference.reckon,
    "rod-end": rod_end.reckon,
    "decision": decision.reckon,
    "match": match.reckon,
    "rod-levers": rod_levers.reckon,
    "rod-pads": rod_pads.reckon,
    "bob-weight": bob_weight.reckon,
    "layout": layout.reckon,
    "unbalance-tolerance": unbalance_tolerance.reckon,
    "hole": hole.reckon,
    "slug": slug.reckon,
    "split": split.reckon,
    "index": index.reckon,
    "chart": chart.reckon,
    "gauge-study": gauge_study.reckon,
    "twist": twist.reckon,
    "convert": convert.reckon,
}


def reckon(topic: str, data: Mapping[str, object]) -> dict[str, object]:
    """Return the answer of a topic to the object that came; nothing is recorded.

    Raise BadValue naming the key (a path such as `scale/d_g`), what was expected and what came;
    for an unknown topic with the code unknown_topic.
    """
    answer_of = TOPICS.get(topic)
    if answer_of is None:
        known = ", ".join(sorted(TOPICS))
        raise BadValue(
            Code.UNKNOWN_TOPIC,
            f"unknown topic {say(topic)}; expected one of {known}",
            field="topic",
            expected=f"one of {known}",
            got=say(topic),
        )
    try:
        answer = answer_of(data)
    except (ArithmeticError, RecursionError) as error:
        raise _out_of_reach() from error
    if not _finite(answer):
        raise _out_of_reach()
    return answer


def _finite(answer: object) -> bool:
    if isinstance(answer, float):
        return math.isfinite(answer)
    if isinstance(answer, Mapping):
        return all(_finite(value) for value in answer.values())
    if isinstance(answer, list | tuple):
        return all(_finite(value) for value in answer)
    return True


def _out_of_reach() -> BadValue:
    """A last guard: what came is each in range, but together past what floats can hold."""
    return BadValue(
        Code.OUT_OF_RANGE,
        "expected values that give a finite answer, got values too far apart in size",
        expected="values that give a finite answer",
        got="values too far apart in size",
    )
