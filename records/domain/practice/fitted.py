"""Which parts are in a build now."""

from __future__ import annotations

from datetime import datetime

from records.domain.practice.facts import BuildFacts, FitmentFacts
from records.domain.practice.facts_of_parts import PartFacts


def fitments_now(facts: BuildFacts) -> tuple[FitmentFacts, ...]:
    """Return the fitments that have not ended."""
    return tuple(fitment for fitment in facts.fitments if fitment.ended_at is None)


def parts_now(facts: BuildFacts, *kinds: str) -> tuple[PartFacts, ...]:
    """Return the parts now in the build, of these kinds or of all, each once."""
    numbers = dict.fromkeys(fitment.part for fitment in fitments_now(facts))
    found = (facts.parts[number] for number in numbers)
    return tuple(part for part in found if not kinds or part.kind in kinds)


def last_touched(facts: BuildFacts, kinds: tuple[str, ...] = ()) -> datetime | None:
    """Return when a part of these kinds (or any) was last cut, fitted or taken from its place.

    A closed cut ended with its after-weighing at the latest: passes may have followed cut_at.
    """
    weighed_at = {weighing.id: weighing.measured_at for weighing in facts.weighings}
    moments = []
    for fitment in facts.fitments:
        if _is_of(facts, fitment.part, kinds):
            moments += [fitment.fitted_at, fitment.ended_at or fitment.fitted_at]
    inside = {fitment.part for fitment in fitments_now(facts)}
    for cut in facts.removals:
        if cut.part in inside and _is_of(facts, cut.part, kinds):
            ended = cut.cut_at if cut.after is None else weighed_at.get(cut.after, cut.cut_at)
            moments.append(max(cut.cut_at, ended))
    return max(moments, default=None)


def _is_of(facts: BuildFacts, number: str, kinds: tuple[str, ...]) -> bool:
    return not kinds or facts.parts[number].kind in kinds
