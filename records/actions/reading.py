"""A reading as it is given: text and unit, turned into exact grams or refused."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, localcontext

from records.actions.clock import check_zoned
from records.actions.figure import HEAVIEST_G
from records.domain.errors import BadValue, Code
from records.domain.measure.units import to_grams

PLACES = Decimal("1e-13")
# a plain decimal: no exponent, no digit groups, no digits of other scripts
FIGURE = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)
LONGEST_FIGURE = 40
LONGEST_TEXT = 80
MOST_HANGINGS = 99


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

    Errors: BadValue at `<field>/value`, `/unit`, `/text`, `/hanging` or `/read_at`.
    """
    _check_beside(reading, field)
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


def as_given(reading: ReadingGiven) -> str:
    """Return what a row keeps of a reading: the device's raw line, else the figure."""
    return reading.text or reading.value


def _check_beside(reading: ReadingGiven, field: str) -> None:
    """Refuse what stands beside the figure and can't be kept; a raw line is kept as it came."""
    if len(reading.text) > LONGEST_TEXT or "\0" in reading.text:
        expected = f"at most {LONGEST_TEXT} characters, none of them zero"
        raise _refused(field, expected, reading.text, "text")
    if reading.hanging is not None and not 1 <= reading.hanging <= MOST_HANGINGS:
        expected = f"a hanging from 1 to {MOST_HANGINGS}"
        raise _refused(field, expected, str(reading.hanging), "hanging")
    if reading.read_at is not None:
        check_zoned(reading.read_at, f"{field}/read_at")


def _figure(value: str, field: str) -> Decimal:
    figure = value.strip()
    if len(figure) > LONGEST_FIGURE or not FIGURE.fullmatch(figure):
        raise _refused(field, "a decimal figure such as 446.8", value)
    return Decimal(figure)


def _refused(field: str, expected: str, got: str, key: str = "value") -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected {expected}, got {got[:40]!r}",
        field=f"{field}/{key}",
        expected=expected,
        got=got[:40],
    )
