"""Figures as they are given: finite, within what is possible, and kept as a row can keep them."""

from __future__ import annotations

from decimal import Decimal

from records.domain.errors import BadValue, Code

PLACES = 13  # of grams in a row: 0.0001 oz needs as many
HEAVIEST_G = Decimal(500_000)  # heavier than any part this trade puts on a scale


def figure(
    value: Decimal,
    field: str,
    *,
    above: int | None = None,
    least: int | None = None,
    most: Decimal | int = HEAVIEST_G,
    places: int = PLACES,
    unit: str = "g",
) -> Decimal:
    """Return a figure that is finite, within its bounds, with no more places than a row keeps.

    Errors: BadValue `out_of_range` at the field.
    """
    if _within(value, above, least, most) and _places_of(value) <= places:
        return value
    low = f"more than {above}, " if above is not None else ""
    low = f"{least} or more, " if least is not None else low
    expected = f"{low}at most {most:f} {unit}".rstrip() + f" with at most {places} decimal places"
    raise BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {str(value)[:40]}",
        field=field,
        expected=expected,
        got=str(value)[:40],
    )


def counted(value: int, field: str, *, most: int) -> int:
    """Return a count from 1 to `most`.

    Errors: BadValue `out_of_range` at the field.
    """
    figure(Decimal(value), field, least=1, most=most, places=0, unit="")
    return value


def _within(value: Decimal, above: int | None, least: int | None, most: Decimal | int) -> bool:
    if not value.is_finite() or abs(value) > most:
        return False
    return not ((above is not None and value <= above) or (least is not None and value < least))


def _places_of(value: Decimal) -> int:
    exponent = value.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0
