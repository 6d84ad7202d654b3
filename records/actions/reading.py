"""A reading as it is given: text and unit, turned into exact grams or refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, localcontext

from records.domain.errors import BadValue, Code
from records.domain.measure.units import to_grams

PLACES = Decimal("1e-13")
HEAVIEST_G = Decimal(500_000)  # heavier than any part this trade puts on a scale


@dataclass(frozen=True, slots=True)
class ReadingGiven:
    """One reading: the figure as text, its unit, the raw line if a device gave one."""

    value: str
    unit: str = "g"
    text: str = ""
    hanging: int | None = None
    read_at: datetime | None = None


def grams_of(reading: ReadingGiven, field: str) -> Decimal:
    """Return the exact grams of a reading.

    Errors: BadValue at `<field>/value` or `<field>/unit`.
    """
    grams = to_grams(_figure(reading.value, field), reading.unit, f"{field}/unit")
    if not 0 < grams <= HEAVIEST_G:
        raise _refused(field, f"more than 0 and at most {HEAVIEST_G} g", reading.value)
    with localcontext() as context:
        context.prec = 60
        exact = grams.quantize(PLACES)
    if exact != grams:
        raise _refused(field, "at most 13 decimal places in grams", reading.value)
    return exact


def mean(grams: Sequence[Decimal]) -> Decimal:
    """Return the mean of readings to the places that a row keeps."""
    with localcontext() as context:
        context.prec = 60
        return (sum(grams, Decimal(0)) / len(grams)).quantize(PLACES)


def _figure(value: str, field: str) -> Decimal:
    try:
        figure = Decimal(value.strip())
    except ArithmeticError as error:
        raise _refused(field, "a decimal figure such as 446.8", value) from error
    if not figure.is_finite():
        raise _refused(field, "a decimal figure such as 446.8", value)
    return figure


def _refused(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got[:40]!r}",
        field=f"{field}/value",
        expected=expected,
        got=got[:40],
    )
