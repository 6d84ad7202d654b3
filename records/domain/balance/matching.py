"""Mix and match: put parts of several kinds together so that the sets weigh alike.

Two aims: least spread, or least metal taken off until every set lies within the tolerance of the
lightest. They are not the same (three kinds can have their least spread at 15 g of metal and
their least metal at 11 g). Two kinds: opposite sort is best for both. Three and more: NP-hard
(Karp), small in practice; every answer comes with a bound that no arrangement can beat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from records.domain.balance.match_bounds import bounds
from records.domain.balance.match_given import Grouping, Kind, as_problem
from records.domain.balance.match_problem import Problem, Row
from records.domain.balance.match_proof import proven_best
from records.domain.balance.match_search import search

__all__ = ["Aim", "Grouping", "Kind", "Match", "MatchedSet", "match"]

# Pairs of sets looked at and steps of proof: at 16 places × 5 kinds about half a second in all.
_EFFORTS = ((1_000, 15_000), (30_000, 40_000))


class Aim(StrEnum):
    """What the arrangement is to make least."""

    SPREAD = "spread"
    METAL = "metal"


@dataclass(frozen=True)
class MatchedSet:
    """One place's parts, their total, what must come off, and what allowances can't give of it."""

    place: int
    parts: Mapping[str, int]
    total_g: Decimal
    remove_g: Decimal
    short_g: Decimal


@dataclass(frozen=True)
class Match:
    """An arrangement, with bounds that none can beat; `proven`: none reaches the aim better.

    Where allowances decide, that is: none of those that the allowances can finish.
    """

    aim: Aim
    sets: tuple[MatchedSet, ...]
    spread_g: Decimal
    removed_g: Decimal
    bound_spread_g: Decimal
    bound_removed_g: Decimal
    proven: bool

    @property
    def short_g(self) -> Decimal:
        """Give what the allowances can't give, over all sets."""
        return sum((s.short_g for s in self.sets), Decimal(0))


def match(
    kinds: Sequence[Kind],
    *,
    places: int,
    aim: Aim,
    tolerance_g: Decimal = Decimal(0),
    tied: Sequence[Mapping[str, int]] = (),
    fixed: Sequence[Grouping] = (),
) -> Match:
    """Choose which part of each kind goes to which place.

    Masses in g, exact decimals; stock may exceed the places; `tied` parts stay together (and are
    used together or not at all); `fixed` parts stand at their place (from 0). An arrangement that
    the allowances can finish goes before one that they can't; if none is found, the aim alone
    decides and `short_g` says what is missing. Equal questions get equal answers. Raises BadValue
    naming the key that can't be.
    """
    problem, steps_per_g = as_problem(
        kinds,
        places=places,
        tolerance_g=tolerance_g,
        tied=tied,
        fixed=fixed,
        for_spread=aim is Aim.SPREAD,
    )
    rows, proven = _best(problem)
    names = [kind.name for kind in kinds]
    return _answer(problem, _named_places(problem, rows), names, steps_per_g, proven)


def _best(problem: Problem) -> tuple[list[Row], bool]:
    """Find the best by the aim; where that leaves allowances short, one that they can finish."""
    least = bounds(problem)
    goal = least.spread if problem.for_spread else least.removed
    rows, proven = _best_by(problem, goal, short_first=False)
    if problem.limited and problem.key_of(rows)[1]:
        finished, certain = _best_by(problem, goal, short_first=True)
        if problem.key_of(finished, short_first=True)[0] == 0:
            return finished, certain
    return rows, proven


def _best_by(problem: Problem, goal: int, *, short_first: bool) -> tuple[list[Row], bool]:
    """Search a little and try to prove it, which settles small sets; else search longer."""
    rows: list[Row] = []
    for looks, steps in _EFFORTS:
        rows, key = search(problem, goal=goal, looks=looks, short_first=short_first)
        if key[:2] == ((0, goal) if short_first else (goal, 0)):
            return rows, True
        rows, proven = proven_best(problem, rows, short_first=short_first, steps=steps)
        if proven:
            return rows, True
    return rows, not short_first and problem.key_of(rows)[0] == goal


def _named_places(problem: Problem, rows: list[Row]) -> list[Row]:
    """Keep fixed rows where they are; give the others their places in the order of their parts."""
    held = {block.place for block in problem.blocks if block.place is not None}
    loose = iter(sorted((r for i, r in enumerate(rows) if i not in held), key=_indices))
    return [row if i in held else next(loose) for i, row in enumerate(rows)]


def _indices(row: Row) -> list[int]:
    return [-1 if i is None else i for i in row]


def _answer(
    problem: Problem,
    rows: list[Row],
    names: Sequence[str],
    steps_per_g: int,
    proven: bool,
) -> Match:
    def grams(steps: int) -> Decimal:
        return Decimal(steps) / steps_per_g

    totals = [problem.total(row) for row in rows]
    sets = []
    for place, (row, total, off) in enumerate(
        zip(rows, totals, problem.removals(totals), strict=True)
    ):
        room = problem.room(row)
        short = 0 if room is None else max(0, off - room)
        parts = dict(zip(names, _indices(row), strict=True))
        sets.append(MatchedSet(place, parts, grams(total), grams(off), grams(short)))
    least = bounds(problem)
    return Match(
        aim=Aim.SPREAD if problem.for_spread else Aim.METAL,
        sets=tuple(sets),
        spread_g=grams(max(totals) - min(totals)),
        removed_g=sum((s.remove_g for s in sets), Decimal(0)),
        bound_spread_g=grams(least.spread),
        bound_removed_g=grams(least.removed),
        proven=proven,
    )
