"""Heavy slugs against checks/balance.md 5 (calc; ASTM B777-15 table 1)."""

from __future__ import annotations

import math
from typing import Any

import pytest

from records.domain.balance.holes import Direction, Drill, Place, hole_of_depth
from records.domain.balance.slugs import TUNGSTEN_CLASSES, heavy_slug
from records.domain.balance.unbalance import unbalance_force
from records.domain.errors import BadValue


def inch(**change: Any) -> dict[str, Any]:
    return {
        "slug_density_g_cm3": 17.0,
        "parent_density_g_cm3": 7.85,
        "diameter_mm": 25.4,
        "length_mm": 25.4,
        "radius_mm": 70.0,
        **change,
    }


@pytest.mark.parametrize(("number", "net_g"), [(1, 117.8), (2, 124.2), (3, 130.6), (4, 137.1)])
def test_the_net_gain_of_an_inch_slug(number: int, net_g: float) -> None:
    nominal = TUNGSTEN_CLASSES[number].nominal_g_cm3
    slug = heavy_slug(**inch(slug_density_g_cm3=nominal))
    assert slug.net_gain_g == pytest.approx(net_g, abs=0.05)
    assert slug.unbalance_gmm == pytest.approx(70 * slug.net_gain_g)


def test_its_mass_and_its_outward_pull() -> None:
    slug = heavy_slug(**inch())
    assert slug.slug_g == pytest.approx(218.8, abs=0.05)
    # 8.2 kN at 7000 rpm: why a slug is set parallel to the axis
    assert unbalance_force(slug.slug_g * 70, 7000) == pytest.approx(8200, rel=0.005)


def test_an_empty_point_costs_the_parents_metal() -> None:
    full, empty = heavy_slug(**inch()), heavy_slug(**inch(point_deg=118))
    lost = full.net_gain_g - empty.net_gain_g
    assert lost == pytest.approx(7.85 * 0.078652 * 25.4**3 / 1000, rel=1e-5)
    # another route: the slug's mass less what the drill took
    hole = hole_of_depth(Drill(25.4, 118), Place(Direction.AXIAL, 70, 7.85), 25.4)
    assert empty.net_gain_g == pytest.approx(empty.slug_g - hole.mass_g)


def test_the_classes_hold_their_nominal_density() -> None:
    for row in TUNGSTEN_CLASSES.values():
        assert row.least_g_cm3 < row.nominal_g_cm3 < row.most_g_cm3


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"slug_density_g_cm3": 7.85}, "slug_density_g_cm3"),
        ({"slug_density_g_cm3": 2.7}, "slug_density_g_cm3"),
        ({"length_mm": 1.0, "point_deg": 118}, "length_mm"),
        ({"length_mm": 0.0}, "length_mm"),
        ({"diameter_mm": -1.0}, "diameter_mm"),
        ({"radius_mm": math.nan}, "radius_mm"),
    ],
)
def test_what_adds_nothing_or_cannot_be_is_refused(change: dict[str, Any], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        heavy_slug(**inch(**change))
    assert refused.value.field == field
