"""Topic `twist`: natural frequencies, shapes and critical speeds of a lumped shaft (an aid)."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.twist import ORDERS, twist_modes
from records.domain.reckon.shape import Shape

CAUTION = "an aid only: the choice of a damper is its maker's and an engineer's"


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return natural_Hz and shapes from the lowest (0 Hz, all alike), and critical_rpm by order.

    The zero root is no twist and has no critical speed, so critical_rpm starts with the next.
    """
    read = Shape(data)
    inertias = read.numbers("inertias_kgm2", above=0)
    stiffness = read.numbers("stiffness_Nm_rad", above=0)
    read.done()
    modes = twist_modes(inertias, stiffness)
    return {
        "natural_Hz": [mode.frequency_Hz for mode in modes],
        "shapes": [list(mode.shape) for mode in modes],
        "nodes": [
            [{"shaft": node.shaft, "share": node.share} for node in mode.nodes] for mode in modes
        ],
        "critical_rpm": {
            f"{order:g}": [mode.critical_rpm(order) for mode in modes[1:]] for order in ORDERS
        },
        "caution": CAUTION,
    }
