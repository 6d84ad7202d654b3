"""Topic `layout`: whether bob weights are needed, and the free forces and couples at a speed."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.free_forces import LoadedCylinder, Whirl, free_forces
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return forces in N and couples in N·m about z = 0, of the reciprocating masses alone.

    Without a fraction the residual is that at 0.5, which is the least of the greatest.
    """
    read = Shape(data)
    cylinders = [_cylinder(cylinder) for cylinder in read.objects("cylinders")]
    stroke_mm = read.number("stroke_mm", above=0)
    rod_length_mm = read.number("rod_length_mm", above=0)
    speed_rpm = read.number("speed_rpm", minimum=0)
    fraction = read.number_or("fraction", 0.5, minimum=0, maximum=1)
    read.done()
    free = free_forces(
        cylinders,
        stroke_mm=stroke_mm,
        rod_length_mm=rod_length_mm,
        speed_rpm=speed_rpm,
        fraction=fraction,
    )
    return {
        "bob_weights_needed": free.bob_weights_needed,
        "why": free.why,
        "pin_sum": {"force_gmm": free.pin_force_gmm, "couple_gmm2": free.pin_couple_gmm2},
        "primary_force_N": _whirl(free.primary_force_N),
        "primary_couple_Nm": _whirl(free.primary_couple_Nm),
        "secondary_force_N": _whirl(free.secondary_force_N),
        "secondary_couple_Nm": _whirl(free.secondary_couple_Nm),
        "residual_at_fraction": {
            "fraction": free.fraction,
            "force_N": _ends(free.residual_force_N),
            "couple_Nm": _ends(free.residual_couple_Nm),
        },
        "planar_fractions": list(free.planar_fractions),
    }


def _cylinder(read: Shape) -> LoadedCylinder:
    return LoadedCylinder(
        throw_deg=read.number("throw_deg"),
        bank_deg=read.number("bank_deg"),
        z_mm=read.number("z_mm"),
        reciprocating_g=read.number("reciprocating_g", minimum=0),
        rotating_g=read.number("rotating_g", minimum=0),
    )


def _ends(whirl: Whirl) -> dict[str, float]:
    return {"max": whirl.max, "min": whirl.min}


def _whirl(whirl: Whirl) -> dict[str, float]:
    return {"forward": whirl.forward, "backward": whirl.backward, **_ends(whirl)}
