"""Whether the points of a certificate can be those of a scale: order, zero, range, units.

A figure in the wrong unit is told by its size: U and error of a shop scale are far below a
hundredth of its capacity, U is never far below its step, and a certificate reaches into its range
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from records.domain.errors import BadValue, Code
from records.domain.practice.facts_of_scales import Point

LARGEST_SHARE = Decimal("0.01")  # of the capacity, for error and U
LEAST_OF_STEP = Decimal("0.1")
LEAST_REACH = Decimal("0.05")  # of the capacity, for the last point


def check_points(
    points: Sequence[Point], name: str, *, capacity_g: Decimal, finest_g: Decimal
) -> None:
    """Refuse points that this scale can't have; the field is `<name>/<line>/<key>`, from 0.

    finest_g is the finest step in grams. Errors: BadValue.
    """
    for index, point in enumerate(points):
        _check_one(point, f"{name}/{index}", capacity_g, finest_g)
    if not points:
        return
    _check_order(points, name)
    if points[0].load_g != 0:
        raise _bad(
            f"{name}/0/load_g",
            "a first point at 0 g",
            f"{points[0].load_g:.10g} g",
            "below its first point a certificate says nothing; enter its zero line",
        )
    if points[-1].load_g < LEAST_REACH * capacity_g:
        raise _bad(
            f"{name}/{len(points) - 1}/load_g",
            f"a last point of {LEAST_REACH * capacity_g:.10g} g or more on a scale of "
            f"{capacity_g:.10g} g",
            f"{points[-1].load_g:.10g} g",
            "are the loads in another unit?",
        )


def _check_one(point: Point, field: str, capacity_g: Decimal, finest_g: Decimal) -> None:
    if not 0 <= point.load_g <= capacity_g:
        expected = f"a load of 0 to {capacity_g:.10g} g, the capacity"
        raise _bad(f"{field}/load_g", expected, f"{point.load_g:.10g} g", "is it in grams?")
    if not point.U_g > 0:
        raise _bad(f"{field}/U_g", "a U above 0", f"{point.U_g:.10g}", "no measurement is exact")
    if not 0 < point.k <= 10:
        raise _bad(f"{field}/k", "a k above 0, usually 2", f"{point.k:.10g}", "")
    most = LARGEST_SHARE * capacity_g
    for key, value in (("U_g", point.U_g), ("error_g", point.error_g)):
        if abs(value) > most:
            expected = f"at most {most:.10g} g, a hundredth of the capacity"
            raise _bad(f"{field}/{key}", expected, f"{value:.10g}", "is it in milligrams?")
    least = LEAST_OF_STEP * finest_g
    if point.U_g < least:
        expected = f"a U of {least:.10g} g or more, a tenth of the scale's step"
        raise _bad(f"{field}/U_g", expected, f"{point.U_g:.10g}", "is it in kilograms?")


def _check_order(points: Sequence[Point], name: str) -> None:
    for index, (before, point) in enumerate(pairwise(points), start=1):
        if point.load_g <= before.load_g:
            doubled = point.load_g == before.load_g
            raise _bad(
                f"{name}/{index}/load_g",
                f"a load above {before.load_g:.10g} g",
                f"{point.load_g:.10g} g",
                "the same load twice" if doubled else "loads go upward",
            )


def _bad(field: str, expected: str, got: str, hint: str) -> BadValue:
    advice = f"; {hint}" if hint else ""
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}{advice}",
        field=field,
        expected=expected,
        got=got,
    )
