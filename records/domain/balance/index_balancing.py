"""Index balancing: part the tooling's unbalance from the part's own by turning the part by 180°.

What stands still in the frame of the readings is their mean, what turns is half their difference.
In the part's frame (angles counted from a mark on the part) the part stands still; in the
mandrel's frame the roles swap.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from records.domain.balance.vectors import Vector, checked_vector, scaled, vector_sum


class Frame(StrEnum):
    """What the angles of the readings are counted from."""

    PART = "part"
    MANDREL = "mandrel"


@dataclass(frozen=True)
class Parted:
    """The part's own unbalance and the tooling's; what turned is given as it stood at first."""

    part: Vector
    tooling: Vector


def part_from_tooling(reading_0: Vector, reading_180: Vector, frame: Frame) -> Parted:
    """Split two readings, the second with the part turned by 180° on its mandrel."""
    checked_vector(reading_0, "reading_0")
    checked_vector(reading_180, "reading_180")
    still = vector_sum([scaled(reading_0, 0.5), scaled(reading_180, 0.5)])
    turned = vector_sum([scaled(reading_0, 0.5), scaled(reading_180, -0.5)])
    return Parted(still, turned) if frame is Frame.PART else Parted(turned, still)
