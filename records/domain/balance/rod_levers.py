"""What a cut along a rod does to its two ends.

A rod is two supports a centre distance L apart; x counts from the small-end centre toward the big
end and may lie beyond either centre. Taking δ at x: Δbig = −δ·x/L, Δsmall = −δ·(L − x)/L, also
beyond the ends, where the far end gets heavier (statics).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from records.domain.balance.possible import above_zero, at_least_zero, finite
from records.domain.errors import BadValue, Code


@dataclass(frozen=True)
class Removal:
    """Metal taken off at one place along the rod."""

    x_mm: float
    mass_g: float


@dataclass(frozen=True)
class EndChange:
    """What both ends show more (positive) or less (negative) than before."""

    big_g: float
    small_g: float


@dataclass(frozen=True)
class PadTakes:
    """Grams to take at each of two pads."""

    big_pad_g: float
    small_pad_g: float


def big_end_share(x_mm: float, length_mm: float) -> float:
    """Give the share of a cut at x that the big end feels: above 1 past its centre."""
    above_zero("length_mm", length_mm)
    return finite("x_mm", x_mm) / length_mm


def end_changes(removals: Iterable[Removal], *, length_mm: float) -> EndChange:
    """Sum what these removals do to both ends, in g."""
    above_zero("length_mm", length_mm)
    big, small = [], []
    for i, removal in enumerate(removals):
        finite(f"removals/{i}/x_mm", removal.x_mm)
        at_least_zero(f"removals/{i}/mass_g", removal.mass_g)
        big.append(-removal.mass_g * removal.x_mm / length_mm)
        small.append(-removal.mass_g * (length_mm - removal.x_mm) / length_mm)
    return EndChange(math.fsum(big) + 0.0, math.fsum(small) + 0.0)  # no minus zero


def two_pad_takes(
    *,
    length_mm: float,
    big_pad_x_mm: float,
    small_pad_x_mm: float,
    drop_big_g: float,
    drop_small_g: float,
) -> PadTakes:
    """Solve for what to take at two pads so that both ends drop as wanted.

    δ_big = (L·ΔB − x_s·(ΔB + ΔS))/(x_b − x_s), δ_small = ΔB + ΔS − δ_big. Raises BadValue when a
    pad would have to gain metal (it is named), or when the pads stand in one place.
    """
    above_zero("length_mm", length_mm)
    x_big = finite("big_pad_x_mm", big_pad_x_mm)
    x_small = finite("small_pad_x_mm", small_pad_x_mm)
    finite("drop_big_g", drop_big_g)
    finite("drop_small_g", drop_small_g)
    if x_big <= x_small:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected the big-end pad farther from the small-end centre than the small-end pad "
            f"({x_small:g} mm), got {x_big:g} mm",
            field="big_pad_x_mm",
            expected=f"above {x_small:g}",
            got=f"{x_big:g}",
        )
    both = drop_big_g + drop_small_g
    at_big = (length_mm * drop_big_g - x_small * both) / (x_big - x_small)
    takes = PadTakes(at_big, both - at_big)
    _refuse_gain("take_big_pad_g", "big-end pad", takes.big_pad_g)
    _refuse_gain("take_small_pad_g", "small-end pad", takes.small_pad_g)
    return takes


def _refuse_gain(field: str, pad: str, take_g: float) -> None:
    if take_g < -1e-9:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"these drops would need {-take_g:.4g} g added at the {pad}, and a pad only gives "
            "metal; ask for other drops or use a pad in another place",
            field=field,
            expected="0 or more",
            got=f"{take_g:.6g}",
        )
