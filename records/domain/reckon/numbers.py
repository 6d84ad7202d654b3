"""Take one number from outside: finite, within its limits, never a bool; or say why not."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import NoReturn

from records.domain.errors import BadValue, Code

DECIMAL_STRING = re.compile(r"[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
LONGEST_STRING = 64
LONGEST_LIST = 10_000
# Nothing in a shop is outside; inside, no product of a few such numbers leaves the range of floats.
LARGEST = 1e15
SMALLEST = 1e-15


@dataclass(frozen=True, slots=True)
class Limits:
    """The range that a number must lie in; `above` and `below` exclude their own value."""

    minimum: float | None = None
    above: float | None = None
    maximum: float | None = None
    below: float | None = None

    def words(self) -> str:
        """Say the range as an end of 'expected a number …'."""
        named = (
            ("of at least", self.minimum),
            ("above", self.above),
            ("of at most", self.maximum),
            ("below", self.below),
        )
        said = [f"{word} {value:g}" for word, value in named if value is not None]
        return " ".join(["a number", " and ".join(said)]).strip()

    def hold(self, value: float) -> bool:
        """Say whether the value lies in the range."""
        return (
            (self.minimum is None or value >= self.minimum)
            and (self.above is None or value > self.above)
            and (self.maximum is None or value <= self.maximum)
            and (self.below is None or value < self.below)
        )


def say(value: object) -> str:
    """Say a value as JSON would, shortened, for the `got` of an error."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "null"
    if isinstance(value, Mapping):
        return "an object"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if isinstance(value, int) and value.bit_length() > 128:
        return "a huge whole number"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def refuse(path: str, expected: str, value: object, code: Code = Code.BAD_VALUE) -> NoReturn:
    """Raise BadValue for the key at path."""
    got = say(value)
    raise BadValue(code, f"expected {expected}, got {got}", field=path, expected=expected, got=got)


def read_number(value: object, path: str, limits: Limits) -> float:
    """Return a finite float from a number or a decimal string; never from a bool, NaN, inf."""
    expected = limits.words()
    number = _plain_number(value)
    if number is None or not math.isfinite(number):
        refuse(path, expected, value, Code.NOT_A_NUMBER)
    if abs(number) > LARGEST or 0 < abs(number) < SMALLEST:
        refuse(
            path, f"{expected}, 0 or {SMALLEST:g} to {LARGEST:g} in size", value, Code.OUT_OF_RANGE
        )
    if not limits.hold(number):
        refuse(path, expected, value, Code.OUT_OF_RANGE)
    return number


def _plain_number(value: object) -> float | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, int):
        return float(value) if value.bit_length() <= 128 else math.inf
    if isinstance(value, Decimal):
        return float(value) if value.is_finite() else math.nan
    if isinstance(value, float):
        return value
    if isinstance(value, str) and is_decimal_string(value):
        return float(value)
    return None


def is_decimal_string(text: str) -> bool:
    """Say whether the text is a plain decimal number: ASCII digits, a point, no spaces."""
    return len(text) <= LONGEST_STRING and DECIMAL_STRING.fullmatch(text) is not None
