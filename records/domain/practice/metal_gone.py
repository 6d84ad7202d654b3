"""Mass that changed between two weighings of one part with nothing on record to explain it.

Fell with no removal: metal gone without a record. Rose, removal or not: a wrong part, dirt or a
wrong scale, since nothing is ever added to a part. More than U of the difference, both ways.

A removal recorded late, if its two weighings enclose the fall, takes the finding away. So does a
later weighing, with no cut between, that agrees with the one from before the change: what lay
between was wrong. A later weighing that agrees with the changed mass confirms it, and changes
nothing: an inspector then gives the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import pairwise

from records.domain.practice.facts import BuildFacts, RemovalFacts, WeighingFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.mass_taken import between
from records.domain.practice.standing import standing_of

Pair = tuple[WeighingFacts, WeighingFacts]


def metal_findings(facts: BuildFacts, parts: Iterable[PartFacts]) -> tuple[Finding, ...]:
    """Return what changed without a record on these parts.

    What changed between two weighings of an earlier build was that build's to explain.
    """
    counting = [w for w in facts.weighings if w.what == "whole" and _counts(w, facts)]
    found = []
    for part in parts:
        weighings = [weighing for weighing in counting if weighing.part == part.number]
        for pair in unexplained(weighings, facts):
            if pair[1].build in (None, facts.number):
                found.append(_found(part, pair, facts))
    return tuple(found)


def unexplained(weighings: Sequence[WeighingFacts], facts: BuildFacts) -> tuple[Pair, ...]:
    """Return the pairs, of one part's counting whole weighings in order, that nothing explains."""
    cuts = [cut for cut in facts.removals if weighings and cut.part == weighings[0].part]
    pairs: list[Pair] = []
    stretch: list[WeighingFacts] = []
    for weighing in weighings:
        if stretch and _was_cut(cuts, stretch[-1], weighing, facts):
            pairs += _doubts(stretch, facts)
            if _change(stretch[-1], weighing, facts) < 0:
                pairs.append((stretch[-1], weighing))
            stretch = []
        stretch.append(weighing)
    return (*pairs, *_doubts(stretch, facts))


def _doubts(stretch: Sequence[WeighingFacts], facts: BuildFacts) -> list[Pair]:
    """Return the changes in a stretch without a cut that no later weighing took back.

    `masses` are the last weighing that was steady and each change from it that still stands.
    """
    masses: list[WeighingFacts] = []
    for weighing in stretch:
        agreed = [i for i, mass in enumerate(masses) if not _change(mass, weighing, facts)]
        if not agreed:
            masses.append(weighing)
            continue
        del masses[agreed[0] + 1 :]
        if agreed[0] == 0:
            masses[0] = weighing
    return list(pairwise(masses))


def _change(first: WeighingFacts, second: WeighingFacts, facts: BuildFacts) -> Decimal:
    """Return first minus second where it exceeds its U, else 0."""
    taken = between(facts, first, second)
    return taken.mass_g if abs(taken.mass_g) > taken.U_g else Decimal(0)


def _was_cut(
    cuts: Iterable[RemovalFacts], first: WeighingFacts, second: WeighingFacts, facts: BuildFacts
) -> bool:
    """Say whether the weighings that enclose some cut enclose a part of this time too."""
    at = {weighing.id: weighing.measured_at for weighing in facts.weighings}
    return any(
        _starts(cut, at) < second.measured_at and _ends(cut, at, second) > first.measured_at
        for cut in cuts
    )


def _starts(cut: RemovalFacts, at: dict[int, datetime]) -> datetime:
    return at.get(cut.before, cut.cut_at)


def _ends(cut: RemovalFacts, at: dict[int, datetime], second: WeighingFacts) -> datetime:
    """Return when a cut was weighed again; an open one may reach up to any later weighing."""
    if cut.after is None:
        return max(cut.cut_at, second.measured_at)
    return at.get(cut.after, cut.cut_at)


def _counts(weighing: WeighingFacts, facts: BuildFacts) -> bool:
    return standing_of(weighing, facts).counts


def _found(part: PartFacts, pair: Pair, facts: BuildFacts) -> Finding:
    first, second = pair
    taken = between(facts, first, second)
    fell = taken.mass_g > 0
    code = FindingCode.METAL_GONE if fell else FindingCode.METAL_GAINED
    # Three digits are for the eye; the record has the readings.
    size = f"{abs(taken.mass_g):.3f} g, U {taken.U_g:.3f} g"
    what = f"fell by {size} with no removal on record" if fell else f"rose by {size}"
    advice = "record the removal" if fell else "look for a wrong part, dirt or a wrong scale"
    text = f"{part.number}: {what}; {advice}, weigh again, or an inspector says why"
    return finding(code, text, first.id, second.id, part=part.number)
