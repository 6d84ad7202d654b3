from __future__ import annotations

import math
from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.measure.check_weights import CheckWeight, build_up
from records.domain.measure.scale import CertificatePoint, Scale
from records.domain.measure.scale_check import check_scale
from tests.domain.measure.examples import shop_scale

HALF_KILO = build_up([CheckWeight(Decimal(500), "M1")])
SCALE = Scale(
    0.1,
    0.1,
    0.05,
    certificate=(CertificatePoint(0, 0.0, 0.1), CertificatePoint(1000, 0.2, 0.1)),
)


def test_the_limit_is_that_of_both_expanded_uncertainties() -> None:
    """√(U_scale² + U_weight²): U_scale 2 √(0.05² + 0.06455²), U_weight 2 × 25 mg/√3."""
    check = check_scale(SCALE, 500.2, HALF_KILO)
    U_scale = 2 * math.sqrt(0.05**2 + 0.05**2 + 2 * 0.1**2 / 12)
    assert check.limit_g == pytest.approx(math.hypot(U_scale, 2 * 0.025 / math.sqrt(3)))
    assert check.limit_g == pytest.approx(0.1658, abs=5e-5)


@pytest.mark.parametrize(
    ("reading_g", "error_g", "passed"),
    [(500.1, 0.0, True), (500.2, 0.1, True), (500.3, 0.2, False), (499.9, -0.2, False)],
)
def test_the_reading_is_corrected_before_it_is_judged(
    reading_g: float, error_g: float, passed: bool
) -> None:
    check = check_scale(SCALE, reading_g, HALF_KILO)
    assert check.error_g == pytest.approx(error_g, abs=1e-4)
    assert check.passed is passed


def test_exactly_on_the_limit_passes() -> None:
    # The limit moves a little with the reading (pan's eccentricity), so close in on it.
    reading_g = 500.0
    for _ in range(60):
        reading_g = 500.0 + check_scale(shop_scale(), reading_g, HALF_KILO).limit_g
    assert check_scale(shop_scale(), reading_g, HALF_KILO).passed
    assert not check_scale(shop_scale(), reading_g + 1e-6, HALF_KILO).passed


def test_a_weight_heavier_than_the_certificate_reaches_is_refused() -> None:
    with pytest.raises(BadValue) as refused:
        check_scale(SCALE, 1000.2, build_up([CheckWeight(Decimal(1000), "M1")]))
    assert refused.value.field == "reading_g"
