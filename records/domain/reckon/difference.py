"""Topic `difference`: two readings on one scale, the first minus the second."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.difference import difference
from records.domain.reckon.scales import budget_rows, read_scale
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return difference_g, u_g, U_g (p = 95.45 %), k, nu_eff when limited, and the budget."""
    read = Shape(data)
    scale = read_scale(read.child("scale"))
    reading1_g = read.number("reading1_g", minimum=0)
    reading2_g = read.number("reading2_g", minimum=0)
    shared_zero, same_spot = read.flag("shared_zero"), read.flag("same_spot")
    read.done()
    found = difference(scale, reading1_g, reading2_g, shared_zero=shared_zero, same_spot=same_spot)
    answer: dict[str, object] = {
        "difference_g": found.difference_g,
        "u_g": found.u_g,
        "U_g": found.U_g,
        "k": found.k,
        "budget": budget_rows(found.budget),
    }
    if found.nu_eff is not None:
        answer["nu_eff"] = found.nu_eff
    return answer
