"""Index balancing against checks/balance.md 4 (calc), and by making readings from known parts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from records.domain.balance.index_balancing import Frame, part_from_tooling
from records.domain.balance.vectors import Vector
from records.domain.errors import BadValue

AMOUNT, ANGLE = st.floats(0, 500), st.floats(0, 360)


def _vector(plane: complex) -> Vector:
    return Vector(abs(plane), math.degrees(math.atan2(plane.imag, plane.real)))


@given(AMOUNT, ANGLE, AMOUNT, ANGLE)
def test_the_parts_come_back_in_the_parts_own_frame(
    part: float, part_deg: float, tool: float, tool_deg: float
) -> None:
    """Seen from the part, turning it by 180° turns the mandrel by 180° the other way."""
    p, e = Vector(part, part_deg).plane, Vector(tool, tool_deg).plane
    parted = part_from_tooling(_vector(p + e), _vector(p - e), Frame.PART)
    assert parted.part.plane == pytest.approx(p, abs=1e-9)
    assert parted.tooling.plane == pytest.approx(e, abs=1e-9)


@given(AMOUNT, ANGLE, AMOUNT, ANGLE)
def test_and_in_the_mandrels_frame_where_the_part_turns(
    part: float, part_deg: float, tool: float, tool_deg: float
) -> None:
    p, e = Vector(part, part_deg).plane, Vector(tool, tool_deg).plane
    parted = part_from_tooling(_vector(e + p), _vector(e - p), Frame.MANDREL)
    assert parted.part.plane == pytest.approx(p, abs=1e-9)
    assert parted.tooling.plane == pytest.approx(e, abs=1e-9)


def test_the_wrong_frame_swaps_the_two() -> None:
    readings = Vector(10, 0), Vector(2, 180)
    seen_on_part = part_from_tooling(*readings, Frame.PART)
    seen_on_mandrel = part_from_tooling(*readings, Frame.MANDREL)
    assert seen_on_part.part == seen_on_mandrel.tooling
    assert seen_on_part.part.unbalance_gmm == pytest.approx(4)
    assert seen_on_part.tooling.unbalance_gmm == pytest.approx(6)


def test_a_reading_that_cannot_be_is_named() -> None:
    with pytest.raises(BadValue) as refused:
        part_from_tooling(Vector(1, 0), Vector(-1, 0), Frame.PART)
    assert refused.value.field == "reading_180/unbalance_gmm"
