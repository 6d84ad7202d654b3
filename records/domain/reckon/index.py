"""Topic `index`: the part's own unbalance and the tooling's from two readings, 180° apart."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.index_balancing import Frame, part_from_tooling
from records.domain.reckon.shape import Shape
from records.domain.reckon.vectors import read_vector, vector_row


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return part and tooling, each unbalance_gmm and angle_deg, as they stood at reading_0.

    frame says what the angles of the readings are counted from: a mark on the part, or one on
    the mandrel.
    """
    read = Shape(data)
    reading_0 = read_vector(read.child("reading_0"))
    reading_180 = read_vector(read.child("reading_180"))
    frame = Frame(read.text("frame", one_of=tuple(Frame)))
    read.done()
    parted = part_from_tooling(reading_0, reading_180, frame)
    return {"part": vector_row(parted.part), "tooling": vector_row(parted.tooling)}
