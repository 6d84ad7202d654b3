"""Scale checks: judged, and recorded however they went."""

from __future__ import annotations

import math
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from records.actions.reading import ReadingGiven
from records.actions.scale_checks import Load, record_scale_check
from records.actions.scales import Step, book_scale
from records.domain.errors import BadValue, Code
from records.domain.practice.evidence import Evidence
from records.models import Finding, ScaleCheck
from records.queries.build_facts import facts_of
from tests.records.actions.bench import (
    BUILD,
    INES,
    MARTA,
    SCALE,
    Shop,
    last_entry,
    tables,
    weigh_all,
)
from tests.records.actions.refusal import refused


def _check(shop: Shop, *loads: Load, **more: Any) -> ScaleCheck:
    told: dict[str, Any] = {"by": INES, "scale": SCALE, "clock": shop.clock} | more
    return record_scale_check(loads=loads, **told)


def test_each_load_is_held_to_its_limit(equipped: Shop) -> None:
    row = _check(equipped, Load(["W-500"], ReadingGiven("500.0")))
    load = row.loads.get()
    # u² of one corrected reading = 2·0.1²/12 + 0.03² + (0.05/2)² (GUM; EURAMET cg-18);
    # MPE of M1 at 500 g is 25 mg (OIML R 111-1:2004, table 1), so U = 2·0.025/√3
    u_scale = math.sqrt(2 * 0.1**2 / 12 + 0.03**2 + 0.025**2)
    limit = math.hypot(2 * u_scale, 2 * 0.025 / math.sqrt(3))
    assert row.passed
    assert float(load.limit_g) == pytest.approx(limit, rel=0.02)
    assert load.error_g == 0


def test_the_entry_names_check_and_loads_in_the_scales_stream(equipped: Shop) -> None:
    equipped.check()
    entry = last_entry(f"scale/{SCALE}")
    assert (entry.envelope.kind, entry.envelope.actor) == ("scale checked", INES)
    assert tables(entry) == ["scalecheck", *["scalecheckload"] * 3]


def test_weights_may_be_put_on_together(equipped: Shop) -> None:
    # the error at 1500 g is -0.1 g, as the certificate says at 1000 and 2000 g
    row = _check(equipped, Load(["W-500", "W-1000"], ReadingGiven("1499.9")))
    assert row.loads.get().load_g == Decimal(1500)
    assert row.passed


def test_a_reading_in_ounces_is_judged_in_grams(equipped: Shop) -> None:
    # 500 g / 28.349523125 g = 17.637 oz
    row = _check(equipped, Load(["W-500"], ReadingGiven("17.637", "oz")))
    assert row.passed


def test_a_failed_one_is_recorded_like_any_other(equipped: Shop) -> None:
    row = _check(equipped, Load(["W-500"], ReadingGiven("500.5")))
    assert not row.passed
    assert not row.loads.get().passed


@pytest.mark.parametrize(("shown", "passed"), [("2000.1", False), ("1999.9", True)])
def test_one_that_shows_more_than_its_certificate_reaches_is_recorded_too(
    shown: str, passed: bool, equipped: Shop
) -> None:
    # the last point is 2000 g with an error of -0.1 g: 1999.9 is right, 2000.1 is 0.2 g off
    assert _check(equipped, Load(["W-2000"], ReadingGiven(shown))).passed is passed


def test_one_of_the_past_may_be_entered_late(equipped: Shop) -> None:
    then = equipped.clock.now() - timedelta(hours=4)
    row = _check(equipped, Load(["W-500"], ReadingGiven("500.0")), measured_at=then)
    assert (row.measured_at, row.recorded_at) == (then, equipped.clock.now())


def test_a_failed_check_takes_what_was_weighed_before_it_back(shop: Shop) -> None:
    weigh_all(shop)
    assert Evidence(facts_of(BUILD)).newest("K1", "whole") is not None
    shop.check("500.9", "1000.9", "2000.9")
    assert Evidence(facts_of(BUILD)).newest("K1", "whole") is None
    assert not Finding.objects.exists()


@pytest.mark.parametrize(
    ("load", "code", "field"),
    [
        (Load([], ReadingGiven("500.0")), Code.BAD_VALUE, "loads/0/weights"),
        (Load(["W-500", "W-500"], ReadingGiven("1000.0")), Code.BAD_VALUE, "loads/0/weights"),
        (Load(["W-99"], ReadingGiven("500.0")), Code.UNKNOWN_NUMBER, "loads/0/weights"),
        (Load(["W-500"], ReadingGiven("NaN")), Code.BAD_VALUE, "loads/0/reading/value"),
        (Load(["W-500"], ReadingGiven("0.5", "kg")), Code.UNKNOWN_UNIT, "loads/0/reading/unit"),
        (Load(["W-500"], ReadingGiven("500", "mm")), Code.BAD_VALUE, "loads/0/reading/unit"),
    ],
)
def test_a_load_that_does_not_fit_is_refused(
    load: Load, code: Code, field: str, equipped: Shop
) -> None:
    with refused(BadValue, code, field):
        _check(equipped, load)


def test_no_load_an_unknown_scale_and_a_time_ahead_are_refused(equipped: Shop) -> None:
    load = Load(["W-500"], ReadingGiven("500.0"))
    with refused(BadValue, Code.MISSING, "loads"):
        _check(equipped)
    with refused(BadValue, Code.UNKNOWN_NUMBER, "scale"):
        _check(equipped, load, scale="S-99")
    ahead = equipped.clock.now() + timedelta(minutes=6)
    with refused(BadValue, Code.IN_THE_FUTURE, "measured_at"):
        _check(equipped, load, measured_at=ahead)


def test_a_scale_never_calibrated_cannot_be_checked(equipped: Shop) -> None:
    steps = [Step("g", Decimal("0.1"))]
    book_scale(by=MARTA, number="S-09", capacity_g=Decimal(2000), steps=steps, clock=equipped.clock)
    with refused(BadValue, Code.MISSING, "scale"):
        _check(equipped, Load(["W-500"], ReadingGiven("500.0")), scale="S-09")
