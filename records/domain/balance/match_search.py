"""Search a good arrangement: fold, then exchange parts between two sets, with kicks and restarts.

For two sets every swap of kinds is tried that leaves ties and fixed parts alone; the one that
narrows the two most is kept. The variance of the totals falls each time, so it ends. A kick then
shuffles parts between the heaviest, the lightest and one other set. Chance is seeded, and only
what is strictly better replaces what was found, so equal questions get equal answers.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import lru_cache

from records.domain.balance.match_problem import Key, Problem, Row
from records.domain.balance.match_rows import blocks_laid_out, filled_rows

_SEED = 20231
_KICKS_BEFORE_RESTART = 150
_ALL_SWAPS_UP_TO = 8  # kinds; with more, swaps of one, two, or all but that many kinds


class Arrangement:
    """Rows of parts with their totals, changed by swaps that keep blocks whole."""

    def __init__(self, problem: Problem, rows: list[Row]) -> None:
        self.problem = problem
        self.rows = rows
        self.sets = problem.places
        self.totals = [problem.total(row) for row in rows]
        self.whole = sum(self.totals[: self.sets])
        self.looks = 0  # pairs looked at: the measure of work done

    def swaps(self, a: int, b: int) -> tuple[int, ...]:
        """Give the groups of kinds (as bits) that rows a and b may swap."""
        problem, kinds = self.problem, self.problem.kinds
        if not problem.blocks and b < self.sets:
            return _masks(kinds, frozenset(), 0)
        closed: set[int] = set()
        shut = 0
        for k, pair in enumerate(zip(self.rows[a], self.rows[b], strict=True)):
            for part in pair:
                block = None if part is None else problem.block_of.get((k, part))
                if part is None or (block and block.place is not None):
                    shut |= 1 << k
                elif block:
                    closed.add(block.mask)
        return _masks(kinds, frozenset(closed), shut)

    def swap(self, a: int, b: int, mask: int) -> None:
        """Swap the kinds of this mask between rows a and b."""
        one, two = self.rows[a], self.rows[b]
        for k in range(self.problem.kinds):
            if mask >> k & 1:
                one[k], two[k] = two[k], one[k]
        for i in (a, b):
            total = self.problem.total(self.rows[i])
            if i < self.sets:
                self.whole += total - self.totals[i]
            self.totals[i] = total

    def changes(self, a: int, b: int) -> list[int]:
        """Give, for each mask of kinds, what row a loses when a and b swap them."""
        sums = [0]
        for of_kind, i, j in zip(self.problem.masses, self.rows[a], self.rows[b], strict=True):
            step = 0 if i is None or j is None else of_kind[i] - of_kind[j]
            sums += [s + step for s in sums]
        return sums

    def narrow(self, a: int, b: int) -> bool:
        """Make the swap between set a and row b that lowers the variance most, if any does."""
        self.looks += 1
        masks = self.swaps(a, b)
        if not masks:
            return False
        change = self.changes(a, b)
        if b < self.sets:
            apart = self.totals[a] - self.totals[b]
            best = min(masks, key=lambda m: abs(apart - 2 * change[m]))
            better = abs(apart - 2 * change[best]) < abs(apart)
        else:
            # n²·variance = n·Σs² − (Σs)²; the part from the bench changes both sums
            n, total, whole = self.sets, self.totals[a], self.whole
            cost = [c * (n * (c - 2 * total) - (c - 2 * whole)) for c in change]
            best = min(masks, key=cost.__getitem__)
            better = cost[best] < 0
        if better:
            self.swap(a, b, best)
        return better

    def settle(self, touched: set[int]) -> None:
        """Narrow pairs around the touched rows until none can be narrowed."""
        while touched:
            a = min(touched)
            touched.discard(a)
            for b in range(len(self.rows)):
                one, two = min(a, b), max(a, b)
                if one != two and one < self.sets and self.narrow(one, two):
                    touched |= {one, two}

    def kick(self, chance: random.Random) -> set[int]:
        """Swap parts at random between the extreme sets and others; give the rows touched."""
        sets = self.totals[: self.sets]
        rows = {sets.index(max(sets)), sets.index(min(sets)), chance.randrange(len(self.rows))}
        if chance.random() < 0.5:
            rows.add(chance.randrange(self.sets))
        among = sorted(rows)
        for _ in range(2 * len(among)):
            a, b = sorted(chance.choices(among, k=2))
            masks = self.swaps(a, b) if a != b and a < self.sets else ()
            if masks:
                self.swap(a, b, chance.choice(masks))
        return rows


@lru_cache(maxsize=4096)
def _masks(kinds: int, closed: frozenset[int], shut: int) -> tuple[int, ...]:
    """Give the masks that take none of the shut kinds and each closed group whole or not at all."""
    every = range(1, 1 << kinds)
    if not closed and not shut:
        every = range(1, 1 << (kinds - 1))  # swapping the rest instead is the same
    few = kinds <= _ALL_SWAPS_UP_TO
    return tuple(
        mask
        for mask in every
        if not mask & shut
        and (few or min(mask.bit_count(), kinds - mask.bit_count()) <= 2)
        and all(mask & group in (0, group) for group in closed)
    )


def search(
    problem: Problem, *, goal: int, looks: int, short_first: bool = False
) -> tuple[list[Row], Key]:
    """Find a good arrangement with at most about `looks` pairs looked at.

    Ends early when nothing is short and the aim reaches `goal`. Returns the rows of the sets and
    their key (see Problem.key).
    """
    chance = random.Random(_SEED)  # noqa: S311  # a search, not a secret
    start = blocks_laid_out(problem)
    rows = filled_rows(problem, start, None)
    best = _copied(rows[: problem.places])
    best_key = problem.key_of(best, short_first)

    def reached(key: Key) -> bool:
        return key == ((0, goal, key[2]) if short_first else (goal, 0, key[2]))

    done = 0
    while done < looks and not reached(best_key):
        arrangement = Arrangement(problem, rows)
        key = _improve(arrangement, chance, looks - done, short_first, reached)
        done += arrangement.looks + 1
        if key < best_key:
            best, best_key = _copied(arrangement.rows[: problem.places]), key
        rows = filled_rows(problem, start, chance)
    return best, best_key


def _improve(
    arrangement: Arrangement,
    chance: random.Random,
    looks: int,
    short_first: bool,
    reached: Callable[[Key], bool],
) -> Key:
    """Settle, then kick and settle again while that helps within the work allowed."""
    problem, n = arrangement.problem, arrangement.sets
    arrangement.settle(set(range(n)))
    key = problem.key_of(arrangement.rows[:n], short_first)
    in_vain = 0
    while in_vain < _KICKS_BEFORE_RESTART and arrangement.looks < looks and not reached(key):
        rows, totals = _copied(arrangement.rows), list(arrangement.totals)
        whole = arrangement.whole
        arrangement.settle(arrangement.kick(chance))
        new = problem.key_of(arrangement.rows[:n], short_first)
        in_vain = 0 if new < key else in_vain + 1
        if new <= key:
            key = new
        else:
            arrangement.rows, arrangement.totals, arrangement.whole = rows, totals, whole
    return key


def _copied(rows: list[Row]) -> list[Row]:
    return [list(row) for row in rows]
