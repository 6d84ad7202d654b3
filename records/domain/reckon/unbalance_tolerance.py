"""Topic `unbalance-tolerance`: what a rotor may keep by ISO 21940-11, whole and plane by plane."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.unbalance import (
    permissible_unbalance,
    share_to_planes,
    unbalance_force,
)
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return U_per_gmm, its shares, the force of U_per at service, and whether a share was held.

    With a share held at its limit the two planes no longer add up to U_per.
    """
    read = Shape(data)
    grade_mm_s = read.number("grade_mm_s", above=0)
    mass_kg = read.number("mass_kg", above=0)
    service_rpm = read.number("service_rpm", above=0)
    plane_a_mm, plane_b_mm = read.number("plane_a_mm"), read.number("plane_b_mm")
    cg_mm = read.number("cg_mm")
    read.done()
    whole_gmm = permissible_unbalance(
        grade_mm_s=grade_mm_s, mass_kg=mass_kg, service_rpm=service_rpm
    )
    planes = share_to_planes(whole_gmm, plane_a_mm=plane_a_mm, plane_b_mm=plane_b_mm, cg_mm=cg_mm)
    return {
        "U_per_gmm": whole_gmm,
        "plane_a_gmm": planes.plane_a_gmm,
        "plane_b_gmm": planes.plane_b_gmm,
        "force_at_service_N": unbalance_force(whole_gmm, service_rpm),
        "overhung": planes.overhung,
        "share_held": planes.held,
    }
