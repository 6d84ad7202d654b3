"""Masses as sums of weighings: what cancels, what piles up, what an end brings of its own."""

from decimal import Decimal
from typing import Any

import pytest

from records.domain.errors import BadValue
from records.domain.practice.facts import FixtureFacts
from records.domain.practice.masses import NOTHING, end_mass, pan_mass, total
from tests.domain.practice.sample import SHOP_ZONE, build, calibration, reading, scale, weighing

ONE = pan_mass(weighing(1, "P-1", "447.0"), scale(), SHOP_ZONE)
TWO = pan_mass(weighing(2, "P-2", "447.6"), scale(), SHOP_ZONE)
LENGTH = Decimal("152.4")
HUNG = weighing(3, "R-1", "430.0", "430.0", what="big end")


def u_of_hung(**changes: Any) -> float:
    facts = build(**changes)
    return end_mass(HUNG, facts, LENGTH, Decimal(606)).uncertain().u_g


def test_a_weighing_in_both_is_gone_from_the_difference() -> None:
    lock = pan_mass(weighing(9, "L-1", "2.3"), scale(), SHOP_ZONE)
    difference = TWO.plus(lock).minus(ONE.plus(lock))
    assert difference.sources == (1, 2)
    assert difference.mass_g == Decimal("0.6")
    # checks/measure.md 1.3: u(diff), own zero each, d 0.1, s 0.05
    assert difference.uncertain().u_g == pytest.approx(0.09129, abs=5e-6)


def test_less_itself_nothing_is_left() -> None:
    nothing = ONE.minus(ONE)
    assert nothing == NOTHING
    assert (nothing.mass_g, nothing.uncertain().U_g) == (Decimal(0), 0.0)


def test_in_a_sum_the_shared_errors_add_linearly() -> None:
    # checks/measure.md 1.2d: ten against one standard, u = 1.0 and not 0.32
    ten = [pan_mass(weighing(i, "P-1", "447.0"), scale(), SHOP_ZONE) for i in range(10)]
    shared = 10 * (0.02**2 + 0.15**2 / 3) ** 0.5
    private = 10**0.5 * ONE.terms[1][1].weighing.u_reading_g
    assert total(ten).uncertain().u_g == pytest.approx((shared**2 + private**2) ** 0.5)


def test_the_mass_is_exact_and_corrected() -> None:
    points = calibration().as_left
    off = tuple(
        type(p)(p.load_g, p.load_g / Decimal(10000), p.U_g, p.k) for p in points
    )  # reads 0.1 g too much at 1 kg
    mass = pan_mass(
        weighing(1, "P-1", "500.0"), scale(calibrations=(calibration(as_left=off),)), SHOP_ZONE
    )
    assert mass.mass_g == Decimal("499.95")


def test_an_end_has_its_contact_as_the_fixture_says() -> None:
    poor = FixtureFacts(1, "F-1", 1, Decimal("0.30"), Decimal("0.30"))
    # Statics: about 3 g per mm (reckoning.md), so 0.03 mm is some 0.06 g after two hangings
    assert u_of_hung(fixture=poor) > u_of_hung() > ONE.uncertain().u_g * 0.9
    contact = 0.03 / 152.4 / 2**0.5 * (430.0**2 + 176.0**2) ** 0.5
    plain = pan_mass(HUNG, scale(), SHOP_ZONE).uncertain().u_g
    assert u_of_hung() == pytest.approx((plain**2 + contact**2) ** 0.5)


def test_hung_once_its_contact_counts_in_full() -> None:
    once = weighing(
        3, "R-1", reading("430.0", hanging=1), reading("430.0", hanging=1), what="big end"
    )
    end = end_mass(once, build(), LENGTH, Decimal(606)).terms[3][1]
    assert end.u_own_g == pytest.approx(0.03 / 152.4 * (430.0**2 + 176.0**2) ** 0.5)


def test_an_end_by_difference_has_two_readings_in_it() -> None:
    taken = weighing(3, "R-1", "430.0", "430.0", what="big end", how="by difference")
    by_difference = end_mass(taken, build(), LENGTH, Decimal(606)).uncertain().u_g
    assert by_difference > u_of_hung()


def test_a_mass_above_the_certificate_is_refused() -> None:
    with pytest.raises(BadValue, match="at most 2000 g, the last point of the certificate"):
        pan_mass(weighing(1, "P-1", "2000.5"), scale(), SHOP_ZONE)
