"""Topic `hole`: what a drilled hole takes, or how deep to drill for a wanted unbalance."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.holes import (
    Direction,
    Drill,
    Place,
    hole_for_unbalance,
    hole_of_depth,
)
from records.domain.errors import BadValue, Code
from records.domain.reckon.shape import Shape

# Nothing solid is denser; a density in kg/m³ by mistake is refused, not reckoned with.
DENSEST_G_CM3 = 25.0


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return mass_g, unbalance_gmm, depth_mm (at full diameter), depth_to_tip_mm and mouth_mm.

    Where only the point goes in, depth_mm is 0. thickness_mm (the metal along the hole) and
    smallest_wall_mm may be given; a hole that breaks through them, or past the axis, is an error.
    """
    read = Shape(data)
    density = read.number("density_g_cm3", above=0, maximum=DENSEST_G_CM3)
    diameter_mm = read.number("diameter_mm", above=0)
    drill = Drill(diameter_mm, read.number("point_deg", above=0, maximum=180))
    place = Place(
        direction=Direction(read.text("direction", one_of=tuple(Direction))),
        radius_mm=read.number("radius_mm", above=0),
        density_g_cm3=density,
        thickness_mm=read.optional_number("thickness_mm", above=0),
        smallest_wall_mm=read.number_or("smallest_wall_mm", 0.0, minimum=0),
    )
    depth_mm = read.optional_number("depth_mm", minimum=0)
    unbalance_gmm = read.optional_number("unbalance_gmm", above=0)
    read.done()
    if depth_mm is not None and unbalance_gmm is None:
        hole = hole_of_depth(drill, place, depth_mm)
    elif unbalance_gmm is not None and depth_mm is None:
        hole = hole_for_unbalance(drill, place, unbalance_gmm)
    else:
        raise _one_of_two(both=depth_mm is not None)
    return {
        "mass_g": hole.mass_g,
        "unbalance_gmm": hole.unbalance_gmm,
        "depth_mm": hole.depth_mm,
        "depth_to_tip_mm": hole.depth_to_tip_mm,
        "mouth_mm": hole.mouth_mm,
    }


def _one_of_two(*, both: bool) -> BadValue:
    got = "both" if both else "neither"
    return BadValue(
        Code.BAD_VALUE if both else Code.MISSING,
        f"expected either depth_mm or unbalance_gmm, got {got}",
        field="unbalance_gmm" if both else "depth_mm",
        expected="either depth_mm or unbalance_gmm",
        got=got,
    )
