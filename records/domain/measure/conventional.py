"""Conventional mass: what a scale adjusted with steel weights shows, and what to say about it.

OIML D 28: the mass of a weight of 8000 kg/m3 that balances the thing in air of 1.2 kg/m3.
"""

from __future__ import annotations

import math

from records.domain.errors import BadValue, Code

AIR_KG_M3 = 1.2
WEIGHT_KG_M3 = 8000.0
# Nominal densities in kg/m3; common practice, no source.
DENSITIES_KG_M3 = {
    "aluminium alloy": 2700.0,
    "cast iron": 7200.0,
    "steel": 7850.0,
    "tungsten alloy": 17000.0,
}


def true_over_conventional(density_kg_m3: float) -> float:
    """Return the ratio of true to conventional mass for a density (OIML D 28)."""
    if not (math.isfinite(density_kg_m3) and density_kg_m3 > AIR_KG_M3):
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected a density above that of air, got {density_kg_m3:g}",
            field="density_kg_m3",
            expected=f"a number above {AIR_KG_M3:g}",
            got=f"{density_kg_m3:g}",
        )
    return (1 - AIR_KG_M3 / WEIGHT_KG_M3) / (1 - AIR_KG_M3 / density_kg_m3)


def true_mass_excess(conventional_g: float, density_kg_m3: float) -> float:
    """Return true minus conventional mass in g."""
    return conventional_g * (true_over_conventional(density_kg_m3) - 1)


def conventional_statement() -> str:
    """Return the sentence that belongs on every paper with masses on it."""
    excess_g = true_mass_excess(500.0, DENSITIES_KG_M3["aluminium alloy"])
    return (
        "Masses are conventional masses (OIML D 28); the true mass of a 500 g part of aluminium "
        f"alloy is {excess_g:.3f} g more. Differences between parts of one material are not "
        "affected."
    )
