"""Topic `weighing`: one corrected weighing with its uncertainty and budget."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.weighing import weigh
from records.domain.reckon.scales import budget_rows, read_scale
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return mass_g, u_g, U_g (p = 95.45 %), k, nu_eff when limited, and the budget."""
    read = Shape(data)
    scale = read_scale(read.child("scale"))
    reading_g = read.number("reading_g", minimum=0)
    n = read.optional_whole("n", 1, minimum=1)
    read.done()
    weighing = weigh(scale, reading_g, n)
    answer: dict[str, object] = {
        "mass_g": weighing.mass_g,
        "u_g": weighing.u_g,
        "U_g": weighing.U_g,
        "k": weighing.k,
        "u_error_g": weighing.u_error_g,
        "u_reading_g": weighing.u_reading_g,
        "budget": budget_rows(weighing.budget),
    }
    if weighing.nu_eff is not None:
        answer["nu_eff"] = weighing.nu_eff
    return answer
