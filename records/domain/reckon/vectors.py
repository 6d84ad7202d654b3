"""Read and write an unbalance with its angle: {unbalance_gmm, angle_deg}."""

from __future__ import annotations

from records.domain.balance.vectors import Vector
from records.domain.reckon.shape import Shape


def read_vector(read: Shape) -> Vector:
    """Return the vector of an object with unbalance_gmm (0 or more) and angle_deg."""
    return Vector(read.number("unbalance_gmm", minimum=0), read.number("angle_deg"))


def vector_row(vector: Vector) -> dict[str, object]:
    """Return a vector as it is answered."""
    return {"unbalance_gmm": vector.unbalance_gmm, "angle_deg": vector.angle_deg}
