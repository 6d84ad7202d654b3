"""What a number of this room may be: each check names the key and gives the number back."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TypeVar

from records.domain.errors import BadValue, Code

Number = TypeVar("Number", float, Decimal)


def finite(field: str, value: Number) -> Number:
    """Give the number back; raise BadValue for NaN or infinity."""
    is_finite = value.is_finite() if isinstance(value, Decimal) else math.isfinite(value)
    if not is_finite:
        raise BadValue(
            Code.NOT_A_NUMBER,
            f"expected a finite number, got {value}",
            field=field,
            expected="a finite number",
            got=str(value),
        )
    return value


def at_least_zero(field: str, value: Number) -> Number:
    """Give the number back; raise BadValue when it is negative or not finite."""
    if finite(field, value) < 0:
        raise out_of_range(field, "0 or more", value)
    return value


def above_zero(field: str, value: Number) -> Number:
    """Give the number back; raise BadValue when it is 0, negative or not finite."""
    if finite(field, value) <= 0:
        raise out_of_range(field, "more than 0", value)
    return value


def out_of_range(field: str, expected: str, got: object) -> BadValue:
    """Word the refusal of a number outside its range."""
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=str(got),
    )
