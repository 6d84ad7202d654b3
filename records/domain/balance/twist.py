"""Twist of a lumped shaft: natural frequencies, shapes and the speeds where an order meets them.

K·v = ω²·J·v for inertias J on a free shaft of springs k. Such a shaft always has one root at zero
(it turns as a whole), which is set to exactly 0 and never found as the root of a small negative
number. The others come from the springs' side, k·B·J⁻¹·Bᵀ, which has no zero root, by Jacobi's
rotations. An aid: the choice of a damper is its maker's and an engineer's.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from records.domain.balance.possible import above_zero
from records.domain.errors import BadValue, Code

MOST_INERTIAS = 40
ORDERS = tuple(half / 2 for half in range(1, 25))  # 0.5 … 12, the orders of four strokes
_SWEEPS = 60
_TOO_SMALL = 1e-10  # of the largest ω²: below it the digits left by floats are few


@dataclass(frozen=True)
class Node:
    """A place that stands still: on which shaft (from 0), and how far along it, 0 … 1."""

    shaft: int
    share: float


@dataclass(frozen=True)
class Mode:
    """A natural frequency and how far each inertia swings in it, the first taken as 1."""

    frequency_Hz: float
    shape: tuple[float, ...]

    @property
    def nodes(self) -> tuple[Node, ...]:
        """Give where the shaft stands still between two inertias."""
        pairs = zip(self.shape, self.shape[1:], strict=False)
        return tuple(Node(i, a / (a - b)) for i, (a, b) in enumerate(pairs) if a * b < 0)

    def critical_rpm(self, order: float) -> float:
        """Give the speed at which an order excites this mode: 60·f/order."""
        return 60 * self.frequency_Hz / order


def twist_modes(inertias_kgm2: Sequence[float], stiffness_Nm_rad: Sequence[float]) -> list[Mode]:
    """Return the modes from the lowest, the first at 0 Hz with all inertias alike.

    stiffness_Nm_rad holds one shaft between each inertia and the next. Raises BadValue for values
    that can't be and lists that don't fit together.
    """
    _check(inertias_kgm2, stiffness_Nm_rad)
    inertias, springs = list(inertias_kgm2), list(stiffness_Nm_rad)
    squares, vectors = _jacobi(_springs_matrix(inertias, springs))
    if min(squares) <= _TOO_SMALL * max(squares):
        raise _too_far_apart()
    modes = [Mode(0.0, (1.0,) * len(inertias))]
    for i in sorted(range(len(squares)), key=squares.__getitem__):
        torques = [math.sqrt(k) * row[i] for k, row in zip(springs, vectors, strict=True)]
        modes.append(Mode(math.sqrt(squares[i]) / (2 * math.pi), _shape(inertias, torques)))
    return modes


def shaft_stiffness(*, diameter_mm: float, length_mm: float, shear_modulus_GPa: float) -> float:
    """Give the torsional stiffness of a round solid shaft in N·m/rad: G·π·d⁴/(32·l)."""
    above_zero("diameter_mm", diameter_mm)
    above_zero("length_mm", length_mm)
    above_zero("shear_modulus_GPa", shear_modulus_GPa)
    return shear_modulus_GPa * math.pi * diameter_mm**4 / (32 * length_mm)


def _springs_matrix(inertias: list[float], springs: list[float]) -> list[list[float]]:
    """Give √K·B·J⁻¹·Bᵀ·√K, B the differences along the shaft: its eigenvalues are ω² above 0."""
    size = len(springs)
    matrix = [[0.0] * size for _ in range(size)]
    for i, k in enumerate(springs):
        matrix[i][i] = k * (1 / inertias[i] + 1 / inertias[i + 1])
        if i + 1 < size:
            off = -math.sqrt(k * springs[i + 1]) / inertias[i + 1]
            matrix[i][i + 1] = matrix[i + 1][i] = off
    return matrix


def _shape(inertias: list[float], torques: list[float]) -> tuple[float, ...]:
    """Give the swing of each inertia, J·ω²·θ = torque behind it − torque before it, first = 1."""
    padded = [0.0, *torques, 0.0]
    swings = [(padded[i + 1] - padded[i]) / j for i, j in enumerate(inertias)]
    if swings[0] == 0:
        raise _too_far_apart()
    return tuple(swing / swings[0] for swing in swings)


def _jacobi(matrix: list[list[float]]) -> tuple[list[float], list[list[float]]]:
    """Give the eigenvalues of a symmetric matrix and its eigenvectors as columns, by rotations."""
    size = len(matrix)
    vectors = [[float(i == j) for j in range(size)] for i in range(size)]
    for _ in range(_SWEEPS):
        turned = False
        for p in range(size - 1):
            for q in range(p + 1, size):
                turned = _rotate(matrix, vectors, p, q) or turned
        if not turned:
            return [matrix[i][i] for i in range(size)], vectors
    raise _too_far_apart()


def _rotate(matrix: list[list[float]], vectors: list[list[float]], p: int, q: int) -> bool:
    """Turn rows and columns p and q so that they part; say whether there was anything to turn."""
    off = matrix[p][q]
    if abs(off) <= 1e-17 * math.sqrt(abs(matrix[p][p] * matrix[q][q])):
        matrix[p][q] = matrix[q][p] = 0.0
        return False
    ratio = (matrix[q][q] - matrix[p][p]) / (2 * off)
    tangent = math.copysign(1 / (abs(ratio) + math.hypot(1, ratio)), ratio)
    cosine = 1 / math.hypot(1, tangent)
    sine = tangent * cosine
    matrix[p][p] -= tangent * off
    matrix[q][q] += tangent * off
    matrix[p][q] = matrix[q][p] = 0.0
    for i in range(len(matrix)):
        if i not in (p, q):
            a, b = matrix[i][p], matrix[i][q]
            matrix[i][p] = matrix[p][i] = cosine * a - sine * b
            matrix[i][q] = matrix[q][i] = sine * a + cosine * b
        a, b = vectors[i][p], vectors[i][q]
        vectors[i][p], vectors[i][q] = cosine * a - sine * b, sine * a + cosine * b
    return True


def _check(inertias: Sequence[float], springs: Sequence[float]) -> None:
    if not 2 <= len(inertias) <= MOST_INERTIAS:
        raise _bad("inertias_kgm2", f"2 to {MOST_INERTIAS} inertias", str(len(inertias)))
    if len(springs) != len(inertias) - 1:
        expected = f"{len(inertias) - 1} shafts, one between each inertia and the next"
        raise _bad("stiffness_Nm_rad", expected, str(len(springs)))
    for i, inertia in enumerate(inertias):
        above_zero(f"inertias_kgm2/{i}", inertia)
    for i, spring in enumerate(springs):
        above_zero(f"stiffness_Nm_rad/{i}", spring)


def _too_far_apart() -> BadValue:
    return _bad("stiffness_Nm_rad", "values of one size", "values too far apart to part the modes")


def _bad(field: str, expected: str, got: str) -> BadValue:
    return BadValue(
        Code.OUT_OF_RANGE,
        f"expected {expected}, got {got}",
        field=field,
        expected=expected,
        got=got,
    )
