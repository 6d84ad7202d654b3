from __future__ import annotations

import pytest

from records.domain.errors import BadValue, Code
from records.domain.measure.scale import (
    CertificatePoint,
    Eccentricity,
    Repeatability,
    Scale,
)

POINTS = (
    CertificatePoint(100, 0.0, 0.02, 2),
    CertificatePoint(500, -0.10, 0.06, 3),
    CertificatePoint(1000, 0.30, 0.10, 2),
)
SCALE = Scale(0.1, 0.1, 0.05, certificate=POINTS)


@pytest.mark.parametrize(
    ("load_g", "error_g", "u_g"),
    [
        (0, 0.0, 0.01),
        (100, 0.0, 0.01),
        (300, -0.05, 0.015),
        (500, -0.10, 0.02),
        (750, 0.10, 0.035),
        (1000, 0.30, 0.05),
    ],
)
def test_error_and_u_are_linear_between_points_and_hold_below_the_first(
    load_g: float, error_g: float, u_g: float
) -> None:
    assert SCALE.error_at(load_g) == pytest.approx((error_g, u_g))


def test_it_refuses_a_load_above_the_last_point() -> None:
    with pytest.raises(BadValue) as refused:
        SCALE.error_at(1000.1, "reading2_g")
    assert refused.value.field == "reading2_g"
    assert refused.value.code is Code.OUT_OF_RANGE
    assert "1000 g" in refused.value.expected


@pytest.mark.parametrize(
    ("load_g", "s_g"), [(1, 0.0), (2, 0.0), (2.1, 0.05), (1000, 0.05), (1500, 0.05), (9000, 0.02)]
)
def test_s_is_the_worse_of_its_two_neighbours(load_g: float, s_g: float) -> None:
    table = (Repeatability(2, 0.0), Repeatability(1000, 0.05), Repeatability(2000, 0.02))
    assert Scale(0.1, 0.1, table).s_at(load_g) == s_g


@pytest.mark.parametrize(
    ("points", "field"),
    [
        (((500, 0, 0.02, 2), (100, 0, 0.02, 2)), "certificate/1/load_g"),
        (((100, 0, 0.02, 2), (100, 0, 0.02, 2)), "certificate/1/load_g"),
        (((100, 0, 0.0, 2),), "certificate/0/U_g"),
        (((100, 0, -0.1, 2),), "certificate/0/U_g"),
        (((100, 0, 0.02, 0),), "certificate/0/k"),
        (((100, float("nan"), 0.02, 2),), "certificate/0/error_g"),
        (((-1, 0, 0.02, 2),), "certificate/0/load_g"),
    ],
)
def test_it_refuses_a_certificate_that_cant_be(
    points: tuple[tuple[float, float, float, float], ...], field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        Scale(0.1, 0.1, 0.05, certificate=tuple(CertificatePoint(*point) for point in points))
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"d_g": 0.0}, "d_g"),
        ({"d_g": float("inf")}, "d_g"),
        ({"d0_g": -0.1}, "d0_g"),
        ({"s_g": -0.1}, "s_g"),
        ({"s_g": ()}, "s_g"),
        ({"s_g": (Repeatability(5, 0.1), Repeatability(5, 0.1))}, "s_g/1/0"),
        ({"s_g": (Repeatability(5, -0.1),)}, "s_g/0/1"),
        ({"nu_s": 0.5}, "nu_s"),
        ({"drift_g": -1.0}, "drift_g"),
        ({"eccentricity": Eccentricity(0, 0.1)}, "eccentricity/load_g"),
        ({"eccentricity": Eccentricity(100, -0.1)}, "eccentricity/max_diff_g"),
    ],
)
def test_it_refuses_a_scale_that_cant_be(changes: dict[str, object], field: str) -> None:
    whole: dict[str, object] = {"d_g": 0.1, "d0_g": 0.1, "s_g": 0.05} | changes
    with pytest.raises(BadValue) as refused:
        Scale(**whole)  # type: ignore[arg-type]
    assert refused.value.field == field
