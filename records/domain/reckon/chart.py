"""Topic `chart`: a control chart and what the plain rules say of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict

from records.domain.measure.chart import (
    DEFAULT_WEIGHT,
    Chart,
    ewma_chart,
    individuals_chart,
    mean_range_chart,
)
from records.domain.reckon.numbers import Limits, read_number, refuse
from records.domain.reckon.shape import Shape

KINDS = ("individuals", "mean-range", "ewma")
PLAIN = Limits()


class _Given(TypedDict):
    baseline: int | None
    centre: float | None
    sigma: float | None


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return centre, low, high, warning_low, warning_high, range_high where there is one, signals.

    Further: sigma, and points as plotted (values, means of subgroups, or averages of an ewma).
    """
    read = Shape(data)
    kind = read.text("kind", one_of=KINDS)
    given: _Given = {
        "baseline": read.whole("baseline", minimum=1) if read.has("baseline") else None,
        "centre": read.optional_number("centre"),
        "sigma": read.optional_number("sigma", above=0),
    }
    if kind == "mean-range":
        subgroups = _read_subgroups(read)
        read.done()
        return _answer(mean_range_chart(subgroups, **given))
    values = read.numbers("values")
    if kind == "individuals":
        read.done()
        return _answer(individuals_chart(values, **given))
    weight = read.number_or("lambda", DEFAULT_WEIGHT, above=0, maximum=1)
    read.done()
    return _answer(ewma_chart(values, weight=weight, **given))


def _read_subgroups(read: Shape) -> list[list[float]]:
    groups = []
    for i, group in enumerate(read.items("subgroups", at_least=1, of="subgroups")):
        path = f"{read.at('subgroups')}/{i}"
        if not isinstance(group, list | tuple):
            refuse(path, "a list of numbers", group)
        groups.append([read_number(x, f"{path}/{j}", PLAIN) for j, x in enumerate(group)])
    return groups


def _answer(chart: Chart) -> dict[str, object]:
    answer: dict[str, object] = {
        "centre": chart.centre,
        "sigma": chart.sigma,
        "low": chart.low,
        "high": chart.high,
        "warning_low": chart.warning_low,
        "warning_high": chart.warning_high,
        "points": list(chart.points),
        "signals": [{"at": signal.at, "rule": signal.rule.value} for signal in chart.signals],
    }
    if chart.range_low is not None:
        answer["range_low"] = chart.range_low
    if chart.range_high is not None:
        answer["range_high"] = chart.range_high
    return answer
