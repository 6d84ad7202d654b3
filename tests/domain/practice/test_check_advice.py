"""Which weights to put on: loads that reach the parts, and one near each, or why not."""

import math
from datetime import date
from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.measure.check_weights import CheckWeight
from records.domain.practice.check_advice import CheckAdvice, WeightAtHand, advise_check, not_near
from tests.domain.practice.sample import SHOP_ZONE, at, check, scale

DAY = date(2026, 3, 2)


def at_hand(*nominals: int) -> list[WeightAtHand]:
    return [WeightAtHand(f"W-{n}", CheckWeight(Decimal(n), "M1")) for n in nominals]


def advised(weights: list[WeightAtHand], *masses: str) -> CheckAdvice:
    return advise_check(scale(), weights, [Decimal(mass) for mass in masses], DAY, SHOP_ZONE)


def loads(advice: CheckAdvice) -> list[tuple[str, ...]]:
    return [one.weights for one in advice.loads]


def test_one_load_lies_near_all_and_another_reaches_the_heaviest() -> None:
    advice = advised(at_hand(500, 1000, 2000), "620", "600", "450")
    assert loads(advice) == [("W-500",), ("W-1000",)]
    assert [one.why for one in advice.loads] == [
        "near 450 to 620 g: within half to twice",
        "reaches the heaviest, 620 g",
    ]
    assert advice.missing == ()


def test_light_and_heavy_parts_get_a_load_each() -> None:
    advice = advised(at_hand(50, 100, 500, 1000), "120", "450", "620")
    assert all(
        any(one.load_g / 2 <= m <= one.load_g * 2 for one in advice.loads) for m in (120, 450, 620)
    )
    assert max(one.load_g for one in advice.loads) >= 620
    assert advice.missing == ()


def test_one_kilogram_alone_says_little_of_a_part_of_450_g() -> None:
    advice = advised(at_hand(1000), "450")
    assert loads(advice) == [("W-1000",)]
    assert advice.loads[0].why == "reaches the heaviest, 450 g"
    assert (
        "no check weights near 450 g, within half to twice; the nearest is 1000 g"
        in advice.missing[0]
    )


def test_parts_that_no_weight_is_near_are_said_together() -> None:
    (told,) = advised(at_hand(500), "3", "46", "93", "450").missing
    assert told.startswith("no check weights near 3 to 93 g, within half to twice")


def test_half_and_twice_are_near() -> None:
    assert advised(at_hand(1000), "500").missing == ()
    assert advised(at_hand(1000), "499.9").missing != ()


def test_weights_too_light_are_said_and_not_refused() -> None:
    advice = advised(at_hand(200, 500), "1600")
    assert "no check weights of the shop reach 1600 g" in advice.missing[-1]


def test_weights_are_put_together_where_one_alone_does_not_reach() -> None:
    advice = advised(at_hand(500, 1000), "1200")
    assert ("W-500", "W-1000") in loads(advice)


def test_a_weight_heavier_than_the_scale_is_left_out() -> None:
    advice = advised(at_hand(5000), "450")
    assert advice.loads == ()
    assert advice.missing == ("no check weight of the shop fits on scale S-02; book one",)


def test_the_limit_is_that_of_the_check_and_says_why() -> None:
    (one,) = advised(at_hand(500), "450").loads
    # limit of a normalised error of 1: hypot(U of one reading, U of the weight = 2·25 mg/√3)
    weight = 2 * 0.025 / math.sqrt(3)
    reading = 2 * math.sqrt(0.1**2 / 6 + 0.05**2 + (0.04 / 2) ** 2)
    assert one.limit_g == pytest.approx(math.hypot(reading, weight), rel=1e-6)
    assert one.limit_why.endswith("and the weights' U, 0.029 g, by root of squares")


def test_without_parts_it_aims_at_what_the_scale_carries() -> None:
    assert max(one.load_g for one in advised(at_hand(500, 1000, 2000)).loads) == 2000


def test_a_scale_never_calibrated_has_no_limit() -> None:
    with pytest.raises(BadValue, match="expected a calibration"):
        advise_check(scale(calibrations=()), at_hand(500), [Decimal(450)], DAY, SHOP_ZONE)


class TestWhatWasWeighedThatDay:
    def said(self, *masses: str) -> tuple[str, ...]:
        one = scale(checks=(check(1, at(2, 8), loads=(1000, 2000)),))
        return not_near(one, [Decimal(mass) for mass in masses], DAY, SHOP_ZONE)

    def test_a_load_from_half_to_twice_is_near(self) -> None:
        # 500 g is half of the load of 1000 g: the boundary itself is near
        assert self.said("500", "1500", "4000") == ()

    def test_what_none_lies_near_is_said_once(self) -> None:
        (told,) = self.said("447", "120", "1500")
        assert "checked on 2026-03-02 at 1000, 2000 g, none of it near 120 to 447 g" in told

    def test_without_a_check_that_day_another_rule_speaks(self) -> None:
        assert not_near(scale(checks=()), [Decimal(500)], DAY, SHOP_ZONE) == ()
