"""What only the simulation knows of S-04: it reads low around 500 g, more so from day to day."""

from __future__ import annotations

from datetime import timedelta

WORST_G = -0.3  # at 500 g, once it is worn; nothing at 0 and from 1 kg on
WORN_AFTER = timedelta(days=90)


def error_g(mass_g: float, age: timedelta) -> float:
    """Give how far off the scale shows a mass, so long after it was last right."""
    wear = min(max(age / WORN_AFTER, 0.0), 1.0)
    shape = max(0.0, 1.0 - abs(mass_g - 500.0) / 500.0)
    return WORST_G * wear * shape
