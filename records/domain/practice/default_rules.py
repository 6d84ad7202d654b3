"""What a new shop starts with; it edits all of it, as new versions (common practice, no source)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class ToleranceDefault:
    """Tolerances as greatest minus least; `guard_r` widens the guard band to r·U."""

    name: str
    set_g: Decimal
    big_end_g: Decimal
    whole_rod_g: Decimal
    guard_r: Decimal
    readings: int
    hangings: int


TOLERANCES: tuple[ToleranceDefault, ...] = (
    ToleranceDefault("street", Decimal(1), Decimal(1), Decimal(1), Decimal(0), 2, 2),
    ToleranceDefault(
        "competition", Decimal("0.5"), Decimal("0.5"), Decimal("0.5"), Decimal(1), 2, 3
    ),
)

OIL_G = Decimal(5)
FRACTION = Decimal("0.50")
BOB_RANGE_G = Decimal("0.5")

# Standard uncertainty of the contact at each end, per hanging, until double hangings give it.
CONTACT_MM = Decimal("0.03")
