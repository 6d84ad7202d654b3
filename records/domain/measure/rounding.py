"""Round once, at the edge: U to two significant digits, the mass to the same place.

GUM (JCGM 100:2008) 7.2.6. With two digits, rounding U down cuts it by less than 5 %, which
EA-4/02 (clause 6) allows. A mass half-way goes to the even digit (ISO 80000-1, rule A).
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal

from records.domain.errors import BadValue, Code

EDGE = Context(prec=60)


def round_expanded(U: float | Decimal) -> Decimal:
    """Return U with two significant digits. Raise BadValue unless it is finite and above 0."""
    exact = _decimal(U, "U_g")
    if exact <= 0:
        raise _bad("U_g", "a number above 0", exact)
    place = exact.adjusted() - 1
    rounded = exact.quantize(Decimal(1).scaleb(place), ROUND_HALF_UP, EDGE)
    # 0.0996 rounds to 0.100: one digit too many.
    if rounded.adjusted() > exact.adjusted():
        rounded = rounded.quantize(Decimal(1).scaleb(place + 1), ROUND_HALF_UP, EDGE)
    return rounded


def round_to_place(mass: float | Decimal, rounded_U: Decimal) -> Decimal:
    """Return the mass to the place of a rounded U."""
    return _decimal(mass, "mass_g").quantize(rounded_U, ROUND_HALF_EVEN, EDGE)


def shown(mass: float | Decimal, U: float | Decimal) -> tuple[str, str]:
    """Return mass and U as they are printed: ('512.340', '0.024')."""
    rounded_U = round_expanded(U)
    rounded = round_to_place(mass, rounded_U)
    return format(abs(rounded) if rounded == 0 else rounded, "f"), format(rounded_U, "f")


def _decimal(value: float | Decimal, field: str) -> Decimal:
    # repr gives the shortest decimal that means the float, so 0.145 rounds as it reads.
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    if not exact.is_finite():
        raise _bad(field, "a finite number", exact)
    return exact


def _bad(field: str, expected: str, got: Decimal) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=str(got),
    )
