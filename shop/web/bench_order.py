"""What is weighed next, in the order of the work: a suggestion for the page, never a judgement."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from records.queries.build_page import BuildPage, WeighingShown
from records.queries.words import kinds

SEPARATOR = "|"
ENDS = ("big end", "small end")


@dataclass(frozen=True, slots=True)
class Target:
    """Something to put on the scale: a part whole or by an end, or the set of a place."""

    what: str
    kind: str
    part: str
    place: int | None
    serial: str = ""

    @property
    def key(self) -> str:
        """Return what a form knows it by."""
        return SEPARATOR.join((self.what, self.part or str(self.place or "")))

    @property
    def words(self) -> str:
        """Say it as the bench does."""
        if self.what == "set":
            return f"set of place {self.place}, weighed together"
        where = f"{self.place} · " if self.place is not None else "all places · "
        end = "" if self.what == "whole" else f", {self.what}"
        return f"{where}{self.kind} {self.part}{end}"


@dataclass(frozen=True, slots=True)
class Group:
    """Targets of one kind and one way of weighing, in engine order."""

    title: str
    targets: tuple[Target, ...]
    left: tuple[Target, ...]


def groups(page: BuildPage) -> tuple[Group, ...]:
    """Return all that may be weighed in this build, group by group, with what is left of each."""
    every: dict[str, list[Target]] = {}
    for target in _targets(page):
        every.setdefault(_title(target), []).append(target)
    return tuple(
        Group(title, tuple(rows), tuple(row for row in rows if not _is_weighed(page, row)))
        for title, rows in every.items()
    )


def next_target(every: Iterable[Group], after: str = "") -> Target | None:
    """Return what to weigh next: the next of the same group, else the first that is left.

    Small ends are not asked for by themselves: whole and big end give them.
    """
    every = list(every)
    for group in every:
        keys = [target.key for target in group.targets]
        if after in keys:
            later = [t for t in group.left if keys.index(t.key) > keys.index(after)]
            if later or group.left:
                return (later or list(group.left))[0]
    asked = (g for g in every if g.left and g.left[0].what != "small end")
    return next((group.left[0] for group in asked), None)


def _targets(page: BuildPage) -> Iterator[Target]:
    facts = page.facts
    standing = [fitment for fitment in facts.fitments if fitment.ended_at is None]
    order = [kind.key for kind in kinds()]
    per_place = {kind.key for kind in kinds() if kind.per_place}
    standing.sort(key=lambda one: (order.index(facts.parts[one.part].kind), one.place or 0))
    for fitment in standing:
        part = facts.parts[fitment.part]
        if part.kind in per_place:
            yield Target("whole", part.kind, part.number, fitment.place, part.serial)
    for end in ENDS:
        for fitment in standing:
            part = facts.parts[fitment.part]
            if part.kind == "rod":
                yield Target(end, part.kind, part.number, fitment.place, part.serial)
    if any(facts.parts[fitment.part].kind == "piston" for fitment in standing):
        yield from (Target("set", "set", "", place) for place in facts.places)


def _title(target: Target) -> str:
    if target.what == "set":
        return "Sets, weighed together"
    plural = target.kind if target.kind.endswith("s") else f"{target.kind}s"
    named = "rods" if target.kind == "rod" else plural
    return (named if target.what == "whole" else f"{named}, {target.what}").capitalize()


def _is_weighed(page: BuildPage, target: Target) -> bool:
    return any(_speaks_for(page, shown, target) for shown in page.weighings)


def _speaks_for(page: BuildPage, shown: WeighingShown, target: Target) -> bool:
    weighing = shown.weighing
    if not shown.standing.counts or weighing.what != target.what:
        return False
    if target.what == "set":
        return weighing.place == target.place and all(
            _is_after_its_cuts(page, shown, part) for part in weighing.members
        )
    return weighing.part == target.part and _is_after_its_cuts(page, shown, target.part)


def _is_after_its_cuts(page: BuildPage, shown: WeighingShown, part: str) -> bool:
    cuts = [cut for cut in page.facts.removals if cut.part == part]
    weighing = shown.weighing
    return all(cut.after == weighing.id or cut.cut_at < weighing.measured_at for cut in cuts)
