"""A matching as whole numbers: what the search, the bounds and the proof all work on.

Masses are counted in the finest decimal step that occurs, so that equal is equal. A *block* is a
group of parts that must stay together; parts fixed at one place are a block with that place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

Key = tuple[int, int, int]
Row = list[int | None]  # one set: the index of its part of each kind; None only on the bench


@dataclass(frozen=True)
class Block:
    """Parts that stay together, as (kind, index); with a place they are fixed there."""

    parts: tuple[tuple[int, int], ...]
    place: int | None = None

    @cached_property
    def mask(self) -> int:
        """Give the kinds it holds, as bits."""
        return sum(1 << kind for kind, _ in self.parts)


@dataclass(frozen=True)
class Problem:
    """Masses and allowances per kind in whole steps (None: as much as is wanted)."""

    places: int
    masses: tuple[tuple[int, ...], ...]
    allowances: tuple[tuple[int | None, ...], ...]
    tolerance: int
    blocks: tuple[Block, ...]
    for_spread: bool

    @property
    def kinds(self) -> int:
        """Count the kinds."""
        return len(self.masses)

    @cached_property
    def has_spare(self) -> bool:
        """Tell whether any kind has more parts than places."""
        return any(len(of_kind) > self.places for of_kind in self.masses)

    @cached_property
    def limited(self) -> bool:
        """Tell whether any allowance could be too small, yet some metal may be taken."""
        every = [a for of_kind in self.allowances for a in of_kind]
        return any(a is not None for a in every) and any(a is None or a > 0 for a in every)

    @cached_property
    def block_of(self) -> dict[tuple[int, int], Block]:
        """Find the block of a part, if it has one."""
        return {part: block for block in self.blocks for part in block.parts}

    def total(self, row: Sequence[int | None]) -> int:
        """Add up one complete set."""
        return sum(of_kind[i] for of_kind, i in zip(self.masses, row, strict=True) if i is not None)

    def room(self, row: Sequence[int | None]) -> int | None:
        """Add up what may still come off one set; None where a part has no limit."""
        whole = 0
        for of_kind, i in zip(self.allowances, row, strict=True):
            allowance = of_kind[i] if i is not None else 0
            if allowance is None:
                return None
            whole += allowance
        return whole

    def removals(self, totals: Sequence[int]) -> list[int]:
        """Give what each set must lose to lie within the tolerance of the lightest."""
        edge = min(totals) + self.tolerance
        return [max(0, total - edge) for total in totals]

    def key(self, totals: Sequence[int], rooms: Sequence[int | None], short_first: bool) -> Key:
        """Rank an arrangement, less is better: aim, shortfall, the other aim (or shortfall first).

        No part of the key falls when a further set is added, so that partial sets may be pruned.
        """
        removals = self.removals(totals)
        removed = sum(removals)
        spread = max(totals) - min(totals)
        short = sum(
            max(0, off - room)
            for off, room in zip(removals, rooms, strict=True)
            if room is not None
        )
        aim, other = (spread, removed) if self.for_spread else (removed, spread)
        return (short, aim, other) if short_first else (aim, short, other)

    def key_of(self, rows: Sequence[Sequence[int | None]], short_first: bool = False) -> Key:
        """Rank complete rows."""
        return self.key([self.total(r) for r in rows], [self.room(r) for r in rows], short_first)
