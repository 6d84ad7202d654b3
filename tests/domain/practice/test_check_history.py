"""What daily checks say over time: ten results, drift in words, and a fresh start."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from records.domain.practice.check_history import LoadHistory, histories
from records.domain.practice.facts_of_scales import CheckFacts, CheckLoad
from records.domain.practice.scale_status import status_at
from tests.domain.practice.sample import SHOP_ZONE, calibration, event, scale

FIRST = datetime(2026, 1, 20, 8, tzinfo=UTC)
LIMIT = Decimal("0.20")


def daily(errors: Sequence[str], load: int = 1000, start: int = 0) -> tuple[CheckFacts, ...]:
    return tuple(
        CheckFacts(
            start + n,
            FIRST + timedelta(days=start + n),
            abs(Decimal(error)) <= LIMIT,
            (CheckLoad(Decimal(load), Decimal(error), LIMIT, abs(Decimal(error)) <= LIMIT),),
        )
        for n, error in enumerate(errors)
    )


def told(checks: tuple[CheckFacts, ...], **more: Any) -> tuple[LoadHistory, ...]:
    last = checks[-1].measured_at.date()
    return histories(scale(checks=checks, **more), last, SHOP_ZONE)


def test_before_ten_results_no_chart_speaks() -> None:
    (one,) = told(daily(["0.0"] * 9))
    assert one.chart is None
    assert one.signals == ()
    assert one.text.startswith("9 results since 2026-01-15: before 10 there are")


def test_a_slow_creep_inside_the_limit_is_told_in_words_and_withdraws_nothing() -> None:
    checks = daily(["0.0"] * 20 + ["0.1"] * 8)
    (one,) = told(checks)
    runs = [signal for signal in one.signals if signal.rule == "run of 8"]
    assert [signal.at for signal in runs] == [checks[27].measured_at]
    assert "eight in a row above the usual, each inside its limit" in runs[0].text
    assert any(signal.rule == "ewma" and "slow drift" in signal.text for signal in one.signals)
    assert one.text.startswith("the checks speak lately")
    now = checks[-1].measured_at + timedelta(hours=1)
    assert status_at(scale(checks=checks), now, SHOP_ZONE).word == "fit"


def test_a_run_that_goes_on_is_told_once() -> None:
    (one,) = told(daily(["0.0"] * 20 + ["0.1"] * 15))
    assert len([signal for signal in one.signals if signal.rule == "run of 8"]) == 1


def test_what_was_long_ago_is_not_lately() -> None:
    (one,) = told(daily(["0.0"] * 20 + ["0.2"] + ["0.0"] * 12))
    assert {signal.lately for signal in one.signals if signal.rule == "action 3s"} == {False}
    assert one.text.startswith("nothing to see lately")


def test_each_load_has_its_own() -> None:
    both = daily(["0.0"] * 10) + daily(["0.0"] * 3, load=500, start=10)
    assert [(int(h.load_g), len(h.results)) for h in told(both)] == [(500, 3), (1000, 10)]


def test_a_new_calibration_or_an_adjustment_starts_anew() -> None:
    checks = daily(["0.0"] * 12)
    again = (calibration(1), calibration(2, date(2026, 1, 25)))
    assert [len(h.results) for h in told(checks, calibrations=again)] == [7]
    adjusted = (event(1, "adjusted", FIRST + timedelta(days=7)),)
    assert [len(h.results) for h in told(checks, events=adjusted)] == [5]


def test_without_a_calibration_there_is_none() -> None:
    assert told(daily(["0.0"] * 12), calibrations=()) == ()
