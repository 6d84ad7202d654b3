"""Parts and scales as a build's facts hold them."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from records.domain.practice.scale_model import scale_model
from records.domain.practice.scale_status import status_at
from records.domain.practice.shop_day import shop_day
from records.domain.practice.standing import standing_of
from records.queries.build_facts import facts_of
from records.queries.scale_facts import scale_facts
from tests.records import factory
from tests.records.factory import START

pytestmark = pytest.mark.django_db
LATER = START + timedelta(hours=1)


def test_a_part_says_what_was_seen_ruled_and_labelled_last() -> None:
    old, new = factory.a_build("25-001"), factory.a_build("26-001")
    damper = factory.a_part("DA01", spec=factory.a_spec("damper"), serial="D-77")
    factory.fitted(new, damper)
    factory.noted(new, damper, heat="straw")
    factory.noted(old, damper, heat="none", earlier_cuts=True)
    factory.a_ruling(damper, "boss", "0.9")
    factory.a_ruling(damper, "boss", "0.4")
    factory.a_rating(damper, label="L-1", expires_on=date(2026, 1, 1))
    factory.a_rating(damper, label="L-2", expires_on=date(2027, 1, 1))
    part = facts_of("26-001").parts["DA01"]
    assert part.serial == "D-77"
    assert part.intake is not None and part.intake.heat == "straw"
    boss = next(zone for zone in part.spec.zones if zone.key == "boss")
    assert part.rulings == {boss.id: Decimal("0.4")}
    assert part.ruled_at == {boss.id: START}
    assert part.rating is not None and part.rating.label == "L-2"


def test_a_part_without_a_note_here_keeps_the_one_of_an_earlier_build() -> None:
    old, new = factory.a_build("25-001"), factory.a_build("26-001")
    part = factory.a_part("PA01")
    factory.fitted(new, part, 1)
    factory.noted(old, part, earlier_cuts=True)
    intake = facts_of("26-001").parts["PA01"].intake
    assert intake is not None and intake.earlier_cuts


def test_a_spec_brings_its_zones_with_their_numbers() -> None:
    build = factory.a_build()
    factory.fitted(build, factory.a_part("PA01", spec=factory.a_spec("piston")), 1)
    spec = facts_of(build.number).parts["PA01"].spec
    assert (spec.number, spec.version, spec.metal) == ("SP-piston", 1, "aluminium")
    zones = {zone.key: (zone.rule, zone.limit_g, zone.methods) for zone in spec.zones}
    assert zones == {
        "skirt": ("allowed", Decimal("4.0"), ("die grinder",)),
        "boss": ("limited", Decimal("1.0"), ("die grinder",)),
        "crown": ("forbidden", None, ("die grinder",)),
    }


def test_every_scale_of_the_shop_comes_with_its_calibrations_and_checks() -> None:
    build = factory.a_build()
    scale = factory.a_scale("S-02")
    factory.a_scale("S-05", calibrated=False)
    factory.a_calibration(
        scale, certificate="K-2602", on=date(2026, 3, 1), as_left=[("0", "0"), ("2000", "0.01")]
    )
    factory.checked(scale, at=LATER, passed=False)
    factory.checked(scale, at=START)
    scales = facts_of(build.number).scales
    assert set(scales) == {"S-02", "S-05"}
    assert scales["S-05"].calibrations == ()
    untouched, adjusted = scales["S-02"].calibrations
    assert untouched.as_left == untouched.as_found
    assert [point.load_g for point in adjusted.as_left] == [Decimal(0), Decimal(2000)]
    assert len(adjusted.as_found) == 4
    assert untouched.repeatability == ((Decimal(1000), Decimal("0.04")),)
    assert untouched.eccentricity is None
    assert [(check.measured_at, check.passed) for check in scales["S-02"].checks] == [
        (START, True),
        (LATER, False),
    ]
    assert scales["S-02"].checks[0].loads[0].limit_g == Decimal("0.16")
    assert {step.unit: step.step_g for step in scales["S-02"].steps} == {
        "g": Decimal("0.1"),
        "oz": Decimal("0.028349523125"),
    }


def test_a_scrapped_part_stays_scrapped_in_every_build() -> None:
    old, new = factory.a_build("25-001"), factory.a_build("26-001")
    part, spared = factory.a_part("PA01"), factory.a_part("PA02")
    factory.fitted(new, part, 1)
    factory.fitted(new, spared, 2)
    factory.decided(factory.a_finding(old, "one", part=part), "scrap")
    undecided = factory.a_finding(old, "two", part=spared)
    factory.decided(undecided, "scrap")
    factory.decided(undecided, "looked at")
    parts = facts_of("26-001").parts
    assert (parts["PA01"].scrapped_in, parts["PA02"].scrapped_in) == ("25-001", "")


def test_checks_that_cannot_matter_to_the_build_are_left_out() -> None:
    build, part, scale = factory.a_build(), factory.a_part("PA01"), factory.a_scale("S-02")
    weekly = factory.a_scale("S-03")
    days = {number: START + timedelta(days=number) for number in (-30, -20, -10, -9, 0, 1)}
    for number, passed in (
        (-30, True),
        (-20, True),
        (-10, True),
        (-9, False),
        (0, True),
        (1, True),
    ):
        factory.checked(scale, at=days[number], passed=passed)
    factory.checked(weekly, at=days[-30], passed=False)
    factory.fitted(build, part, 1)
    factory.weighed(part, "446.8", build=build, scale=scale)
    scales = facts_of(build.number).scales
    # the last good one before the weighing, and all since: what failed after it is not forgotten
    kept = [(check.measured_at, check.passed) for check in scales["S-02"].checks]
    assert kept == [
        (days[-10], True),
        (days[-9], False),
        (days[0], True),
        (days[1], True),
    ]
    assert len(scales["S-03"].checks) == 1, "a scale that never passed keeps its failed checks"


@pytest.mark.parametrize("seed", range(6))
def test_leaving_checks_out_changes_no_standing(seed: int) -> None:
    chance = random.Random(seed)
    build, part, scale = factory.a_build(), factory.a_part("PA01"), factory.a_scale("S-02")
    factory.fitted(build, part, 1)
    for hours in chance.sample(range(-1500, 200), 25):
        factory.checked(scale, at=START + timedelta(hours=hours), passed=chance.random() < 0.7)
    for hours in chance.sample(range(150), 6):
        factory.weighed(part, "446.8", build=build, at=START + timedelta(hours=hours))
    trimmed = facts_of(build.number)
    whole = replace(trimmed, scales=scale_facts())
    now = START + timedelta(hours=250)
    zone = trimmed.shop.timezone
    for weighing in trimmed.weighings:
        assert standing_of(weighing, trimmed) == standing_of(weighing, whole)
        model = [
            scale_model(facts.scales["S-02"], {"g"}, shop_day(weighing.measured_at, zone), zone)
            for facts in (trimmed, whole)
        ]
        assert model[0] == model[1]
    assert status_at(trimmed.scales["S-02"], now, zone) == status_at(
        whole.scales["S-02"], now, zone
    )


def test_a_failed_check_of_long_ago_is_kept_until_what_answers_it_is_too() -> None:
    scale = factory.a_scale("S-02")
    failed = factory.checked(scale, at=START - timedelta(days=40), passed=False)
    repeat = factory.checked(scale, at=START - timedelta(days=39))
    factory.checked(scale, at=START - timedelta(days=1))
    kept = scale_facts(since=START)["S-02"]
    assert [check.id for check in kept.checks][:2] == [failed.pk, repeat.pk]
    zone = "Europe/London"
    assert status_at(kept, START, zone) == status_at(scale_facts()["S-02"], START, zone)
    assert status_at(kept, START, zone).word == "failed check"
