"""Topic `rod-pads`: what to take at two pads so that both ends drop as wanted."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.rod_levers import two_pad_takes
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return take_big_pad_g and take_small_pad_g; a pad that would have to gain is an error."""
    read = Shape(data)
    wanted = {
        "length_mm": read.number("length_mm", above=0),
        "big_pad_x_mm": read.number("big_pad_x_mm"),
        "small_pad_x_mm": read.number("small_pad_x_mm"),
        "drop_big_g": read.number("drop_big_g"),
        "drop_small_g": read.number("drop_small_g"),
    }
    read.done()
    takes = two_pad_takes(**wanted)
    return {"take_big_pad_g": takes.big_pad_g, "take_small_pad_g": takes.small_pad_g}
