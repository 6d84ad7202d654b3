"""Check weights by class: the largest error that OIML R 111-1:2004, table 1, permits. g inside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from records.domain.errors import BadValue, Code

CLASSES = ("E2", "F1", "F2", "M1", "M2", "M3")
# Nominal in g: largest permissible error in mg, by class (OIML R 111-1:2004, table 1).
PERMITTED_MG: dict[int, tuple[str, ...]] = {
    1: ("0.03", "0.10", "0.3", "1.0", "3.0", "10"),
    2: ("0.04", "0.12", "0.4", "1.2", "4.0", "12"),
    5: ("0.05", "0.16", "0.5", "1.6", "5.0", "16"),
    10: ("0.06", "0.20", "0.6", "2.0", "6.0", "20"),
    20: ("0.08", "0.25", "0.8", "2.5", "8.0", "25"),
    50: ("0.10", "0.3", "1.0", "3.0", "10", "30"),
    100: ("0.16", "0.5", "1.6", "5.0", "16", "50"),
    200: ("0.3", "1.0", "3.0", "10", "30", "100"),
    500: ("0.8", "2.5", "8.0", "25", "80", "250"),
    1000: ("1.6", "5.0", "16", "50", "160", "500"),
    2000: ("3.0", "10", "30", "100", "300", "1000"),
    5000: ("8.0", "25", "80", "250", "800", "2500"),
}


@dataclass(frozen=True, slots=True)
class CheckWeight:
    """A check weight: known by its class, or by a certificate (mass_g, U_g at k)."""

    nominal_g: Decimal
    weight_class: str
    mass_g: Decimal | None = None
    U_g: float | None = None
    k: float = 2.0

    @property
    def reference_g(self) -> Decimal:
        """Return the mass to compare with: the certified one, else the nominal."""
        return self.nominal_g if self.mass_g is None else self.mass_g

    @property
    def u_g(self) -> float:
        """Return the standard uncertainty: U/k of the certificate, else MPE over root 3."""
        if self.U_g is None:
            return u_of_class(self.nominal_g, self.weight_class)
        if not (self.U_g > 0 and self.k > 0):
            raise BadValue(
                Code.OUT_OF_RANGE,
                f"expected U and k above 0, got U {self.U_g:g} and k {self.k:g}",
                field="U_g",
                expected="U and k above 0",
                got=f"U {self.U_g:g}, k {self.k:g}",
            )
        return self.U_g / self.k


@dataclass(frozen=True, slots=True)
class BuiltUp:
    """Several weights on the pan at once: their uncertainties add linearly."""

    mass_g: Decimal
    u_g: float
    U_g: float


def permitted_error(nominal_g: Decimal, weight_class: str) -> Decimal:
    """Return the largest permissible error of a weight, in g (OIML R 111-1:2004, table 1).

    Raise BadValue naming nominal_g or weight_class when the table doesn't hold it.
    """
    if weight_class not in CLASSES:
        raise _not_in_table("weight_class", ", ".join(CLASSES), weight_class)
    row = PERMITTED_MG.get(int(nominal_g)) if nominal_g == int(nominal_g) else None
    if row is None:
        known = ", ".join(str(nominal) for nominal in PERMITTED_MG)
        raise _not_in_table("nominal_g", known, str(nominal_g))
    return Decimal(row[CLASSES.index(weight_class)]) / 1000


def u_of_class(nominal_g: Decimal, weight_class: str) -> float:
    """Return the standard uncertainty of a weight known by its class alone, in g: MPE/√3."""
    return float(permitted_error(nominal_g, weight_class)) / math.sqrt(3)


def build_up(weights: Sequence[CheckWeight]) -> BuiltUp:
    """Return the mass of weights used together; what one maker got wrong he may get wrong twice."""
    if not weights:
        raise _not_in_table("weights", "at least one weight", "none")
    u_g = sum(weight.u_g for weight in weights)
    mass_g = sum((weight.reference_g for weight in weights), Decimal(0))
    return BuiltUp(mass_g, u_g, 2 * u_g)


def _not_in_table(field: str, known: str, got: str) -> BadValue:
    return BadValue(
        Code.BAD_VALUE,
        f"expected one of {known}, got {got}",
        field=field,
        expected=f"one of {known}",
        got=got,
    )
