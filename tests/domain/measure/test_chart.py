"""Control charts against the e-Handbook and NIST's check standards (checks/measure.md 4.2)."""

from __future__ import annotations

from statistics import fmean, stdev
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.measure.chart import (
    Chart,
    Rule,
    ewma_chart,
    individuals_chart,
    mean_range_chart,
)
from tests import outside

INDIVIDUALS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
BEFORE = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5]
BASELINE = 117  # rows, the handbook's count


def told(chart: Chart, rule: Rule, after: int = 0) -> list[int]:
    return [s.at for s in chart.signals if s.rule is rule and s.at > after]


def mass_check() -> list[float]:
    """NIST balance 12, a kilogram check standard, 217 calibrations 1975 to 1988, mg."""
    rows = outside.data("nist_mass_check_standard_217.csv")
    return [float(row["check_standard_value_mg"]) for row in rows]


def test_individuals_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.2; divisor 1.128 as printed."""
    chart = individuals_chart(INDIVIDUALS)
    assert chart.centre == pytest.approx(50.81)
    assert (chart.low, chart.high) == pytest.approx((45.8159, 55.8041), abs=5e-5)
    assert chart.range_high == pytest.approx(6.135, abs=5e-4)
    assert chart.signals == ()


def test_ewma_of_the_handbook() -> None:
    """e-Handbook 6.3.2.4: lambda 0.3, start 50, s 2.0539."""
    chart = ewma_chart(BEFORE + INDIVIDUALS, weight=0.3, centre=50, sigma=2.0539)
    printed = (
        "50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 "
        "50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99"
    )
    assert list(chart.points) == pytest.approx([float(z) for z in printed.split()], abs=0.0051)
    assert (chart.low, chart.high) == pytest.approx((47.4115, 52.5884), abs=1e-4)
    assert chart.signals == ()


def test_single_limits_barely_see_the_shift_of_the_mass_check_standard() -> None:
    values = mass_check()
    s = stdev(values[:BASELINE])
    assert (fmean(values[:BASELINE]), s) == pytest.approx((-19.477379, 0.030139), abs=5e-7)
    chart = individuals_chart(values, baseline=BASELINE, sigma=s)
    assert (chart.warning_low, chart.warning_high) == pytest.approx(
        (-19.537658, -19.417100), abs=1e-6
    )
    assert (chart.low, chart.high) == pytest.approx((-19.567797, -19.386961), abs=1e-6)
    assert told(chart, Rule.ACTION) == [154, 179]
    assert len(told(chart, Rule.WARNING, after=BASELINE)) == 21


def test_the_run_rule_and_the_ewma_do_see_it() -> None:
    values = mass_check()
    s = stdev(values[:BASELINE])
    chart = individuals_chart(values, baseline=BASELINE, sigma=s)
    assert told(chart, Rule.RUN, after=BASELINE)[0] == 137
    average = ewma_chart(values, weight=0.2, baseline=BASELINE, sigma=s)
    assert (average.low, average.high) == pytest.approx((-19.507519, -19.447240), abs=1e-6)
    assert told(average, Rule.EWMA, after=BASELINE)[0] == 155


def test_the_resistivity_check_standard() -> None:
    """e-Handbook 2.6.2, wafer 137: mean 97.070, level-2 s 0.02680, 2s limits."""
    values = [
        float(row["value_ohm_cm"]) for row in outside.data("nist_resistivity_check_standard_25.csv")
    ]
    assert stdev(values) == pytest.approx(0.02680, abs=5e-6)
    chart = individuals_chart(values, sigma=stdev(values))
    assert chart.centre == pytest.approx(97.070, abs=5e-4)
    limits = (chart.warning_low, chart.warning_high)
    assert limits == pytest.approx((97.0162, 97.1234), abs=5e-5)


def test_means_and_ranges_of_the_gauge_study() -> None:
    """AIAG MSA study (checks/measure.md 5.1): UCL_R 0.8795, mean limits 0.0014 ± 0.3495."""
    cells: dict[tuple[str, str], list[float]] = {}
    for row in outside.data("aiag_msa4_grr_10x3x3.csv"):
        cells.setdefault((row["appraiser"], row["part"]), []).append(float(row["value"]))
    chart = mean_range_chart(list(cells.values()))
    assert chart.range_high == pytest.approx(0.8795, abs=3e-4)
    assert chart.range_low == 0
    assert chart.centre == pytest.approx(0.0014, abs=5e-5)
    assert chart.high - chart.centre == pytest.approx(0.3495, abs=3e-4)
    # B weighed part 4 at 0.01, 1.03, 0.20: a range of 1.02
    assert [list(cells)[at - 1] for at in told(chart, Rule.RANGE)] == [("B", "4")]


def test_a_point_on_a_limit_is_inside_and_beyond_three_is_beyond_two() -> None:
    chart = individuals_chart(
        [500.0, 500.3, 499.8, 500.2, 500.30001, 500.20001], centre=500, sigma=0.1
    )
    assert told(chart, Rule.ACTION) == [5]
    assert told(chart, Rule.WARNING) == [2, 5, 6]
    both = [(s.at, s.rule) for s in chart.signals if s.at == 5]
    assert both == [(5, Rule.ACTION), (5, Rule.WARNING)]


def test_a_run_counts_eight_on_one_side_and_the_centre_breaks_it() -> None:
    above = [0.5] * 7
    assert told(individuals_chart(above, centre=0, sigma=1), Rule.RUN) == []
    assert told(individuals_chart([*above, 0.1, 0.2], centre=0, sigma=1), Rule.RUN) == [8, 9]
    assert told(individuals_chart([*above, 0.0, 0.5], centre=0, sigma=1), Rule.RUN) == []
    assert told(individuals_chart([*above, -0.1, *above], centre=0, sigma=1), Rule.RUN) == []


def test_zeros_on_the_centre_are_no_run() -> None:
    assert individuals_chart([500.0] * 20, centre=500, sigma=0.1).signals == ()


def test_the_baseline_alone_gives_the_limits() -> None:
    alone = individuals_chart(INDIVIDUALS)
    more = individuals_chart([*INDIVIDUALS, 60.0], baseline=10)
    assert (more.low, more.high) == (alone.low, alone.high)
    assert told(more, Rule.ACTION) == [11]


@pytest.mark.parametrize(
    ("values", "given", "field"),
    [
        ([], {}, "values"),
        ([5.0], {}, "values"),
        ([5.0, 5.0, 5.0], {}, "sigma"),
        ([5.0, 6.0], {"baseline": 3}, "baseline"),
        ([5.0, 6.0], {"baseline": 1}, "baseline"),
        ([5.0, 6.0], {"sigma": 0.0}, "sigma"),
        ([5.0, 6.0], {"sigma": -1.0}, "sigma"),
    ],
)
def test_what_gives_no_limits_is_refused(
    values: list[float], given: dict[str, Any], field: str
) -> None:
    for chart in (individuals_chart, ewma_chart):
        with pytest.raises(BadValue) as refused:
            chart(values, **given)
        assert refused.value.field == field


def test_one_value_is_enough_where_centre_and_sigma_are_known() -> None:
    assert individuals_chart([5.4], centre=5, sigma=0.1).signals[0].rule is Rule.ACTION


@pytest.mark.parametrize("weight", [0.0, -0.2, 1.01])
def test_a_weight_that_cannot_be_is_refused(weight: float) -> None:
    with pytest.raises(BadValue) as refused:
        ewma_chart(INDIVIDUALS, weight=weight)
    assert refused.value.field == "lambda"


@pytest.mark.parametrize(
    ("groups", "field"),
    [
        ([], "subgroups"),
        ([[1.0], [2.0]], "subgroups/0"),
        ([[1.0, 2.0], [1.0, 2.0, 3.0]], "subgroups/1"),
        ([[1.0, 1.0], [2.0, 2.0]], "sigma"),
    ],
)
def test_subgroups_that_do_not_match_are_named(groups: list[list[float]], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        mean_range_chart(groups)
    assert refused.value.field == field
