"""Prove small matchings: build the sets one after the other, give up only what can't be better.

A set once complete never lowers the key of the whole, so a part-built arrangement whose key isn't
below the best known is dropped. Within the allowed number of steps this either ends, and the best
known is the best there is, or it doesn't, and nothing is claimed.
"""

from __future__ import annotations

from collections.abc import Iterator

from records.domain.balance.match_problem import Key, Problem, Row


class _StepsSpentError(Exception):
    """More steps than were allowed."""


def proven_best(
    problem: Problem, rows: list[Row], *, short_first: bool, steps: int
) -> tuple[list[Row], bool]:
    """Give the best rows known and whether they are proven to be the best there are."""
    proof = _Proof(problem, rows, short_first, steps)
    try:
        proof.build(0)
    except _StepsSpentError:
        return proof.best, False
    return proof.best, True


class _Proof:
    def __init__(self, problem: Problem, rows: list[Row], short_first: bool, steps: int) -> None:
        self.problem, self.short_first, self.steps = problem, short_first, steps
        self.best = rows
        self.best_key: Key = problem.key_of(rows, short_first)
        self.fixed = {b.place: b for b in problem.blocks if b.place is not None}
        # fixed places first; the others have no name, so they are built in one order only
        self.order = sorted(range(problem.places), key=lambda place: place not in self.fixed)
        self.pivot = min(range(problem.kinds), key=lambda k: (len(problem.masses[k]), k))
        self.used: set[tuple[int, int]] = {
            part for block in self.fixed.values() for part in block.parts
        }
        self.rows: list[Row] = []
        self.totals: list[int] = []
        self.rooms: list[int | None] = []
        self.last_pivot = -1

    def build(self, depth: int) -> None:
        """Complete the set at this depth in every way, then go on to the next."""
        problem = self.problem
        if depth == problem.places:
            by_place = sorted(zip(self.order, self.rows, strict=True), key=lambda pair: pair[0])
            self.best = [list(row) for _, row in by_place]
            self.best_key = problem.key(self.totals, self.rooms, self.short_first)
            return
        row: Row = [None] * problem.kinds
        fixed = self.fixed.get(self.order[depth])
        if fixed:
            for kind, index in fixed.parts:
                row[kind] = index
        last, named = self.last_pivot, fixed is not None
        for _ in self._completed(row, named):
            self.rows.append(row)
            self.totals.append(problem.total(row))
            self.rooms.append(problem.room(row))
            if problem.key(self.totals, self.rooms, self.short_first) < self.best_key:
                if not named:
                    self.last_pivot = row[self.pivot] or 0
                self.build(depth + 1)
                self.last_pivot = last
            self.rows.pop()
            self.totals.pop()
            self.rooms.pop()

    def _completed(self, row: Row, named: bool) -> Iterator[None]:
        """Fill the row's empty kinds in every way allowed, yielding at each, then undo."""
        if None not in row:
            yield
            return
        kind = self.pivot if row[self.pivot] is None else row.index(None)
        for parts in self._choices(row, kind, named):
            self.steps -= 1
            if self.steps < 0:
                raise _StepsSpentError
            for k, index in parts:
                row[k] = index
                self.used.add((k, index))
            yield from self._completed(row, named)
            for k, index in parts:
                row[k] = None
                self.used.discard((k, index))

    def _choices(self, row: Row, kind: int, named: bool) -> list[tuple[tuple[int, int], ...]]:
        """Give what may fill this kind: a free part, or a block whose kinds are all empty."""
        problem = self.problem
        ordered = kind == self.pivot and not named
        free = [
            index
            for index in range(self.last_pivot + 1 if ordered else 0, len(problem.masses[kind]))
            if (kind, index) not in self.used
        ]
        if ordered:  # those after it must still be enough for the sets that follow
            free = free[: max(0, len(free) - (problem.places - len(self.rows)) + 1)]
        choices = []
        for index in free:
            block = problem.block_of.get((kind, index))
            parts = block.parts if block else ((kind, index),)
            if all(row[k] is None for k, _ in parts):
                choices.append(parts)
        return choices
