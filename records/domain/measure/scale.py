"""A scale as its certificate and its trials describe it: step, error, repeatability, drift.

Form of EURAMET cg-18 (4.0) with GUM (JCGM 100:2008). Masses in g.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NoReturn

from records.domain.errors import BadValue, Code

ROOT_3 = math.sqrt(3)
ROOT_12 = math.sqrt(12)


@dataclass(frozen=True, slots=True)
class CertificatePoint:
    """One line of a certificate: the error of indication at a load, with U and its k."""

    load_g: float
    error_g: float
    U_g: float
    k: float = 2.0

    @property
    def u_g(self) -> float:
        """Return the standard uncertainty of the error."""
        return self.U_g / self.k


@dataclass(frozen=True, slots=True)
class Repeatability:
    """The standard deviation of repeated readings, found at a load."""

    load_g: float
    s_g: float


@dataclass(frozen=True, slots=True)
class Eccentricity:
    """The largest difference seen when a load was set off the pan's middle."""

    load_g: float
    max_diff_g: float


@dataclass(frozen=True, slots=True)
class Scale:
    """What one weighing's uncertainty needs of a scale.

    s_g is one number or a table by load; nu_s its degrees of freedom (None: unlimited); drift_g
    a half width; u_slope the standard uncertainty of the slope that two loads share, in g per g.
    """

    d_g: float
    d0_g: float
    s_g: float | tuple[Repeatability, ...]
    nu_s: float | None = None
    drift_g: float = 0.0
    eccentricity: Eccentricity | None = None
    certificate: tuple[CertificatePoint, ...] = ()
    u_slope: float = 0.0

    def __post_init__(self) -> None:
        _check_number("d_g", self.d_g, above=True)
        _check_number("d0_g", self.d0_g)
        _check_number("drift_g", self.drift_g)
        _check_number("u_slope", self.u_slope)
        if self.nu_s is not None and not (math.isfinite(self.nu_s) and self.nu_s >= 1):
            _refuse("nu_s", "at least 1 degree of freedom", f"{self.nu_s:g}")
        _check_repeatability(self.s_g)
        if self.eccentricity is not None:
            _check_number("eccentricity/load_g", self.eccentricity.load_g, above=True)
            _check_number("eccentricity/max_diff_g", self.eccentricity.max_diff_g)
        check_certificate(self.certificate)

    def error_at(self, load_g: float, field: str = "reading_g") -> tuple[float, float]:
        """Return the scale's error at a load and its standard uncertainty, both in g.

        Linear between the certificate's points; below the first, its E and U hold; without a
        certificate both are 0. Raise BadValue above the last point, naming field.
        """
        points = self.certificate
        if not points:
            return 0.0, 0.0
        if load_g > points[-1].load_g:
            last = f"at most {points[-1].load_g:g} g, the last point of the certificate"
            _refuse(field, last, f"{load_g:.10g} g")
        if load_g <= points[0].load_g:
            return points[0].error_g, points[0].u_g
        upper = bisect_left(points, load_g, key=lambda point: point.load_g)
        low, high = points[upper - 1], points[upper]
        share = (load_g - low.load_g) / (high.load_g - low.load_g)
        error_g = low.error_g + share * (high.error_g - low.error_g)
        return error_g, low.u_g + share * (high.u_g - low.u_g)

    def s_at(self, load_g: float) -> float:
        """Return s at a load: of a table, the worse of the two neighbours (cg-18, 7.1.2)."""
        table = self.s_g
        if isinstance(table, int | float):
            return float(table)
        upper = bisect_left(table, load_g, key=lambda row: row.load_g)
        if upper == len(table):
            return table[-1].s_g
        if upper == 0 or table[upper].load_g == load_g:
            return table[upper].s_g
        return max(table[upper - 1].s_g, table[upper].s_g)

    def u_eccentric(self, load_g: float) -> float:
        """Return the standard uncertainty of a load put off the middle, in g."""
        if self.eccentricity is None:
            return 0.0
        share = abs(load_g) / (2 * self.eccentricity.load_g * ROOT_3)
        return share * self.eccentricity.max_diff_g

    @property
    def u_round_g(self) -> float:
        """Return the standard uncertainty of rounding at load (GUM F.2.2.1)."""
        return self.d_g / ROOT_12

    @property
    def u_zero_g(self) -> float:
        """Return the standard uncertainty of rounding at zero."""
        return self.d0_g / ROOT_12

    @property
    def u_drift_g(self) -> float:
        """Return the standard uncertainty of drift: a rectangle of half width drift_g."""
        return self.drift_g / ROOT_3


def check_certificate(points: Sequence[CertificatePoint]) -> None:
    """Refuse points out of order or doubled, and a U or k that isn't above zero."""
    for i, point in enumerate(points):
        _check_number(f"certificate/{i}/load_g", point.load_g)
        _check_number(f"certificate/{i}/U_g", point.U_g, above=True)
        _check_number(f"certificate/{i}/k", point.k, above=True)
        if not math.isfinite(point.error_g):
            _refuse(f"certificate/{i}/error_g", "a finite number", str(point.error_g))
    _check_order("certificate", [point.load_g for point in points])


def _check_repeatability(s_g: float | tuple[Repeatability, ...]) -> None:
    if isinstance(s_g, int | float):
        _check_number("s_g", s_g)
        return
    if not s_g:
        _refuse("s_g", "at least one load", "none")
    for i, row in enumerate(s_g):
        _check_number(f"s_g/{i}/0", row.load_g)
        _check_number(f"s_g/{i}/1", row.s_g)
    _check_order("s_g", [row.load_g for row in s_g])


def _check_order(name: str, loads: Sequence[float]) -> None:
    for i, (before, after) in enumerate(pairwise(loads), start=1):
        if after <= before:
            word = "the same load twice" if after == before else "loads out of order"
            field = f"{name}/{i}/load_g" if name == "certificate" else f"{name}/{i}/0"
            _refuse(field, f"a load above {before:g} g", f"{after:g} g ({word})")


def _check_number(field: str, value: float, *, above: bool = False) -> None:
    wanted = "a number above 0" if above else "a number of at least 0"
    if not math.isfinite(value) or value < 0 or (above and value == 0):
        _refuse(field, wanted, f"{value:g}")


def _refuse(field: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
