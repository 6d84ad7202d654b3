"""The two ends of a rod hung level: what each carries, and how far the contact throws it off.

Statics: R_big = M (L - a) / L, R_small = M a / L, with M the rod's mass, L the centre distance and
a the centre of gravity's distance from the big-end centre. An error e along the rod of where a
support touches moves either end's reading by R_big e_big / L and R_small e_small / L. g and mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.errors import BadValue, Code
from records.domain.measure.coverage import coverage_factor, effective_freedom
from records.domain.measure.scale import Scale
from records.domain.measure.sums import Term, combine
from records.domain.measure.weighing import Contribution, Weighing, weigh


@dataclass(frozen=True, slots=True)
class Contact:
    """How well the fixture finds the two centres: standard uncertainty per hanging, in mm."""

    big_mm: float
    small_mm: float


@dataclass(frozen=True, slots=True)
class RodEnd:
    """One end's share of the rod's mass, with the weighing behind it; u_contact_g is in u_g."""

    mass_g: float
    u_g: float
    U_g: float
    k: float
    u_contact_g: float
    weighing: Weighing
    budget: tuple[Contribution, ...]


@dataclass(frozen=True, slots=True)
class Closure:
    """Whole minus both ends. It is blind to what both hangings share."""

    closure_g: float
    u_g: float
    U_g: float
    k: float
    closes: bool


def share_ends(rod_g: float, length_mm: float, cg_from_big_mm: float) -> tuple[float, float]:
    """Return the big and the small end's share of a rod's mass, in g."""
    for field, value in (("rod_g", rod_g), ("length_mm", length_mm)):
        if not (math.isfinite(value) and value > 0):
            raise _bad(field, "a number above 0", value)
    if not 0 <= cg_from_big_mm <= length_mm:
        raise _bad("cg_from_big_mm", f"a number from 0 to {length_mm:g}", cg_from_big_mm)
    small_g = rod_g * cg_from_big_mm / length_mm
    return rod_g - small_g, small_g


def hung_end(
    scale: Scale,
    reading_g: float,
    other_end_g: float,
    length_mm: float,
    contact: Contact,
    *,
    is_big: bool,
    hangings: int = 1,
    field: str = "reading_g",
) -> RodEnd:
    """Return an end hung on the scale, other_end_g being what the other support carries.

    Hung anew n times, contact and repeatability go down by the root of n. Raise BadValue for a
    length that isn't above 0 and for readings outside the scale's certificate, naming field.
    """
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise _bad("length_mm", "a number above 0", length_mm)
    weighing = weigh(scale, reading_g, hangings, field=field)
    big_g, small_g = (reading_g, other_end_g) if is_big else (other_end_g, reading_g)
    per_mm = length_mm * math.sqrt(hangings)
    at_big_g = abs(big_g) * contact.big_mm / per_mm
    at_small_g = abs(small_g) * contact.small_mm / per_mm
    u_contact_g = math.hypot(at_big_g, at_small_g)
    u_g = math.hypot(weighing.u_g, u_contact_g)
    k = coverage_factor(effective_freedom(u_g, ((weighing.u_repeat_g, scale.nu_s),)))
    budget = (
        Contribution("contact at the big end", at_big_g),
        Contribution("contact at the small end", at_small_g),
        *weighing.budget,
    )
    return RodEnd(weighing.mass_g, u_g, k * u_g, k, u_contact_g, weighing, budget)


def closure(whole: Weighing, big: RodEnd, small: RodEnd, *, one_scale: bool = True) -> Closure:
    """Return whole minus big minus small end, compared with its own U.

    The three must be weighed each for itself: an end taken as whole minus the other closes always
    and proves nothing. On one scale a constant error shows once, one in proportion not at all.
    """
    names = ("one", "one", "one") if one_scale else ("whole", "big", "small")
    weighings = (whole, big.weighing, small.weighing)
    terms = [
        Term(c, w, name) for c, w, name in zip((1.0, -1.0, -1.0), weighings, names, strict=True)
    ]
    sum_ = combine(terms)
    u_g = math.hypot(sum_.u_g, big.u_contact_g, small.u_contact_g)
    scatter = [(w.u_repeat_g, w.nu_s) for w in weighings]
    if one_scale:
        scatter = [(math.hypot(*(u for u, _ in scatter)), whole.nu_s)]
    k = coverage_factor(effective_freedom(u_g, scatter))
    return Closure(sum_.mass_g, u_g, k * u_g, k, abs(sum_.mass_g) <= k * u_g)


def _bad(field: str, expected: str, got: float) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got:g}",
        field=field,
        expected=expected,
        got=f"{got:g}",
    )
