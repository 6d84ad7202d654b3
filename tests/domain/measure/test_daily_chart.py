"""The daily chart: a floor under sigma, a dead band round the centre, and drift it must see."""

import math

import pytest

from records.domain.errors import BadValue
from records.domain.measure.chart import Rule, individuals_chart
from records.domain.measure.daily_chart import daily_chart
from tests import outside

TINY_G = 1e-9  # a step too fine to matter


def rules(values: list[float]) -> list[tuple[int, Rule]]:
    chart = daily_chart(values, s_g=0.03, d_g=0.1)
    return [(signal.at, signal.rule) for signal in chart.signals]


class TestTheFloor:
    def test_a_scale_that_shows_the_same_for_days_gets_sigma_from_its_step(self) -> None:
        chart = daily_chart([0.0] * 12, s_g=0.03, d_g=0.1)
        assert chart.individuals.sigma == pytest.approx(math.sqrt(0.03**2 + 0.1**2 / 12))
        assert chart.signals == ()

    def test_one_step_off_is_a_warning_where_the_plain_chart_calls_for_action(self) -> None:
        values = [0.0] * 10 + [0.1] + [0.0] * 10 + [0.1]
        plain = individuals_chart(values, baseline=20).signals
        assert any(signal.at == 22 and signal.rule is Rule.ACTION for signal in plain)
        assert {rule for _, rule in rules(values)} == {Rule.WARNING}

    def test_a_sigma_above_the_floor_stands(self) -> None:
        # e-Handbook 6.3.2.2 (checks/measure.md 4.2 a): centre 50.81, upper limit 55.8041
        values = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
        chart = daily_chart(values, s_g=0.1, d_g=0.1).individuals
        assert chart.centre == pytest.approx(50.81)
        assert chart.high == pytest.approx(55.8041, abs=5e-5)


class TestTheRun:
    def test_points_within_half_a_step_are_on_neither_side(self) -> None:
        above = [0.0] * 20 + [0.04] * 12
        assert (28, Rule.RUN) in [
            (s.at, s.rule)
            for s in individuals_chart(above, baseline=20, centre=0.0, sigma=0.04).signals
        ]
        assert rules(above) == []

    def test_just_beyond_half_a_step_they_are(self) -> None:
        above = [0.0] * 20 + [0.06] * 8
        assert (28, Rule.RUN) in rules(above)
        assert (27, Rule.RUN) not in rules(above)

    def test_exactly_half_a_step_is_on_neither_side(self) -> None:
        assert [r for _, r in rules([0.0] * 20 + [0.05] * 12) if r is Rule.RUN] == []

    def test_it_starts_again_after_a_point_on_neither_side(self) -> None:
        values = [0.0] * 20 + [0.06] * 7 + [0.01] + [0.06] * 7
        assert [r for _, r in rules(values) if r is Rule.RUN] == []


class TestDrift:
    def test_run_and_average_see_what_single_limits_miss(self) -> None:
        # NIST mass check standard, balance 12 (checks/measure.md 4.2 d): with the first 117 rows
        # as baseline the run of 8 is first complete at row 137
        rows = outside.data("nist_mass_check_standard_217.csv")
        values = [float(row["check_standard_value_mg"]) for row in rows]
        chart = daily_chart(values, s_g=0.030139, d_g=TINY_G, baseline=117)
        first = {
            rule: next(s.at for s in chart.signals if s.rule is rule and s.at > 117)
            for rule in (Rule.RUN, Rule.EWMA)
        }
        assert chart.individuals.centre == pytest.approx(-19.477379, abs=5e-7)
        assert chart.individuals.sigma >= 0.030139
        assert first[Rule.RUN] == 137
        assert 137 < first[Rule.EWMA] < 160
        beyond = [s.at for s in chart.signals if s.rule is Rule.ACTION and s.at > 117]
        assert len(beyond) <= 2


def test_below_ten_results_it_does_not_speak() -> None:
    with pytest.raises(BadValue, match="at least 10 results, got 9"):
        daily_chart([0.0] * 9, s_g=0.03, d_g=0.1)
    assert daily_chart([0.0] * 10, s_g=0.03, d_g=0.1).baseline == 10


def test_it_refuses_a_step_of_nothing() -> None:
    with pytest.raises(BadValue, match="a step above 0"):
        daily_chart([0.0] * 10, s_g=0.03, d_g=0.0)
