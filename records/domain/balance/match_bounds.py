"""What no arrangement can beat: lower bounds for spread and for metal removed.

Four facts: the j sets that hold the j heaviest parts of one kind weigh at least those parts plus
the j lightest of every other kind (j = 1 is the heaviest part, j = n the mean); for few sets the
best way of sharing those lightest out can be tried in full; a set's total lies on the grid of the
parts' common step; of two kinds alone, opposite sort has both the least maximum and the greatest
minimum (pigeonhole).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations

from records.domain.balance.match_problem import Problem

_SHARES_TRIED = 1500


@dataclass(frozen=True)
class Bounds:
    """The least possible spread and removal, in whole steps."""

    spread: int
    removed: int


def bounds(problem: Problem) -> Bounds:
    """Give lower bounds for the least spread and for the least metal removed."""
    kinds = _with_whole_ties(problem)
    n = problem.places
    light = [sorted(of_kind)[:n] for of_kind in kinds]
    heavy = [sorted(of_kind)[-n:] for of_kind in kinds]
    grid = _Grid(kinds)
    heaviest_sums = _heaviest_sums(light, n)
    lightest_sums = [-s for s in _heaviest_sums([_negated(k) for k in heavy], n)]
    top = max(grid.up(-(-total // (j + 1))) for j, total in enumerate(heaviest_sums))
    bottom = min(grid.down(total // (j + 1)) for j, total in enumerate(lightest_sums))
    top = max(top, _least_peak(light))
    bottom = min(bottom, -_least_peak([_negated(k) for k in heavy]))
    for total_light, total_heavy in _blocks_alone(problem):
        top, bottom = max(top, total_light), min(bottom, total_heavy)
    if len(kinds) == 2 and not problem.has_spare:
        pairs = [a + b for a, b in zip(light[0], reversed(light[1]), strict=True)]
        top, bottom = max(top, *pairs), min(bottom, *pairs)
    edge = bottom + problem.tolerance
    removed = max(total - (j + 1) * edge for j, total in enumerate(heaviest_sums))
    return Bounds(max(0, top - bottom), max(0, removed, top - edge))


def _heaviest_sums(kinds: Sequence[Sequence[int]], n: int) -> list[int]:
    """Give, for j = 1 … n, the least that the j heaviest sets can weigh together."""
    from_below = [_running(of_kind) for of_kind in kinds]
    everyone = [sum(of_kind[j] for of_kind in from_below) for j in range(n)]
    return [
        everyone[j]
        + max(
            (below[-1] - (below[n - j - 2] if j + 1 < n else 0)) - below[j] for below in from_below
        )
        for j in range(n)
    ]


def _least_peak(kinds: Sequence[Sequence[int]]) -> int:
    """Give the least maximum that the sets with the j heaviest parts of one kind can have.

    They do best with the j lightest of every other kind, since a lighter part in place of a
    heavier one raises no set; how those are shared out is tried in full where that is little work.
    """
    peaks: list[int] = []
    for j in range(1, len(kinds[0]) + 1):
        if math.factorial(j) ** (len(kinds) - 1) > _SHARES_TRIED:
            break
        for k, of_kind in enumerate(kinds):
            states = {tuple(of_kind[-j:])}
            for other in (*kinds[:k], *kinds[k + 1 :]):
                states = {
                    tuple(sorted(a + b for a, b in zip(state, share, strict=True)))
                    for state in states
                    for share in permutations(other[:j])
                }
            peaks.append(min(max(state) for state in states))
    return max(peaks)


def _running(values: Sequence[int]) -> list[int]:
    sums, whole = [], 0
    for value in values:
        whole += value
        sums.append(whole)
    return sums


def _negated(of_kind: Sequence[int]) -> list[int]:
    return sorted(-mass for mass in of_kind)


def _with_whole_ties(problem: Problem) -> list[list[int]]:
    """Give the kinds, those tied to each other throughout taken as one kind."""
    kinds: list[list[int]] = []
    done = 0
    for mask in sorted({block.mask for block in problem.blocks}):
        alike = [block for block in problem.blocks if block.mask == mask]
        members = [k for k in range(problem.kinds) if mask >> k & 1]
        whole = all(len(problem.masses[k]) == len(alike) for k in members)
        if len(members) > 1 and whole and not mask & done:
            kinds.append([sum(problem.masses[k][i] for k, i in block.parts) for block in alike])
            done |= mask
    kinds.extend(list(m) for k, m in enumerate(problem.masses) if not done >> k & 1)
    return kinds


def _blocks_alone(problem: Problem) -> list[tuple[int, int]]:
    """Give the least and most that the set around each block that must be used can weigh."""
    ends = []
    for block in problem.blocks:
        must = block.place is not None or any(
            len(problem.masses[k]) == problem.places for k, _ in block.parts
        )
        if must:
            own = sum(problem.masses[k][i] for k, i in block.parts)
            rest = [m for k, m in enumerate(problem.masses) if not block.mask >> k & 1]
            ends.append((own + sum(min(m) for m in rest), own + sum(max(m) for m in rest)))
    return ends


class _Grid:
    """The steps on which every set's total lies."""

    def __init__(self, kinds: Sequence[Sequence[int]]) -> None:
        self.base = sum(of_kind[0] for of_kind in kinds)
        self.step = math.gcd(*(mass - of_kind[0] for of_kind in kinds for mass in of_kind)) or 1

    def up(self, value: int) -> int:
        """Give the least grid point at or above."""
        return value + (self.base - value) % self.step

    def down(self, value: int) -> int:
        """Give the greatest grid point at or below."""
        return value - (value - self.base) % self.step
