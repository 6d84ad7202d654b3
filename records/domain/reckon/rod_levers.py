"""Topic `rod-levers`: what cuts along a rod do to its two ends."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.rod_levers import Removal, end_changes
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return delta_big_g and delta_small_g; x_mm counts from the small-end centre."""
    read = Shape(data)
    length_mm = read.number("length_mm", above=0)
    removals = [
        Removal(removal.number("x_mm"), removal.number("mass_g", minimum=0))
        for removal in read.objects("removals")
    ]
    read.done()
    change = end_changes(removals, length_mm=length_mm)
    return {"delta_big_g": change.big_g, "delta_small_g": change.small_g}
