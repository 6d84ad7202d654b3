"""Which weighings a scale found out touched: what is good evidence, and for which mass.

The window is that of ISO 9001:2015 7.1.5.2; half to twice a load: common practice, no source.
"""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from records.domain.practice.facts_of_scales import Point
from records.domain.practice.recall_window import EVER, Proof, points_of_check, silent_checks
from tests.domain.practice.sample import SHOP_ZONE, at, calibration, check
from tests.domain.practice.sample_recall import AS_FOUND, BAD, bad_scale, the_window

JANUARY = datetime(2026, 1, 15, tzinfo=UTC)


class TestACheckWithOneKilogram:
    def test_it_says_nothing_at_500_g(self) -> None:
        found = the_window()
        assert found.proofs == ()
        assert found.good_until(Decimal(500)) == JANUARY

    def test_what_it_was_checked_with_is_named(self) -> None:
        (silent,) = silent_checks(the_window(), bad_scale(), SHOP_ZONE)
        assert silent.load_g == 1000

    def test_one_with_500_g_that_passed_ends_the_doubt(self) -> None:
        known = bad_scale(checks=(check(1, at(4, 8), loads=(500, 1000)),))
        found = the_window(known)
        assert found.proofs == (Proof(Decimal(500), at(4, 8)),)
        assert not found.touches(BAD, at(4, 7), Decimal(500))
        assert found.touches(BAD, at(4, 9), Decimal(500))

    def test_one_that_failed_proves_nothing(self) -> None:
        known = bad_scale(checks=(check(1, at(4, 8), passed=False, loads=(500,)),))
        assert the_window(known).proofs == ()


@pytest.mark.parametrize(
    ("mass", "spoken_for"), [("249.9", False), ("250", True), ("1000", True), ("1000.1", False)]
)
def test_a_check_speaks_for_half_to_twice_its_load(mass: str, spoken_for: bool) -> None:
    assert Proof(Decimal(500), at(4)).speaks_for(Decimal(mass)) is spoken_for


class TestTheWindow:
    def test_it_begins_with_the_last_passed_calibration(self) -> None:
        found = the_window()
        assert not found.touches(BAD, datetime(2026, 1, 14, 23, 59, tzinfo=UTC), Decimal(500))
        assert found.touches(BAD, JANUARY, Decimal(500))

    def test_it_ends_with_the_withdrawal(self) -> None:
        found = the_window(until=at(10))
        assert found.touches(BAD, at(9), Decimal(500))
        assert not found.touches(BAD, at(10), Decimal(500))

    def test_another_scale_is_not_touched(self) -> None:
        assert not the_window().touches("S-02", at(3), Decimal(500))
        assert not the_window().touches(None, at(3), Decimal(500))

    def test_of_a_scale_never_calibrated_everything_is(self) -> None:
        found = the_window(bad_scale(calibrations=(calibration(2, date(2026, 3, 20)),)))
        assert found.since == EVER
        assert found.touches(BAD, datetime(2020, 1, 1, tzinfo=UTC), Decimal(500))

    def test_beyond_its_points_the_error_is_not_known(self) -> None:
        found = the_window()
        assert found.known_at(Decimal(2000))
        assert not found.known_at(Decimal("2000.1"))
        assert not the_window(points=()).known_at(Decimal(0))


def test_a_check_that_failed_gives_errors_beside_the_certificates_own() -> None:
    certified = calibration(
        1, as_left=(Point(Decimal(0), Decimal(0), Decimal("0.04"), Decimal(2)), *AS_FOUND[1:])
    )
    loads = check(1, at(4), passed=False, loads=(500, 1000)).loads
    points = points_of_check(loads, certified)
    # by hand: the certificate has -0.3 at 500 g and 0 at 1000 g, the check is off by 0.02 and 0.9
    assert [(p.load_g, p.error_g) for p in points] == [
        (Decimal(500), Decimal("-0.28")),
        (Decimal(1000), Decimal("0.9")),
    ]
    assert {p.U_g for p in points} == {Decimal("0.15")}
