"""What throws doubt on a weighing from its scale's side."""

from datetime import date

import pytest

from records.domain.practice.facts_of_scales import ScaleFacts
from records.domain.practice.scale_doubt import doubts_of
from tests.domain.practice.sample import SHOP_ZONE, at, calibration, check, event, scale


def codes(on: ScaleFacts, day: int = 2, hour: int = 9) -> list[str]:
    return [code for code, _ in doubts_of(on, at(day, hour), SHOP_ZONE)]


def test_what_a_failed_check_puts_in_doubt_stays_so_when_it_is_answered() -> None:
    told = (event(1, "cause recorded", at(2, 18), check=2),)
    checks = (check(1, at(2, 8)), check(2, at(2, 17), passed=False), check(3, at(2, 18)))
    assert codes(scale(checks=checks, events=told)) == ["check_failed_after"]
    assert codes(scale(checks=checks, events=told), 2, 19) == []


def test_on_a_withdrawn_scale_nothing_counts_and_before_it_everything_stands() -> None:
    out = (event(1, "withdrawn", at(3, 7), reason="dropped"),)
    assert codes(scale(events=out)) == []
    assert codes(scale(events=out), day=3) == ["scale_withdrawn"]


@pytest.mark.parametrize("kind", ["adjusted", "repaired"])
def test_after_a_change_nothing_counts_before_the_next_calibration(kind: str) -> None:
    changed = (event(1, kind, at(2, 17)),)
    two = (calibration(1), calibration(2, date(2026, 3, 4)))
    found = [codes(scale(events=changed, calibrations=two), day) for day in (2, 3, 4)]
    assert found == [[], ["changed_since_calibration"], []]
