"""Topic `convert`: a value from one unit to another of the same dimension."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.measure.units import convert
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return value as a decimal string, and whether it is exact (else it has 28 digits)."""
    read = Shape(data)
    value = read.decimal("value")
    from_unit, to_unit = read.text("from"), read.text("to")
    read.done()
    converted = convert(value, from_unit, to_unit)
    return {"value": format(converted.value, "f"), "exact": converted.exact}
