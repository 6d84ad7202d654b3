"""Topic `slug`: what a heavy slug adds where the parent's metal came out."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.slugs import heavy_slug
from records.domain.reckon.hole import DENSEST_G_CM3
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return slug_g, net_gain_g and the unbalance_gmm of the gain; the slug fills its hole.

    With point_deg, the drill's point below the slug stays empty.
    """
    read = Shape(data)
    slug_density = read.number("slug_density_g_cm3", above=0, maximum=DENSEST_G_CM3)
    parent_density = read.number("parent_density_g_cm3", above=0, maximum=DENSEST_G_CM3)
    diameter_mm = read.number("diameter_mm", above=0)
    length_mm = read.number("length_mm", above=0)
    radius_mm = read.number("radius_mm", above=0)
    point_deg = read.optional_number("point_deg", above=0, maximum=180)
    read.done()
    slug = heavy_slug(
        slug_density_g_cm3=slug_density,
        parent_density_g_cm3=parent_density,
        diameter_mm=diameter_mm,
        length_mm=length_mm,
        radius_mm=radius_mm,
        point_deg=point_deg,
    )
    return {
        "slug_g": slug.slug_g,
        "net_gain_g": slug.net_gain_g,
        "unbalance_gmm": slug.unbalance_gmm,
    }
