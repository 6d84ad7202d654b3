"""Heavy slugs: what a tungsten alloy plug adds where the parent's metal came out.

A slug is set parallel to the crank's axis, so its unbalance is its net gain times its radius.
Lengths mm, densities g/cm³.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.balance.holes import Drill
from records.domain.balance.possible import above_zero
from records.domain.errors import BadValue, Code


@dataclass(frozen=True)
class TungstenClass:
    """A class of tungsten alloy: its share of tungsten, its range of density, greatest hardness."""

    tungsten_percent: float
    nominal_g_cm3: float
    least_g_cm3: float
    most_g_cm3: float
    most_hrc: int


# ASTM B777-15, table 1.
TUNGSTEN_CLASSES: dict[int, TungstenClass] = {
    1: TungstenClass(90.0, 17.0, 16.85, 17.30, 32),
    2: TungstenClass(92.5, 17.5, 17.15, 17.85, 33),
    3: TungstenClass(95.0, 18.0, 17.75, 18.35, 34),
    4: TungstenClass(97.0, 18.5, 18.25, 18.85, 35),
}


@dataclass(frozen=True)
class Slug:
    """A slug in its hole: its mass, what the place gains by it, and the unbalance of that."""

    slug_g: float
    net_gain_g: float
    unbalance_gmm: float


def heavy_slug(
    *,
    slug_density_g_cm3: float,
    parent_density_g_cm3: float,
    diameter_mm: float,
    length_mm: float,
    radius_mm: float,
    point_deg: float | None = None,
) -> Slug:
    """Reckon a slug that fills its hole; with point_deg, the drill's point below it stays empty.

    Raises BadValue when the place would not gain: a slug no denser than the parent, or one too
    short for the empty point.
    """
    above_zero("parent_density_g_cm3", parent_density_g_cm3)
    above_zero("length_mm", length_mm)
    above_zero("radius_mm", radius_mm)
    if above_zero("slug_density_g_cm3", slug_density_g_cm3) <= parent_density_g_cm3:
        raise _no_gain(
            "slug_density_g_cm3",
            f"a slug denser than the parent ({parent_density_g_cm3:g} g/cm³)",
            f"{slug_density_g_cm3:g} g/cm³",
        )
    volume_cm3 = math.pi * above_zero("diameter_mm", diameter_mm) ** 2 / 4 * length_mm / 1000
    point_cm3 = 0.0
    if point_deg is not None:
        point_cm3 = Drill(diameter_mm, point_deg).point_volume_mm3 / 1000
    slug_g = slug_density_g_cm3 * volume_cm3
    gain_g = slug_g - parent_density_g_cm3 * (volume_cm3 + point_cm3)
    if gain_g <= 0:
        raise _no_gain(
            "length_mm", "a slug long enough to outweigh the empty point", f"{length_mm:g} mm"
        )
    return Slug(slug_g, gain_g, gain_g * radius_mm)


def _no_gain(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}: the place would get lighter; take another slug, or "
        "reckon a hole instead",
        field=field,
        expected=expected,
        got=got,
    )
