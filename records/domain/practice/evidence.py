"""Which weighing is the evidence for a mass: each end and whole after its own last cut.

A part never cut keeps its weighings; of several that count, the newest is taken and none is
averaged, since what lies between two of them is not known. A set weighed together speaks only for
the parts it was weighed with, as long as none of them was cut or moved since.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from records.domain.practice.facts import BuildFacts, RemovalFacts, WeighingFacts
from records.domain.practice.fitted import fitments_now
from records.domain.practice.kinds import SET_KINDS
from records.domain.practice.masses import Mass, end_mass, pan_mass
from records.domain.practice.standing import Standing, standing_of

WHOLE, SET, BIG_END, SMALL_END = "whole", "set", "big end", "small end"
# What a piston can't move without; locks, where the engine has them, are fitted somewhere.
_ALWAYS = ("piston", "pin", "ring set")


class Evidence:
    """The weighings of a build that may be relied on, found once and asked often."""

    def __init__(self, facts: BuildFacts) -> None:
        self.facts = facts
        self._standing = {w.id: standing_of(w, facts) for w in facts.weighings}
        here = (w for w in facts.weighings if w.build in (None, facts.number))
        self._made = sorted(here, key=lambda w: (w.measured_at, w.id))
        self._by_id = {w.id: w for w in facts.weighings}
        self._masses: dict[int, Mass | None] = {}

    def standing(self, weighing_id: int) -> Standing:
        """Give the standing of a weighing of this build."""
        return self._standing[weighing_id]

    def weighing(self, weighing_id: int) -> WeighingFacts | None:
        """Give a weighing by its id; None for one that no longer stands."""
        return self._by_id.get(weighing_id)

    def newest(self, part: str, what: str) -> WeighingFacts | None:
        """Give the newest counting weighing of a part since its last cut; None while one is open.

        A big or small end is asked for by its own name.
        """
        if self.open_cut(part) is not None:
            return None
        cuts = self._cuts(part)
        after = (w for w in self._of(part, what) if self._stands(w, cuts))
        return max(after, key=lambda w: (w.measured_at, w.id), default=None)

    def first(self, part: str, what: str) -> WeighingFacts | None:
        """Give the first counting weighing of a part in this build: as it was before the work."""
        return next(iter(self._of(part, what)), None)

    def open_cut(self, part: str) -> RemovalFacts | None:
        """Give the cut of a part that waits for its after-weighing."""
        return next((cut for cut in self._cuts(part) if cut.after is None), None)

    def was_cut_since(self, weighing: WeighingFacts) -> bool:
        """Tell whether the part was cut after this weighing of it."""
        return not self._stands(weighing, self._cuts(weighing.part or ""))

    def together(self, place: int) -> WeighingFacts | None:
        """Give the newest counting weighing of a place's set, if it speaks for the set of now."""
        members = set(self.set_parts(place))
        if not members or any(self.open_cut(part) for part in members):
            return None
        fitted = [f.fitted_at for f in fitments_now(self.facts) if f.part in members]
        cuts = [cut for part in members for cut in self._cuts(part)]
        good = [
            w
            for w in self._made
            if w.what == SET and w.place == place and set(w.members) == members
            if self._standing[w.id].counts and self._stands(w, cuts)
            if w.measured_at >= max(fitted)
        ]
        return good[-1] if good else None

    def mass(self, weighing: WeighingFacts | None) -> Mass | None:
        """Correct a counting weighing; None without one, and for an end without a rod length."""
        if weighing is None:
            return None
        if weighing.id not in self._masses:
            self._masses[weighing.id] = self._corrected(weighing)
        return self._masses[weighing.id]

    def newest_mass(self, part: str, what: str) -> Mass | None:
        """Give the corrected newest mass of a part, or None."""
        return self.mass(self.newest(part, what))

    def fitted(self, place: int, kind: str) -> str | None:
        """Give the part of a kind at a place: its own, else the one that stands for all places."""
        now = [f for f in fitments_now(self.facts) if self._kind(f.part) == kind]
        own = [f.part for f in now if f.place == place]
        shared = [f.part for f in now if f.place is None]
        either = own or shared
        return either[-1] if either else None

    def set_parts(self, place: int) -> tuple[str, ...]:
        """Give the parts of a place's set: piston, pin, locks and rings, as far as fitted."""
        found = (self.fitted(place, kind) for kind in SET_KINDS)
        return tuple(part for part in found if part is not None)

    def kinds_missing(self, place: int) -> tuple[str, ...]:
        """Name the kinds of the set that a place lacks; locks only where another place has them."""
        wanted = [k for k in SET_KINDS if k in _ALWAYS or self._anywhere(k)]
        return tuple(kind for kind in wanted if self.fitted(place, kind) is None)

    def why_missing(self, part: str, what: str) -> str:
        """Say why a mass has no evidence, and what to do."""
        name = self._name(part, what)
        open_cut = self.open_cut(part)
        if open_cut is not None:
            return f"{name}: a cut is open; weigh the part whole to close it"
        made = [w for w in self._made if w.part == part and w.what == what]
        counting = [w for w in made if self._standing[w.id].counts]
        if counting:
            last = max(cut.cut_at for cut in self._cuts(part))
            return f"{name} not weighed since its cut of {last:%Y-%m-%d}; weigh it again"
        if made:
            return f"{name}: {self._standing[made[-1].id].reasons[0][1]}"
        return f"{name} not weighed yet"

    def _name(self, part: str, what: str) -> str:
        kind = self._kind(part)
        return f"{kind} {part}" if what == WHOLE else f"{kind} {part}, {what}"

    def _kind(self, part: str) -> str:
        return self.facts.parts[part].kind

    def _anywhere(self, kind: str) -> bool:
        return any(self._kind(f.part) == kind for f in fitments_now(self.facts))

    def _cuts(self, part: str) -> list[RemovalFacts]:
        return [cut for cut in self.facts.removals if cut.part == part]

    def _of(self, part: str, what: str) -> list[WeighingFacts]:
        return [
            w
            for w in self._made
            if w.part == part and w.what == what and self._standing[w.id].counts
        ]

    @staticmethod
    def _stands(weighing: WeighingFacts, cuts: Iterable[RemovalFacts]) -> bool:
        """Tell whether a weighing lies after all these cuts."""
        return all(weighing.id == cut.after or _is_after(weighing, cut) for cut in cuts)

    def _corrected(self, weighing: WeighingFacts) -> Mass | None:
        if weighing.what in (WHOLE, SET):
            scale = self.facts.scales[weighing.scale or ""]
            return pan_mass(weighing, scale, self.facts.shop.timezone)
        length_mm = self.facts.rod_length_mm
        if length_mm is None:
            return None
        return end_mass(weighing, self.facts, length_mm, self._whole_g(weighing))

    def _whole_g(self, weighing: WeighingFacts) -> Decimal | None:
        """Give about what the whole rod weighs, for the other support's share."""
        whole = self.newest(weighing.part or "", WHOLE) or self.first(weighing.part or "", WHOLE)
        return None if whole is None else whole.mean_g


def _is_after(weighing: WeighingFacts, cut: RemovalFacts) -> bool:
    return weighing.measured_at > cut.cut_at and weighing.id != cut.before
