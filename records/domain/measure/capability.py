"""What a scale can prove: the smallest tolerance for a difference, and how many readings it takes.

A tolerance T between two masses is proven only where the guard band w = r U of their difference
leaves an acceptance zone, w <= T (JCGM 106:2012, 8; ILAC-G8:09/2019). Masses in g.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.decision import SLACK
from records.domain.measure.difference import difference
from records.domain.measure.scale import Scale

MOST_READINGS = 20


@dataclass(frozen=True, slots=True)
class Capability:
    """U of a difference at n readings of each mass, and the smallest tolerance it proves.

    readings_needed is the fewest readings of each that prove the tolerance asked for, None when
    no number up to MOST_READINGS does: rounding does not average away.
    """

    U_difference_g: float
    smallest_tolerance_g: float
    proves: bool
    readings_needed: int | None


def capability(
    scale: Scale, load_g: float, tolerance_g: float, r: float, n: int = 1, *, weighings: int = 1
) -> Capability:
    """Return what the scale proves between two masses of about load_g, each with its own zero.

    weighings is the number of parts of each mass that are weighed apart (1: a set together). With
    r = 0 (simple acceptance) no guard band is kept and every tolerance has an acceptance zone.
    """
    return judge_capability(
        lambda readings: expanded_difference(scale, load_g, readings, weighings), tolerance_g, r, n
    )


def judge_capability(
    U_at: Callable[[int], float], tolerance_g: float, r: float, n: int = 1
) -> Capability:
    """Return the capability where U_at says U of the difference at a number of readings.

    Serves what has more than a scale behind it, as a hung rod end with its contact.
    """
    if not tolerance_g > 0:
        raise BadValue(
            Code.OUT_OF_RANGE,
            f"expected a number above 0, got {tolerance_g:g}",
            field="tolerance_g",
            expected="a number above 0",
            got=f"{tolerance_g:g}",
        )
    U_g = U_at(n)
    reach = tolerance_g * (1 + SLACK)
    needed = next((i for i in range(1, MOST_READINGS + 1) if r * U_at(i) <= reach), None)
    return Capability(U_g, r * U_g, r * U_g <= reach, needed)


def expanded_difference(scale: Scale, load_g: float, n: int = 1, weighings: int = 1) -> float:
    """Return U of the difference of two masses near load_g, of as many parts weighed apart."""
    one = difference(scale, load_g / weighings, load_g / weighings, n1=n, n2=n)
    root = math.sqrt(weighings)
    u_g = root * one.u_g
    repeat_g = root * one.budget[0].u_g
    return coverage_factor(effective_freedom(u_g, ((repeat_g, scale.nu_s),))) * u_g
