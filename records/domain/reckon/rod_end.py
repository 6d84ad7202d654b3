"""Topic `rod-end`: what each end of a level rod carries, and U of the big end hung on a scale."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.rod_ends import Contact, hung_end, share_ends
from records.domain.reckon.scales import budget_rows, read_scale
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return big_g, small_g, u_big_g and U_big_g, u_small_g and U_small_g, and the big budget.

    rod_g is taken as true, so no end is corrected: the scale gives the uncertainty alone.
    """
    read = Shape(data)
    rod_g = read.number("rod_g", above=0)
    length_mm = read.number("length_mm", above=0)
    cg_from_big_mm = read.number("cg_from_big_mm", minimum=0, maximum=length_mm)
    u_support_mm = read.number("u_support_mm", minimum=0)
    scale = read_scale(read.child("scale"))
    read.done()
    big_g, small_g = share_ends(rod_g, length_mm, cg_from_big_mm)
    contact = Contact(u_support_mm, u_support_mm)
    big = hung_end(scale, big_g, small_g, length_mm, contact, is_big=True, field="rod_g")
    small = hung_end(scale, small_g, big_g, length_mm, contact, is_big=False, field="rod_g")
    return {
        "big_g": big_g,
        "small_g": small_g,
        "u_big_g": big.u_g,
        "U_big_g": big.U_g,
        "u_small_g": small.u_g,
        "U_small_g": small.U_g,
        "budget": budget_rows(big.budget),
    }
