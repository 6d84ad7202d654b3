"""Where the cylinders stand: throws, banks, places, and whether equal pins cancel.

Angles in degrees, counter-clockwise as seen from the front; a cylinder is at its own top dead
centre when throw + crank angle = bank. z in mm from the mid-plane of the crank. A layout is kept
as its throw angles, never as a name alone: the firing order of a five changes its couple tenfold.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from records.domain.balance.possible import above_zero, finite
from records.domain.errors import BadValue, Code

ZERO_SHARE = 1e-4  # a sum below this share of Σ|terms| counts as zero


@dataclass(frozen=True)
class Cylinder:
    """One cylinder: its place, its throw and bank, where it stands, which crankpin it shares."""

    place: int
    throw_deg: float
    bank_deg: float
    z_mm: float
    pin: int


class OnACrank(Protocol):
    """Whatever has a throw and a place along the crank."""

    @property
    def throw_deg(self) -> float: ...
    @property
    def z_mm(self) -> float: ...


# An in-line five fires 1-2-4-5-3, 144 degrees apart: throw = minus the crank angle of firing.
_FIVE = (0.0, 216.0, 144.0, 72.0, 288.0)
_SIX = (0.0, 120.0, 240.0, 240.0, 120.0, 0.0)


def _inline(throws: Sequence[float]) -> Callable[[float, float | None], list[Cylinder]]:
    def build(pitch_mm: float, _stagger_mm: float | None) -> list[Cylinder]:
        return [
            Cylinder(i + 1, throw, 0.0, z, i + 1)
            for i, (throw, z) in enumerate(zip(throws, _spaced(len(throws), pitch_mm), strict=True))
        ]

    return build


def _flat(throws: Sequence[float]) -> Callable[[float, float | None], list[Cylinder]]:
    """Opposed pairs, each rod on a throw of its own; without a stagger the throws are equally
    pitched, which puts the two of a pair half a pitch apart."""

    def build(pitch_mm: float, stagger_mm: float | None) -> list[Cylinder]:
        half = (pitch_mm / 2 if stagger_mm is None else stagger_mm) / 2
        cylinders = []
        for i, (throw, z) in enumerate(zip(throws, _spaced(len(throws), pitch_mm), strict=True)):
            one, two = 2 * i + 1, 2 * i + 2
            cylinders.append(Cylinder(one, throw, 0.0, z - half, one))
            cylinders.append(Cylinder(two, (throw + 180.0) % 360.0, 180.0, z + half, two))
        return cylinders

    return build


def _vee(
    throws: Sequence[float], vee_deg: float, split_deg: float = 0.0
) -> Callable[[float, float | None], list[Cylinder]]:
    """Pairs across the V. A split pin lags on the leading bank: the other sense would turn the
    pure forward couple of an even-firing six into a mixed one."""

    def build(pitch_mm: float, stagger_mm: float | None) -> list[Cylinder]:
        half = (pitch_mm / 5 if stagger_mm is None else stagger_mm) / 2
        cylinders = []
        for i, (throw, z) in enumerate(zip(throws, _spaced(len(throws), pitch_mm), strict=True)):
            one, two = 2 * i + 1, 2 * i + 2
            pins = (one, two) if split_deg else (i + 1, i + 1)
            second = (throw - split_deg) % 360.0
            cylinders.append(Cylinder(one, throw, -vee_deg / 2, z - half, pins[0]))
            cylinders.append(Cylinder(two, second, vee_deg / 2, z + half, pins[1]))
        return cylinders

    return build


_LAYOUTS: dict[str, Callable[[float, float | None], list[Cylinder]]] = {
    "single": _inline((0.0,)),
    "i2-360": _inline((0.0, 0.0)),
    "i2-180": _inline((0.0, 180.0)),
    "i3": _inline((0.0, 120.0, 240.0)),
    "i4": _inline((0.0, 180.0, 180.0, 0.0)),
    "i5": _inline(_FIVE),
    "i6": _inline(_SIX),
    "flat-2": _flat((0.0,)),
    "flat-4": _flat((0.0, 180.0)),
    "flat-6": _flat((0.0, 120.0, 240.0)),
    "v2-90": _vee((0.0,), 90.0),
    "v6-60": _vee((0.0, 120.0, 240.0), 60.0, split_deg=60.0),
    "v6-90": _vee((0.0, 120.0, 240.0), 90.0),
    "v6-90-split": _vee((0.0, 120.0, 240.0), 90.0, split_deg=30.0),
    "v8-90": _vee((0.0, 90.0, 270.0, 180.0), 90.0),
    "v8-90-flat": _vee((0.0, 180.0, 180.0, 0.0), 90.0),
    "v10-90": _vee(_FIVE, 90.0),
    "v12-60": _vee(_SIX, 60.0),
}
NAMES: tuple[str, ...] = tuple(_LAYOUTS)


def named(
    name: str, *, pitch_mm: float = 100.0, stagger_mm: float | None = None
) -> tuple[Cylinder, ...]:
    """Give the cylinders of a common layout, place 1 at the front.

    `pitch_mm` is the distance of throws (in line) or of pairs; `stagger_mm` that of the two rods
    of a pair (default: a fifth of the pitch in a V, half of it in a flat engine). Both are only a
    start: what the engine really has is entered. Raises BadValue for a name not in NAMES.
    """
    build = _LAYOUTS.get(name)
    if build is None:
        raise BadValue(
            Code.BAD_VALUE,
            f"expected a layout out of {', '.join(NAMES)}, got {name!r}; "
            "enter any other cylinder by cylinder",
            field="layout",
            expected=", ".join(NAMES),
            got=str(name),
        )
    above_zero("pitch_mm", pitch_mm)
    if stagger_mm is not None:
        finite("stagger_mm", stagger_mm)
    return tuple(build(pitch_mm, stagger_mm))


def pins_of(cylinders: Sequence[Cylinder]) -> dict[int, tuple[Cylinder, ...]]:
    """Group the cylinders by the crankpin they share, in the order of the pins."""
    pins: dict[int, list[Cylinder]] = {}
    for cylinder in cylinders:
        pins.setdefault(cylinder.pin, []).append(cylinder)
    return {pin: tuple(pins[pin]) for pin in sorted(pins)}


def equal_pin_shares(cylinders: Sequence[OnACrank]) -> tuple[float, float]:
    """Give the force and couple that equal pin masses leave, each as a share of Σ|terms|."""
    turns = [cmath.exp(1j * math.radians(c.throw_deg)) for c in cylinders]
    return (
        share_left(turns),
        share_left([c.z_mm * turn for c, turn in zip(cylinders, turns, strict=True)]),
    )


def share_left(terms: Sequence[complex]) -> float:
    """Give |Σ terms| / Σ|terms|: 0 when all cancels, 1 when all pull one way."""
    whole = math.fsum(abs(t) for t in terms)
    return abs(sum(terms)) / whole if whole else 0.0


def bob_weights_needed(cylinders: Sequence[OnACrank]) -> bool:
    """Tell whether a crank of this layout must be spun with bob weights, pins being equal."""
    return any(share >= ZERO_SHARE for share in equal_pin_shares(cylinders))


def why_bob_weights(cylinders: Sequence[OnACrank]) -> str:
    """Say in a sentence why bob weights are needed, or why they are not."""
    force, couple = equal_pin_shares(cylinders)
    if force >= ZERO_SHARE:
        return (
            "bob weights are needed: equal pin masses would leave a force on this crank "
            f"({force:.0%} of what the pins carry does not cancel)"
        )
    if couple >= ZERO_SHARE:
        return (
            "bob weights are needed: equal pin masses cancel as a force but leave a couple, "
            "which would rock the crank end to end"
        )
    return (
        "no bob weights: equal pin masses cancel on this crank, in force and in couple; "
        "this holds only as far as the pin masses are equal"
    )


def _spaced(count: int, pitch_mm: float) -> list[float]:
    return [(i - (count - 1) / 2) * pitch_mm for i in range(count)]
