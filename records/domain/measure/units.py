"""Convert masses, lengths and unbalances by exact factors.

All factors are exact by definition (NIST SP 811, App. B): 1 lb = 453.59237 g, 16 oz = 1 lb,
7000 grains = 1 lb, 1 in = 25.4 mm. An unbalance is a mass times a length; an ounce-force inch is a
torque and is no unit here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction

from records.domain.errors import BadValue, Code

MASS = "mass"
LENGTH = "length"
UNBALANCE = "unbalance"

GRAMS: dict[str, Decimal] = {
    "mg": Decimal("0.001"),
    "g": Decimal(1),
    "kg": Decimal(1000),
    "oz": Decimal("28.349523125"),
    "lb": Decimal("453.59237"),
    "grain": Decimal("0.06479891"),
}
MILLIMETRES: dict[str, Decimal] = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "in": Decimal("25.4"),
    "m": Decimal(1000),
}
ALIASES = {"gr": "grain"}
DOTS = "·⋅*×.-"
# Wide enough that the product of a 64-character decimal and a factor is never rounded.
EXACT = Context(prec=120)
# Digits given where a quotient has no end.
ENDLESS = Context(prec=28)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit with its dimension and its factor to g, mm or g·mm."""

    name: str
    dimension: str
    factor: Decimal


@dataclass(frozen=True, slots=True)
class Converted:
    """A converted value, and whether it is exact."""

    value: Decimal
    exact: bool


def _units() -> Iterator[tuple[str, Unit]]:
    for name, grams in GRAMS.items():
        yield name, Unit(name, MASS, grams)
    for name, millimetres in MILLIMETRES.items():
        yield name, Unit(name, LENGTH, millimetres)
    for mass, grams in GRAMS.items():
        for length, millimetres in MILLIMETRES.items():
            product = f"{mass}·{length}"
            unit = Unit(product, UNBALANCE, EXACT.multiply(grams, millimetres))
            yield product, unit
            # "gm" is how many write gram, so a metre is never glued to a mass.
            if length != "m":
                yield mass + length, unit


UNITS: dict[str, Unit] = dict(_units())


def unit_named(spelling: str, field: str = "unit") -> Unit:
    """Return the unit of that spelling: `g·mm`, `g*mm`, `oz in`, `gmm`, `gr` are understood.

    Raise BadValue naming the known units; field names the key that held the spelling.
    """
    spaced = "".join(" " if letter in DOTS else letter for letter in spelling)
    words = [ALIASES.get(word, word) for word in spaced.split()]
    unit = UNITS.get("·".join(words))
    if unit is None:
        known = ", ".join((*GRAMS, "mm, in, g·mm, g·cm, g·in, oz·in, kg·m"))
        raise BadValue(
            Code.UNKNOWN_UNIT,
            f"unknown unit {spelling[:30]!r}; expected one of {known}",
            field=field,
            expected=f"one of {known}",
            got=spelling[:30],
        )
    return unit


def to_grams(value: Decimal, unit: str, field: str = "unit") -> Decimal:
    """Return the exact grams of a mass given in unit.

    Raise BadValue when the unit isn't one of mass, or the value isn't finite.
    """
    found = unit_named(unit, field)
    if found.dimension != MASS:
        raise _mixed(found, UNITS["g"], field)
    return _plain(EXACT.multiply(_finite(value), found.factor))


def convert(value: Decimal, from_unit: str, to_unit: str) -> Converted:
    """Convert between units of one dimension, exactly where the quotient ends, else to 28 digits.

    Raise BadValue naming both dimensions when they differ (fields `from` and `to`).
    """
    source, target = unit_named(from_unit, "from"), unit_named(to_unit, "to")
    if source.dimension != target.dimension:
        raise _mixed(source, target, "to")
    quotient = Fraction(_finite(value)) * Fraction(source.factor) / Fraction(target.factor)
    exact = _ends(quotient.denominator)
    context = Context(prec=400) if exact else ENDLESS
    result = context.divide(Decimal(quotient.numerator), Decimal(quotient.denominator))
    return Converted(_plain(result), exact)


def _ends(denominator: int) -> bool:
    for prime in (2, 5):
        while denominator % prime == 0:
            denominator //= prime
    return denominator == 1


def _finite(value: Decimal) -> Decimal:
    if not value.is_finite():
        raise BadValue(
            Code.NOT_A_NUMBER,
            f"expected a finite number, got {value}",
            field="value",
            expected="a finite number",
            got=str(value),
        )
    return value


def _plain(value: Decimal) -> Decimal:
    """Drop trailing zeros and any exponent above zero."""
    short = value.normalize(EXACT)
    exponent = short.as_tuple().exponent
    whole = isinstance(exponent, int) and exponent > 0
    return short.quantize(Decimal(1), context=EXACT) if whole else short


def _mixed(source: Unit, target: Unit, field: str) -> BadValue:
    expected = f"a unit of {source.dimension}" if field == "to" else f"a unit of {target.dimension}"
    return BadValue(
        Code.BAD_VALUE,
        f"{source.name} is a unit of {source.dimension}, {target.name} one of {target.dimension}; "
        "expected two of the same dimension",
        field=field,
        expected=expected,
        got=target.name if field == "to" else source.name,
    )
