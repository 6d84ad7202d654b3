"""What nobody asked, entered or weighed again yet: intake, details, open removals."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from records.domain.practice.facts import BuildFacts
from records.domain.practice.facts_of_parts import PartFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.fitted import parts_now


def not_asked(facts: BuildFacts, parts: Iterable[PartFacts]) -> tuple[Finding, ...]:
    """Return what is still to be asked, entered or weighed; none of it is for an inspector."""
    parts = tuple(parts)
    return (
        *_intake(parts),
        *_details(facts),
        *_open_removals(facts, parts),
    )


def _intake(parts: Iterable[PartFacts]) -> Iterator[Finding]:
    """Ask once per kind: it is answered once for the set, with exceptions by part."""
    unasked: dict[str, list[str]] = {}
    for part in parts:
        if part.intake is None:
            unasked.setdefault(part.kind, []).append(part.number)
    for kind, numbers in unasked.items():
        text = (
            f"{kind}: its condition as it came in was not asked (colour, cracks, earlier cuts) "
            f"of {', '.join(numbers)}"
        )
        yield finding(FindingCode.INTAKE_NOT_ASKED, text, kind)


def _details(facts: BuildFacts) -> Iterator[Finding]:
    missing = []
    if facts.rod_length_mm is None and parts_now(facts, "rod"):
        missing.append(("rod_length_mm", "the rods' centre distance: no end has a U without it"))
    if facts.stroke_mm is None:
        missing.append(("stroke_mm", "the stroke"))
    if facts.crank_in_job is None:
        missing.append(("crank_in_job", "whether crank and damper are in the job"))
    elif not facts.crank_in_job and not facts.no_crank_reason.strip():
        missing.append(("no_crank_reason", "why crank and damper are not in the job"))
    for key, what in missing:
        yield finding(FindingCode.DETAIL_MISSING, f"not entered: {what}", key)


def _open_removals(facts: BuildFacts, parts: Iterable[PartFacts]) -> Iterator[Finding]:
    numbers = {part.number for part in parts}
    for cut in facts.removals:
        if cut.after is None and cut.part in numbers:
            text = f"{cut.part}: removal {cut.id} is open; weigh the whole part again to close it"
            yield finding(FindingCode.REMOVAL_OPEN, text, cut.id, part=cut.part)
