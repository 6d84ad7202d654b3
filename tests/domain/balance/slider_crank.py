"""An independent route to the free forces: pistons moved by the exact slider-crank, then an FFT.

Nothing here knows of forward or backward parts, or of A2: positions are differentiated in the
frequency domain and forces summed as vectors over a turn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from records.domain.balance.free_forces import LoadedCylinder

POINTS = 2048


@dataclass(frozen=True)
class Turning:
    """The lengths of the two vectors of one order, turning with the crank and against it."""

    forward: float
    backward: float


def orders(
    cylinders: Sequence[LoadedCylinder],
    *,
    stroke_mm: float,
    rod_mm: float,
    speed_rpm: float,
    fraction: float = 0.0,
) -> dict[str, Turning]:
    """Return force in N and couple in N·m of order 1 and 2, less what the counterweights carry."""
    theta = 2 * math.pi * np.arange(POINTS) / POINTS
    omega = 2 * math.pi * speed_rpm / 60
    force = np.zeros(POINTS, dtype=complex)
    couple = np.zeros(POINTS, dtype=complex)
    for one in cylinders:
        across = _inertia(one, theta, stroke_mm / 2000, rod_mm / 1000, omega)
        weight = fraction * one.reciprocating_g / 1000 * stroke_mm / 2000 * omega**2
        across -= weight * np.exp(1j * (theta + math.radians(one.throw_deg)))
        force += across
        couple += one.z_mm / 1000 * across
    return {
        f"{name}{order}": Turning(abs(terms[order]), abs(terms[-order]))
        for name, terms in (
            ("force", np.fft.fft(force) / POINTS),
            ("couple", np.fft.fft(couple) / POINTS),
        )
        for order in (1, 2)
    }


def _inertia(one: LoadedCylinder, theta: Any, crank_m: float, rod_m: float, omega: float) -> Any:
    """Return the force of one piston over the turn, −m·x″ along its bore, as complex numbers."""
    bank = math.radians(one.bank_deg)
    phi = theta + math.radians(one.throw_deg) - bank
    place = crank_m * np.cos(phi) + np.sqrt(rod_m**2 - (crank_m * np.sin(phi)) ** 2)
    order = np.fft.fftfreq(POINTS, 1 / POINTS)
    second = np.fft.ifft(-((order * omega) ** 2) * np.fft.fft(place)).real
    return -one.reciprocating_g / 1000 * second * np.exp(1j * bank)
