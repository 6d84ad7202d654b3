"""OIML R 111-1:2004, table 1: two independent printed copies agree on every cell."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from records.domain.errors import BadValue
from records.domain.measure.check_weights import (
    CLASSES,
    PERMITTED_MG,
    CheckWeight,
    build_up,
    permitted_error,
    u_of_class,
)
from tests import outside


def test_every_cell_is_that_of_oiml_r_111() -> None:
    rows = outside.data("oiml_r111_2004_mpe_mg.csv")
    assert {int(row["nominal_g"]) for row in rows} == set(PERMITTED_MG)
    for row in rows:
        for name in CLASSES:
            found = permitted_error(Decimal(row["nominal_g"]), name)
            assert found * 1000 == Decimal(row[name]), (row["nominal_g"], name)


@pytest.mark.parametrize(
    ("nominal_g", "weight_class", "u_mg"),
    [
        (100, "M1", 2.89),
        (500, "M1", 14.43),
        (1000, "M1", 28.87),
        (2000, "M1", 57.74),
        (500, "F2", 4.62),
    ],
)
def test_known_by_its_class_alone(nominal_g: int, weight_class: str, u_mg: float) -> None:
    """u = MPE/√3 (EURAMET cg-18; computed)."""
    assert u_of_class(Decimal(nominal_g), weight_class) * 1000 == pytest.approx(u_mg, abs=0.005)


def test_weights_used_together_add_linearly() -> None:
    together = build_up(
        [
            CheckWeight(Decimal(1000), "M1"),
            CheckWeight(Decimal(500), "M1", Decimal("500.002"), 0.02),
        ]
    )
    assert together.mass_g == Decimal("1500.002")
    assert together.u_g == pytest.approx(0.05 / math.sqrt(3) + 0.01)
    assert together.U_g == pytest.approx(2 * together.u_g)


@pytest.mark.parametrize(
    ("nominal_g", "weight_class", "field"),
    [
        ("300", "M1", "nominal_g"),
        ("0.5", "M1", "nominal_g"),
        ("500", "M9", "weight_class"),
        ("500", "", "weight_class"),
    ],
)
def test_it_refuses_what_the_table_doesnt_hold(
    nominal_g: str, weight_class: str, field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        permitted_error(Decimal(nominal_g), weight_class)
    assert refused.value.field == field


def test_it_refuses_a_certificate_that_cant_be() -> None:
    with pytest.raises(BadValue):
        build_up([CheckWeight(Decimal(500), "M1", Decimal(500), 0.0)])
    with pytest.raises(BadValue):
        build_up([])
