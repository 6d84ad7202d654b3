"""A gauge study's components as a table has them: standard deviation and per cents.

AIAG MSA (4th edition): of the total variation by standard deviations (they don't add to 100), of
the variance by squares (they do), of a tolerance by six standard deviations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.measure.gauge_study import Spread

REPEATABILITY = "repeatability"
REPRODUCIBILITY = "reproducibility"
INTERACTION = "person by part"
GRR = "repeatability and reproducibility"
PARTS = "parts"
TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Component:
    """One source of what is read: its standard deviation in g and its shares in per cent."""

    name: str
    sd_g: float
    of_total_percent: float
    of_variance_percent: float
    of_tolerance_percent: float | None


def interaction_of(spread: Spread) -> float:
    """Return the interaction's standard deviation: what of grr is neither ev nor av."""
    left = spread.grr**2 - spread.ev**2 - spread.av**2
    # a difference of squares is never nought in floats
    return math.sqrt(left) if left > 1e-9 * spread.grr**2 else 0.0


def components(spread: Spread, tolerance_g: float | None) -> tuple[Component, ...]:
    """Return the components of a spread; the interaction only where there is one."""
    named = [
        (REPEATABILITY, spread.ev),
        (REPRODUCIBILITY, spread.av),
        (INTERACTION, interaction_of(spread)),
        (GRR, spread.grr),
        (PARTS, spread.pv),
        (TOTAL, spread.tv),
    ]
    return tuple(
        Component(
            name,
            sd_g,
            100 * sd_g / spread.tv,
            100 * (sd_g / spread.tv) ** 2,
            None if tolerance_g is None else 600 * sd_g / tolerance_g,
        )
        for name, sd_g in named
        if sd_g or name != INTERACTION
    )
