"""What a scale's daily checks say over time, load by load, in words: advice, never a withdrawal.

A history is of one load under one calibration: a new certificate, an adjustment or a repair starts
it anew. Before ten results only the limit of each check speaks.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from records.domain.measure.chart import Rule
from records.domain.measure.daily_chart import LEAST_RESULTS, DailyChart, daily_chart
from records.domain.practice.facts_of_scales import CheckFacts, CheckLoad, ScaleFacts
from records.domain.practice.scale_events import CHANGES
from records.domain.practice.scale_model import calibration_at, scale_model, step_g
from records.domain.practice.shop_day import shop_day

LATELY = 8  # a signal is said while it lies among the last eight results


@dataclass(frozen=True, slots=True)
class Result:
    """One check at one load: its error after correction, and the limit it was held to."""

    check: int
    at: datetime
    error_g: Decimal
    limit_g: Decimal
    passed: bool


@dataclass(frozen=True, slots=True)
class ToldSignal:
    """A rule that spoke at a result, in words; `lately` when it lies among the last eight."""

    at: datetime
    rule: str
    text: str
    lately: bool


@dataclass(frozen=True, slots=True)
class LoadHistory:
    """The results at one load since a day; `chart` is None before ten of them."""

    load_g: Decimal
    since: date
    results: tuple[Result, ...]
    chart: DailyChart | None
    signals: tuple[ToldSignal, ...]
    text: str


def histories(scale: ScaleFacts, day: date, timezone: str) -> tuple[LoadHistory, ...]:
    """Give the history of each load under the calibration in force, lightest first."""
    calibration = calibration_at(scale, day)
    if calibration is None or not calibration.as_left or not calibration.repeatability:
        return ()
    changed = [
        shop_day(event.happened_at, timezone) for event in scale.events if event.kind in CHANGES
    ]
    since = max([calibration.calibrated_on, *(on for on in changed if on <= day)])
    by_load: dict[Decimal, list[Result]] = {}
    for check in scale.checks:
        if since <= shop_day(check.measured_at, timezone) <= day:
            for load in check.loads:
                by_load.setdefault(_nominal(load), []).append(_result(check, load))
    return tuple(
        _history(scale, load_g, results, since, timezone)
        for load_g, results in sorted(by_load.items())
    )


def _nominal(load: CheckLoad) -> Decimal:
    """Give the load to a tenth of a gram: a weight's new certificate doesn't part its history."""
    return round(load.load_g, 1)


def _result(check: CheckFacts, load: CheckLoad) -> Result:
    return Result(check.id, check.measured_at, load.error_g, load.limit_g, load.passed)


def _history(
    scale: ScaleFacts, load_g: Decimal, results: list[Result], since: date, timezone: str
) -> LoadHistory:
    if len(results) < LEAST_RESULTS:
        text = (
            f"{_counted(results)} since {since}: before {LEAST_RESULTS} there are, each is held "
            "to its own limit, U of scale and weights, and no chart speaks"
        )
        return LoadHistory(load_g, since, tuple(results), None, (), text)
    day = shop_day(results[-1].at, timezone)
    model = scale_model(scale, {"g"}, day, timezone, load_g=load_g, with_drift=False)
    d_g = float(step_g(scale, {"g"}, load_g))
    chart = daily_chart([float(one.error_g) for one in results], model.s_at(float(load_g)), d_g)
    told = tuple(_told(chart, results))
    return LoadHistory(load_g, since, tuple(results), chart, told, _summary(chart, told, since))


def _counted(results: list[Result]) -> str:
    return "1 result" if len(results) == 1 else f"{len(results)} results"


def _told(chart: DailyChart, results: list[Result]) -> Iterable[ToldSignal]:
    """Tell each signal; of a run or an average that goes on, only where it begins."""
    before: dict[Rule, int] = {}
    beyond = {signal.at for signal in chart.signals if signal.rule is Rule.ACTION}
    for signal in chart.signals:
        if signal.rule is Rule.WARNING and signal.at in beyond:
            continue
        goes_on = before.get(signal.rule) == signal.at - 1
        before[signal.rule] = signal.at
        lately = signal.at > len(results) - LATELY
        if goes_on and signal.rule in (Rule.RUN, Rule.EWMA):
            continue
        result = results[signal.at - 1]
        yield ToldSignal(result.at, str(signal.rule), _words(chart, signal.rule, result), lately)


def _words(chart: DailyChart, rule: Rule, result: Result) -> str:
    off_g = float(result.error_g) - chart.individuals.centre
    side = "above" if off_g > 0 else "below"
    return {
        Rule.ACTION: (
            f"{abs(off_g):.2g} g {side} the usual, beyond 3 s: clean and level the scale, let it "
            "warm up, and check again before the work goes on"
        ),
        Rule.WARNING: f"{abs(off_g):.2g} g {side} the usual, beyond 2 s: watch the next one",
        Rule.RUN: (
            f"eight in a row {side} the usual, each inside its limit: the scale has shifted; look "
            "for a draught, dirt or warmth, and have it calibrated sooner if it stays"
        ),
        Rule.EWMA: (
            "the weighted average has left its limits: a slow drift that no single check shows; "
            "have the scale calibrated sooner"
        ),
        Rule.RANGE: "",
    }[rule]


def _summary(chart: DailyChart, told: tuple[ToldSignal, ...], since: date) -> str:
    usual = (
        f"usual error {chart.individuals.centre:+.2g} g, s {chart.individuals.sigma:.2g} g, from "
        f"the first {chart.baseline} since {since}"
    )
    if any(signal.lately for signal in told):
        return f"the checks speak lately; {usual}"
    return f"nothing to see lately; {usual}"
