from __future__ import annotations

import math

import pytest

from records.domain.errors import BadValue
from records.domain.measure.capability import capability, judge_capability
from tests.domain.measure.examples import plain_scale


def test_a_tenth_of_a_gram_scale_proves_no_less_than_its_own_difference() -> None:
    """u of a difference with own zeros 0.09129 g for d 0.1, s 0.05, so U = 0.1826 g."""
    found = capability(plain_scale(), 500, tolerance_g=0.5, r=1)
    assert found.U_difference_g == pytest.approx(0.1826, abs=5e-5)
    assert found.smallest_tolerance_g == found.U_difference_g
    assert found.proves
    assert found.readings_needed == 1


def test_parts_weighed_apart_prove_less_than_a_set_weighed_together() -> None:
    """Three parts weighed apart once give U = 0.32 g between two sets (d 0.1, s 0.05)."""
    apart = capability(plain_scale(), 500, tolerance_g=0.25, r=1, weighings=3)
    assert apart.U_difference_g == pytest.approx(0.32, abs=0.005)
    assert not apart.proves


def test_it_says_how_many_readings_would_do() -> None:
    # 0.25 g needs 3 * (2 s²/n + 4 d²/12) * 4 <= 0.0625 with s 0.05, d 0.05: n >= 3.3 readings
    found = capability(plain_scale(0.05, 0.05), 500, tolerance_g=0.25, r=1, weighings=3)
    assert not found.proves
    n = 3 * 4 * 2 * 0.05**2 / (0.25**2 - 3 * 4 * 4 * 0.05**2 / 12)
    assert found.readings_needed == math.ceil(n)


def test_it_says_that_no_number_of_readings_does_where_rounding_alone_is_too_much() -> None:
    found = capability(plain_scale(), 500, tolerance_g=0.1, r=1)
    assert not found.proves
    assert found.readings_needed is None


def test_simple_acceptance_keeps_no_guard_band() -> None:
    found = capability(plain_scale(), 500, tolerance_g=0.1, r=0)
    assert found.proves
    assert found.smallest_tolerance_g == 0


def test_few_degrees_of_freedom_cost() -> None:
    many = capability(plain_scale(), 500, tolerance_g=0.5, r=1)
    few = capability(plain_scale(nu_s=2), 500, tolerance_g=0.5, r=1)
    assert few.U_difference_g > many.U_difference_g


def test_a_hung_end_brings_its_own_uncertainty() -> None:
    found = judge_capability(lambda n: 0.5 / math.sqrt(n), tolerance_g=0.25, r=1, n=2)
    assert not found.proves
    assert found.readings_needed == 4


def test_it_refuses_a_tolerance_of_nothing() -> None:
    with pytest.raises(BadValue) as refused:
        capability(plain_scale(), 500, tolerance_g=0, r=1)
    assert refused.value.field == "tolerance_g"
