"""Scatter pooled from many small groups of readings, each about its own mean.

s² = Σ(n−1)s² / Σ(n−1) (NIST/SEMATECH e-Handbook 2.3.3.2.1 for check standards); the interval of s
from chi-square (e-Handbook 7.2.3.1). A group is told reading by reading, so that nothing is kept.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from records.domain.measure.chi_square import chi_square_quantile

PROBABILITY = 0.95
# Fewer say too little of anyone: with 10 the interval is 0.70 to 1.75 times s (chi-square, 95 %).
FEWEST = 10


@dataclass(slots=True)
class Group:
    """Readings of one thing as they come: how many, their mean, and squares about it (Welford)."""

    n: int = 0
    mean_g: float = 0.0
    squares: float = 0.0

    def add(self, value_g: float) -> None:
        """Take one reading in."""
        self.n += 1
        before = value_g - self.mean_g
        self.mean_g += before / self.n
        self.squares += before * (value_g - self.mean_g)


@dataclass(slots=True)
class Pool:
    """Groups taken together."""

    groups: int = 0
    freedom: int = 0
    squares: float = 0.0
    loads_g: float = 0.0

    def add(self, group: Group) -> None:
        """Take a group in; one of a single reading says nothing of scatter."""
        if group.n < 2:
            return
        self.groups += 1
        self.freedom += group.n - 1
        self.squares += group.squares
        self.loads_g += group.mean_g

    def join(self, other: Pool) -> None:
        """Take another pool's groups in."""
        self.groups += other.groups
        self.freedom += other.freedom
        self.squares += other.squares
        self.loads_g += other.loads_g

    @property
    def tells(self) -> bool:
        """Say whether there are enough readings to show."""
        return self.freedom >= FEWEST

    @property
    def s_g(self) -> float:
        """Return the pooled standard deviation of one reading, in g; 0 for an empty pool."""
        return math.sqrt(self.squares / self.freedom) if self.freedom else 0.0

    @property
    def load_g(self) -> float:
        """Return the mean load of the groups, in g; 0 for an empty pool."""
        return self.loads_g / self.groups if self.groups else 0.0


def interval(s: float, nu: int, p: float = PROBABILITY) -> tuple[float, float]:
    """Return between which bounds sigma lies with probability p, from s with nu of freedom."""
    high, low = chi_square_quantile((1 - p) / 2, nu), chi_square_quantile((1 + p) / 2, nu)
    return s * math.sqrt(nu / low), s * math.sqrt(nu / high)
