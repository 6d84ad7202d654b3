"""Which weighings count for release, and what each refusal says."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from records.domain.practice.facts_of_scales import ScaleFacts, StepFacts
from records.domain.practice.standing import standing_of
from tests.domain.practice.sample import (
    at,
    build,
    calibration,
    check,
    event,
    reading,
    scale,
    set_weighing,
    weighing,
)


def codes(on: ScaleFacts, *readings: str, **changes: Any) -> list[str]:
    facts = build(scales={"S-02": on})
    given = weighing(1, "P-1", *(readings or ("447.0", "447.0")), **changes)
    return [code for code, _ in standing_of(given, facts).reasons]


def test_it_counts_on_a_fit_scale() -> None:
    standing = standing_of(weighing(1, "P-1", "447.0", "447.1"), build())
    assert (standing.counts, standing.reasons, standing.warnings) == (True, (), ())


def test_a_verification_weighing_counts() -> None:
    assert codes(scale(), purpose="verification") == []


class TestCalibration:
    def test_it_refuses_an_overdue_scale_and_says_what_to_do(self) -> None:
        old = scale("S-04", calibrations=(calibration(due_on=date(2026, 3, 1)),))
        given = weighing(1, "P-1", "447.0", "447.0", scale="S-04", measured_at=at(4))
        (only,) = standing_of(given, build(scales={"S-04": old})).reasons
        # house.md, House style 7: its example
        assert only == (
            "calibration_expired",
            "scale S-04: calibration expired 2026-03-01, weighing dated 2026-03-04; "
            "use another scale or book a calibration",
        )

    def test_it_counts_on_the_day_it_is_due(self) -> None:
        assert codes(scale(calibrations=(calibration(due_on=date(2026, 3, 2)),))) == []

    def test_it_refuses_a_scale_without_calibration(self) -> None:
        assert codes(scale(calibrations=())) == ["not_calibrated"]
        assert codes(scale(calibrations=(calibration(on=date(2026, 3, 3)),))) == ["not_calibrated"]

    def test_it_refuses_a_mass_beyond_the_certificate_or_the_capacity(self) -> None:
        reached = scale(checks=(check(1, at(2, 8), loads=(2000, 3000)),))
        found = codes(reached, "2100.0", "2100.0")
        assert found == ["over_capacity", "beyond_certificate"]

    def test_it_refuses_a_calibration_without_repeatability(self) -> None:
        half = scale(calibrations=(calibration(repeatability=()),))
        assert codes(half) == ["calibration_incomplete"]

    def test_it_refuses_a_scale_that_is_not_on_record(self) -> None:
        assert codes(scale(), scale="S-99") == ["unknown_scale"]


class TestChecks:
    def test_without_a_check_that_day_it_does_not_count(self) -> None:
        assert codes(scale(checks=(check(1, at(1, 8)),))) == ["no_check"]

    def test_a_check_passed_after_it_lets_it_count(self) -> None:
        assert codes(scale(checks=(check(1, at(2, 17)),))) == []

    def test_the_day_is_the_shops_not_utc(self) -> None:
        # 23:30 UTC on 1 July is 2 July in London summer time, so the check of the 1st won't do
        summer = at(1).replace(month=7, hour=23, minute=30)
        morning = at(1).replace(month=7, hour=8)
        assert codes(scale(checks=(check(1, morning),)), measured_at=summer) == ["no_check"]

    def test_one_load_must_reach_the_part(self) -> None:
        light = scale(checks=(check(1, at(2, 8), loads=(200, 400)),))
        assert codes(light) == ["check_too_light"]
        assert codes(light, "400.0", "400.0") == []

    def test_the_heavy_load_may_be_in_another_check_of_the_day(self) -> None:
        two = (check(1, at(2, 8), loads=(200,)), check(2, at(2, 17), loads=(500,)))
        assert codes(scale(checks=two)) == []

    def test_a_failed_check_before_it_holds_until_its_cause_and_one_passed_between(self) -> None:
        failed = check(1, at(2, 8), passed=False)
        repeat = check(2, at(2, 8, 30))
        told = (event(1, "cause recorded", at(2, 12), check=1),)
        assert codes(scale(checks=(failed, check(2, at(2, 17))))) == ["check_failed_before"]
        assert codes(scale(checks=(failed, repeat))) == ["check_unanswered"]
        assert codes(scale(checks=(failed, repeat), events=told)) == []

    def test_a_failed_check_after_it_takes_it_back(self) -> None:
        good = check(1, at(2, 8))
        failed = check(2, at(2, 12), passed=False)
        assert codes(scale(checks=(good, failed))) == ["check_failed_after"]
        # passing again does not clear what lay between the two
        assert codes(scale(checks=(good, failed, check(3, at(2, 13))))) == ["check_failed_after"]

    def test_next_mornings_failed_check_takes_it_back_too(self) -> None:
        failed = check(2, at(3, 8), passed=False)
        assert codes(scale(checks=(check(1, at(2, 8)), failed))) == ["check_failed_after"]
        today = calibration(1, date(2026, 3, 2))
        both = scale(checks=(check(1, at(2, 8)), failed), calibrations=(today,))
        assert codes(both) == ["check_failed_after"]

    def test_a_passed_check_in_the_evening_keeps_the_day(self) -> None:
        checks = (check(1, at(2, 8)), check(2, at(2, 17)), check(3, at(3, 8), passed=False))
        assert codes(scale(checks=checks)) == []

    def test_a_failed_check_under_the_next_calibration_says_nothing_here(self) -> None:
        checks = (check(1, at(2, 8)), check(2, at(5, 8), passed=False))
        again = (calibration(1), calibration(2, date(2026, 3, 4)))
        assert codes(scale(checks=checks, calibrations=again)) == []
        # on the day of that calibration it may have been made before it
        same = (calibration(1), calibration(2, date(2026, 3, 5)))
        assert codes(scale(checks=checks, calibrations=same)) == ["check_failed_after"]


class TestWhatItIs:
    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"source": "declared"}, "declared"),
            ({"scale": None}, "declared"),
            ({"purpose": "progress"}, "progress"),
            ({"ahead": True}, "ahead"),
            ({"how": "hung"}, "wrong_how"),
            ({"what": "big end", "how": "on the pan"}, "wrong_how"),
        ],
    )
    def test_it_does_not_count(self, changes: dict[str, Any], code: str) -> None:
        assert codes(scale(), **changes) == [code]

    def test_it_refuses_a_unit_the_scale_does_not_show(self) -> None:
        given = weighing(1, "P-1", reading("6900", "grain"), reading("6900", "grain"))
        (only,) = standing_of(given, build()).reasons
        assert only[0] == "unit_not_shown"

    def test_a_set_on_the_pan_counts(self) -> None:
        given = set_weighing(1, 1, ("P-1", "N-1"), "602.0", "602.0")
        assert standing_of(given, build()).counts


class TestWarnings:
    def test_a_coarse_step_counts_but_is_said(self) -> None:
        coarse = StepFacts("g", Decimal("0.5"), Decimal("0.5"), None)
        facts = build(scales={"S-02": scale(steps=(coarse,))})
        standing = standing_of(weighing(1, "P-1", "447.0", "447.5"), facts)
        assert standing.counts
        assert [code for code, _ in standing.warnings] == ["step_too_coarse"]

    def test_an_end_by_difference_counts_but_is_marked(self) -> None:
        given = weighing(1, "R-1", "430.0", "430.0", what="big end", how="by difference")
        standing = standing_of(given, build())
        assert standing.counts
        assert [code for code, _ in standing.warnings] == ["by_difference"]

    def test_one_reading_is_fewer_than_the_rule_asks(self) -> None:
        standing = standing_of(weighing(1, "P-1", "447.0"), build())
        assert [code for code, _ in standing.warnings] == ["too_few_readings"]

    def test_two_readings_of_one_hanging_are_one_hanging(self) -> None:
        same = (reading("430.0", hanging=1), reading("430.1", hanging=1))
        standing = standing_of(weighing(1, "R-1", *same, what="big end"), build())
        assert standing.counts
        assert [code for code, _ in standing.warnings] == ["too_few_hangings"]
