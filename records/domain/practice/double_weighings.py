"""A technician's repeatability from everyday work, which weighs and reads most things twice.

Two kinds of pair, never mixed, since they tell different things: readings within one weighing, and
weighings of a part made again, each by its first reading. Again means by the same person, on the
same scale and calibration, the same shop day, no cut between (repeatability condition, VIM JCGM
200:2012, 2.20). Streams: what comes is forgotten once its group is full.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from records.domain.measure.pooled import Group, Pool


@dataclass(frozen=True, slots=True)
class Seen:
    """One reading with what it must share to be a pair with the next.

    They come sorted so that the readings of one weighing, and the weighings of one part by one
    person on one scale, follow each other in time.
    """

    weighing: int
    part: str | None  # None: a set, which is weighed again only with other parts in it
    what: str
    scale: str
    calibration: int | None
    person: str
    last_cut: int | None
    day: date
    grams: float

    @property
    def again(self) -> tuple[object, ...]:
        """Return what a weighing made again has in common with the one before."""
        together = self.weighing if self.part is None else self.part
        return (
            together,
            self.what,
            self.scale,
            self.calibration,
            self.person,
            self.last_cut,
            self.day,
        )


@dataclass(frozen=True, slots=True)
class Work:
    """Who did which kind of work on which scale."""

    person: str
    what: str
    scale: str


@dataclass(slots=True)
class Pools:
    """The two pools of one kind of work."""

    within: Pool = field(default_factory=Pool)
    again: Pool = field(default_factory=Pool)


def pooled(readings: Iterable[Seen]) -> dict[Work, Pools]:
    """Return the pools by person, kind of work and scale; memory grows with these alone."""
    pools: dict[Work, Pools] = {}
    within, again, last = Group(), Group(), None
    for seen in readings:
        if last is None or seen.weighing != last.weighing:
            _close_weighing(pools, last, within)
            within = Group()
            if last is None or seen.again != last.again:
                _close_run(pools, last, again)
                again = Group()
            again.add(seen.grams)
        within.add(seen.grams)
        last = seen
    _close_weighing(pools, last, within)
    _close_run(pools, last, again)
    return pools


def _close_weighing(pools: dict[Work, Pools], last: Seen | None, group: Group) -> None:
    if last is not None and group.n > 1:
        _pools_of(pools, last).within.add(group)


def _close_run(pools: dict[Work, Pools], last: Seen | None, group: Group) -> None:
    if last is not None and group.n > 1:
        _pools_of(pools, last).again.add(group)


def _pools_of(pools: dict[Work, Pools], seen: Seen) -> Pools:
    return pools.setdefault(Work(seen.person, seen.what, seen.scale), Pools())
