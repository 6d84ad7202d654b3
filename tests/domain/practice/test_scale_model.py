"""A scale on record as a model: which points, which step, how much drift."""

from datetime import date
from decimal import Decimal

import pytest

from records.domain.errors import BadValue, Code
from records.domain.measure.weighing import weigh
from records.domain.practice.facts_of_scales import Point, StepFacts
from records.domain.practice.scale_model import (
    calibration_at,
    drift_half_width_g,
    error_g,
    range_of,
    scale_model,
    step_g,
)
from tests.domain.practice.sample import SHOP_ZONE, calibration, scale

DAY = date(2026, 3, 2)


def points(*rows: tuple[int, str]) -> tuple[Point, ...]:
    return tuple(
        Point(Decimal(load), Decimal(error), Decimal("0.04"), Decimal(2)) for load, error in rows
    )


class TestTheStep:
    def test_it_is_the_larger_of_the_units_and_the_gram_step(self) -> None:
        # 0.001 oz is 0.028 g, finer than what the scale resolves in g
        assert step_g(scale(), {"oz"}) == Decimal("0.1")

    def test_half_a_hundredth_ounce_is_coarser_than_a_tenth_gram(self) -> None:
        # reckoning.md, Measure: 0.005 oz is 0.14 g
        coarse = StepFacts("oz", Decimal("0.005"), Decimal("0.141747615625"), None)
        two = scale(steps=(scale().steps[0], coarse))
        assert step_g(two, {"g", "oz"}) == Decimal("0.141747615625")

    def test_a_narrow_range_has_its_own_step(self) -> None:
        fine = StepFacts("g", Decimal("0.01"), Decimal("0.01"), Decimal(600))
        two = scale(steps=(fine, scale().steps[0]))
        assert step_g(two, {"g"}, Decimal(450)) == Decimal("0.01")
        assert step_g(two, {"g"}, Decimal(700)) == Decimal("0.1")
        assert range_of(two, Decimal(450)) != range_of(two, Decimal(700))

    def test_it_refuses_a_unit_that_the_scale_does_not_show(self) -> None:
        with pytest.raises(BadValue, match="S-02 shows g, oz, got a reading in grain") as refused:
            step_g(scale(), {"grain"})
        assert refused.value.code is Code.UNKNOWN_UNIT


class TestTheModel:
    def test_it_reads_with_the_points_as_left(self) -> None:
        left = points((0, "0"), (1000, "0.2"))
        adjusted = calibration(as_found=points((0, "0"), (1000, "-0.9")), as_left=left)
        model = scale_model(scale(calibrations=(adjusted,)), {"g"}, DAY, SHOP_ZONE)
        assert weigh(model, 500.0).mass_g == pytest.approx(499.9)
        assert error_g(adjusted, Decimal(500)) == Decimal("0.1")

    def test_its_u_of_one_reading_is_that_of_the_check_values(self) -> None:
        # checks/measure.md 1.3: d 0.1, s 0.05 gives u(R) = 0.06455
        model = scale_model(scale(), {"g"}, DAY, SHOP_ZONE)
        assert weigh(model, 447.0).u_reading_g == pytest.approx(0.06455, abs=5e-6)

    def test_it_takes_the_calibration_in_force_on_the_day(self) -> None:
        two = scale(calibrations=(calibration(1), calibration(2, date(2026, 3, 2))))
        made = [calibration_at(two, day) for day in (date(2026, 3, 1), DAY)]
        assert [c.id for c in made if c] == [1, 2]
        assert calibration_at(two, date(2026, 1, 14)) is None

    def test_it_refuses_a_scale_without_calibration(self) -> None:
        with pytest.raises(BadValue, match="expected a calibration on or before 2026-03-02"):
            scale_model(scale(calibrations=()), {"g"}, DAY, SHOP_ZONE)

    def test_it_refuses_a_calibration_without_repeatability_or_points(self) -> None:
        for without, word in (
            (calibration(repeatability=()), "s at one load"),
            (calibration(as_left=()), "points as left"),
        ):
            with pytest.raises(BadValue, match=word):
                scale_model(scale(calibrations=(without,)), {"g"}, DAY, SHOP_ZONE)


class TestDrift:
    def test_it_is_as_found_less_as_left_before(self) -> None:
        old = calibration(1, date(2025, 1, 15), as_left=points((0, "0"), (1000, "0.10")))
        new = calibration(2, as_found=points((0, "0.01"), (500, "-0.03"), (1000, "0.06")))
        both = scale(calibrations=(old, new))
        # at 500 g: -0.03 - 0.05 = -0.08, the largest
        assert drift_half_width_g(both, DAY, SHOP_ZONE) == Decimal("0.08")
        assert drift_half_width_g(both, date(2026, 1, 14), SHOP_ZONE) == 0

    def test_with_one_calibration_it_is_the_days_check_limit(self) -> None:
        assert drift_half_width_g(scale(), DAY, SHOP_ZONE) == Decimal("0.15")

    def test_a_check_is_judged_without_it(self) -> None:
        free = scale_model(scale(), {"g"}, DAY, SHOP_ZONE, with_drift=False)
        assert (free.drift_g, scale_model(scale(), {"g"}, DAY, SHOP_ZONE).drift_g) == (0, 0.15)
