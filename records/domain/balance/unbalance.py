"""How much unbalance a rotor may keep (ISO 21940-11), plane by plane, and what it pulls.

Lengths mm, unbalance g·mm, forces N. The grade G is e·ω in mm/s, so U = G·m/ω: 9549.3·G·m/n with
m in kg and n in rpm at service. The limits of the shares of a plane (7.2.2, 7.2.3) are from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.balance.possible import above_zero, at_least_zero, finite
from records.domain.errors import BadValue, Code

INBOARD_SHARES = (0.3, 0.7)
OVERHUNG_SHARES = (0.3, 1.3)


@dataclass(frozen=True)
class PlaneTolerances:
    """The permissible unbalance of each tolerance plane.

    Where a share was held at its limit, plane_a_gmm + plane_b_gmm differs from the whole.
    """

    plane_a_gmm: float
    plane_b_gmm: float
    overhung: bool
    held: bool


def permissible_unbalance(*, grade_mm_s: float, mass_kg: float, service_rpm: float) -> float:
    """Give U_per in g·mm = (60000/2π)·G·m/n (ISO 21940-11)."""
    above_zero("grade_mm_s", grade_mm_s)
    above_zero("mass_kg", mass_kg)
    above_zero("service_rpm", service_rpm)
    return 60_000 / (2 * math.pi) * grade_mm_s * mass_kg / service_rpm


def share_to_planes(
    permissible_gmm: float, *, plane_a_mm: float, plane_b_mm: float, cg_mm: float
) -> PlaneTolerances:
    """Share U_per to the tolerance planes (the bearings) by the lever rule, each within its limits.

    ISO 21940-11: between the planes 7.2.2, overhung 7.2.3. Raises BadValue when both planes stand
    in one place.
    """
    above_zero("permissible_gmm", permissible_gmm)
    for field, place in (("plane_a_mm", plane_a_mm), ("cg_mm", cg_mm)):
        finite(field, place)
    span = abs(finite("plane_b_mm", plane_b_mm) - plane_a_mm)
    if span == 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected two tolerance planes apart from each other, got both at {plane_b_mm:g} mm",
            field="plane_b_mm",
            expected=f"another place than plane a ({plane_a_mm:g})",
            got=f"{plane_b_mm:g}",
        )
    overhung = not min(plane_a_mm, plane_b_mm) <= cg_mm <= max(plane_a_mm, plane_b_mm)
    least, most = OVERHUNG_SHARES if overhung else INBOARD_SHARES
    raw_a = abs(cg_mm - plane_b_mm) / span
    raw_b = abs(cg_mm - plane_a_mm) / span
    share_a, share_b = (min(max(raw, least), most) for raw in (raw_a, raw_b))
    return PlaneTolerances(
        permissible_gmm * share_a,
        permissible_gmm * share_b,
        overhung,
        (share_a, share_b) != (raw_a, raw_b),
    )


def unbalance_force(unbalance_gmm: float, speed_rpm: float) -> float:
    """Give the turning force in N of an unbalance at a speed: U·10⁻⁶·ω²."""
    at_least_zero("unbalance_gmm", unbalance_gmm)
    at_least_zero("speed_rpm", speed_rpm)
    return unbalance_gmm * 1e-6 * (speed_rpm * 2 * math.pi / 60) ** 2


def mass_at_radius(unbalance_gmm: float, radius_mm: float) -> float:
    """Give the grams that make this unbalance at a radius."""
    at_least_zero("unbalance_gmm", unbalance_gmm)
    return unbalance_gmm / above_zero("radius_mm", radius_mm)


def setting_up_error(mass_kg: float, eccentricity_um: float) -> float:
    """Give the unbalance in g·mm that an eccentric seat feigns: 1 g·mm per kg and µm."""
    at_least_zero("mass_kg", mass_kg)
    return mass_kg * at_least_zero("eccentricity_um", eccentricity_um)
