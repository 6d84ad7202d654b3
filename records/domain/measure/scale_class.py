"""The accuracy class of a scale (OIML R 76-1:2006, tables 3 and 6): steps, loads, permitted errors.

All of it goes by e, the verification step, never by d, the step shown: a class II scale often
has e = 10 d. Masses in g, exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import NoReturn

from records.domain.errors import BadValue, Code


@dataclass(frozen=True, slots=True)
class ClassRow:
    """A row of table 3 with the steps of table 6: e from … to, numbers of e, loads in e."""

    name: str
    least_e_g: Decimal
    most_e_g: Decimal | None
    fewest_steps: int
    most_steps: int | None
    smallest_load_e: int
    half_e_to: int
    one_e_to: int

    def has_step(self, e_g: Decimal) -> bool:
        """Say whether a verification step lies in this row."""
        return self.least_e_g <= e_g and (self.most_e_g is None or e_g <= self.most_e_g)

    def has_steps(self, number: Decimal) -> bool:
        """Say whether a scale with so many steps may be of this class."""
        return number >= self.fewest_steps and (
            self.most_steps is None or number <= self.most_steps
        )


TABLE = (
    ClassRow("I", Decimal("0.001"), None, 50_000, None, 100, 50_000, 200_000),
    ClassRow("II", Decimal("0.001"), Decimal("0.05"), 100, 100_000, 20, 5_000, 20_000),
    ClassRow("II", Decimal("0.1"), None, 5_000, 100_000, 50, 5_000, 20_000),
    ClassRow("III", Decimal("0.1"), Decimal(2), 100, 10_000, 20, 500, 2_000),
    ClassRow("III", Decimal(5), None, 500, 10_000, 20, 500, 2_000),
    ClassRow("IIII", Decimal(5), None, 100, 1_000, 10, 50, 200),
)
CLASSES = ("I", "II", "III", "IIII")


def class_row(accuracy_class: str, e_g: Decimal) -> ClassRow:
    """Return the row of a class for a verification step.

    Raise BadValue naming accuracy_class or e_g when the table has none.
    """
    if accuracy_class not in CLASSES:
        _refuse("accuracy_class", f"one of {', '.join(CLASSES)}", accuracy_class)
    rows = [row for row in TABLE if row.name == accuracy_class]
    found = next((row for row in rows if row.has_step(e_g)), None)
    if found is None:
        ranges = " or ".join(
            f"from {row.least_e_g} g" + (f" to {row.most_e_g} g" if row.most_e_g else "")
            for row in rows
        )
        _refuse("e_g", f"a step that class {accuracy_class} has ({ranges})", f"{e_g} g")
    return found


def classes_of(max_g: Decimal, e_g: Decimal) -> tuple[str, ...]:
    """Return the classes that a scale with this capacity and step may have, the finest first."""
    steps = _steps(max_g, e_g)
    return tuple(row.name for row in TABLE if row.has_step(e_g) and row.has_steps(steps))


def smallest_load(accuracy_class: str, e_g: Decimal) -> Decimal:
    """Return the smallest load that the class allows, in g (table 3)."""
    return class_row(accuracy_class, e_g).smallest_load_e * e_g


def permitted_error(
    load_g: Decimal, *, accuracy_class: str, e_g: Decimal, in_service: bool = False
) -> Decimal:
    """Return the largest permitted error at a load, in g (table 6); in service twice that (3.5.2).

    Upper bounds belong to the smaller error. Raise BadValue above the most steps of the class.
    """
    row = class_row(accuracy_class, e_g)
    if not load_g.is_finite() or load_g < 0:
        _refuse("load_g", "0 or more", str(load_g))
    steps = _steps(load_g, e_g)
    if row.most_steps is not None and steps > row.most_steps:
        _refuse("load_g", f"at most {row.most_steps * e_g} g ({row.most_steps} e)", f"{load_g} g")
    if steps <= row.half_e_to:
        share = Decimal("0.5")
    else:
        share = Decimal(1) if steps <= row.one_e_to else Decimal("1.5")
    return (2 if in_service else 1) * share * e_g


def indication_before_rounding(shown_g: Decimal, *, e_g: Decimal, added_g: Decimal) -> Decimal:
    """Return what a scale would show without rounding: I + e/2 − ΔL (A.4.4.3).

    added_g is the small weight that made the indication change to the next step.
    """
    return shown_g + e_g / 2 - added_g


def _steps(load_g: Decimal, e_g: Decimal) -> Decimal:
    if not e_g.is_finite() or e_g <= 0:
        _refuse("e_g", "a step above 0", str(e_g))
    return load_g / e_g


def _refuse(field: str, expected: str, got: str) -> NoReturn:
    raise BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
