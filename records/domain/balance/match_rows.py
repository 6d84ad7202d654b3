"""Lay the parts out in rows: one a set, then the bench. Blocks whole, fixed parts in place."""

from __future__ import annotations

import random

from records.domain.balance.match_problem import Block, Problem, Row
from records.domain.errors import BadValue, Code

_PATIENCE = 20_000  # steps back before tied parts are said not to fit


def blocks_laid_out(problem: Problem) -> tuple[list[Row], list[Block]]:
    """Place every block in a row, or on the bench where spare parts allow it.

    Returns the rows of the sets, else empty, and the blocks left over. Raises BadValue when the
    tied and fixed parts can't all be placed.
    """
    rows: list[Row] = [[None] * problem.kinds for _ in range(problem.places)]
    spare = [len(of_kind) - problem.places for of_kind in problem.masses]
    for block in problem.blocks:
        if block.place is not None:
            _put(rows[block.place], block)
    laying = _Laying(rows, spare)
    loose = sorted(
        (block for block in problem.blocks if block.place is None),
        key=lambda block: (-len(block.parts), block.parts),
    )
    if not laying.place(loose):
        raise BadValue(
            Code.BAD_VALUE,
            "the tied and fixed parts can't all find a place together; untie some of them",
            field="tied",
            expected="groups that fit in the places",
            got=f"{len(problem.blocks)} groups",
        )
    return rows, laying.bench


class _Laying:
    """Blocks being placed one after the other, with steps back where one finds no place."""

    def __init__(self, rows: list[Row], spare: list[int]) -> None:
        self.rows, self.spare = rows, spare
        self.bench: list[Block] = []
        self.patience = _PATIENCE

    def place(self, loose: list[Block]) -> bool:
        """Place these blocks, in sets before the bench; tell whether all found a place."""
        self.patience -= 1
        if not loose or self.patience < 0:
            return not loose
        return self._in_a_set(loose[0], loose[1:]) or self._on_the_bench(loose[0], loose[1:])

    def _in_a_set(self, block: Block, rest: list[Block]) -> bool:
        tried: list[list[bool]] = []
        for row in self.rows:
            filled = [i is not None for i in row]
            if filled in tried or any(filled[kind] for kind, _ in block.parts):
                continue
            tried.append(filled)
            _put(row, block)
            if self.place(rest):
                return True
            for kind, _ in block.parts:
                row[kind] = None
        return False

    def _on_the_bench(self, block: Block, rest: list[Block]) -> bool:
        kinds = [kind for kind, _ in block.parts]
        if not all(self.spare[kind] > 0 for kind in kinds):
            return False
        self.bench.append(block)
        for kind in kinds:
            self.spare[kind] -= 1
        if self.place(rest):
            return True
        self.bench.pop()
        for kind in kinds:
            self.spare[kind] += 1
        return False


def filled_rows(
    problem: Problem, start: tuple[list[Row], list[Block]], chance: random.Random | None
) -> list[Row]:
    """Fill the rows up with the free parts: folded, widest spread first, or at random.

    Folding gives the heaviest of the next kind to the lightest set so far. What is left over
    follows as bench rows.
    """
    rows = [list(row) for row in start[0]]
    order = sorted(range(problem.kinds), key=lambda k: (-_width(problem, k), k))
    unused: dict[int, list[int]] = {}
    for kind in order:
        free = [i for i in range(len(problem.masses[kind])) if (kind, i) not in problem.block_of]
        empty = [row for row in rows if row[kind] is None]
        taken = _chosen(problem, kind, free, len(empty), chance)
        if chance is None:
            empty.sort(key=problem.total)
        for row, part in zip(empty, taken, strict=True):
            row[kind] = part
        unused[kind] = [i for i in free if i not in taken]
    left = [unused[kind] for kind in range(problem.kinds)]
    return rows + _bench(problem, start[1], left)


def _chosen(
    problem: Problem, kind: int, free: list[int], count: int, chance: random.Random | None
) -> list[int]:
    """Pick as many free parts as are needed, heaviest first: the run of least spread, or any."""
    if chance is not None:
        return chance.sample(free, count)
    mass = problem.masses[kind]
    by_mass = sorted(free, key=lambda i: (-mass[i], i))
    if count == 0:
        return []
    runs = range(len(by_mass) - count + 1)
    first = min(runs, key=lambda i: (mass[by_mass[i]] - mass[by_mass[i + count - 1]], i))
    return by_mass[first : first + count]


def _bench(problem: Problem, blocks: list[Block], left: list[list[int]]) -> list[Row]:
    bench: list[Row] = []
    for block in blocks:
        row: Row = [None] * problem.kinds
        _put(row, block)
        bench.append(row)
    for kind, parts in enumerate(left):
        empty = [row for row in bench if row[kind] is None]
        while len(empty) < len(parts):
            bench.append([None] * problem.kinds)
            empty.append(bench[-1])
        for row, part in zip(empty, parts, strict=False):
            row[kind] = part
    return bench


def _put(row: Row, block: Block) -> None:
    for kind, index in block.parts:
        row[kind] = index


def _width(problem: Problem, kind: int) -> int:
    return max(problem.masses[kind]) - min(problem.masses[kind])
