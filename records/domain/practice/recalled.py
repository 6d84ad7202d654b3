"""What a recalled scale leaves on a build: a finding, until newer weighings took the place."""

from __future__ import annotations

from collections.abc import Iterator

from records.domain.practice.evidence import SET, WHOLE, Evidence
from records.domain.practice.facts import BuildFacts, RecalledFacts, WeighingFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.fitted import parts_now


def recall_findings(facts: BuildFacts, evidence: Evidence) -> tuple[Finding, ...]:
    """Return one finding for each recall that the build still rests on.

    No decision closes it: new weighings do, or an inspector who clears the build of the recall.
    """
    return tuple(_findings(facts, evidence))


def recall_finding(said: RecalledFacts, weighings: int) -> Finding:
    """Make the finding of a recall on a build; its key names the recall."""
    text = (
        f"scale {said.scale} was found out and withdrawn on {said.on}; {weighings} weighings of "
        "this build on it are in doubt: weigh them again on another scale, or an inspector clears "
        "the build with the reason"
    )
    return finding(FindingCode.SCALE_RECALLED, text, said.recall)


def rests_on(facts: BuildFacts, evidence: Evidence) -> tuple[WeighingFacts, ...]:
    """Return the recalled weighings of parts now in the build that none made since replaces."""
    parts = {part.number for part in parts_now(facts)}
    return tuple(
        w
        for w in facts.weighings
        if w.id in facts.recalled and w.build in (None, facts.number) and w.purpose == "evidence"
        if _is_now(w, parts) and not _replaced(w, evidence)
    )


def _findings(facts: BuildFacts, evidence: Evidence) -> Iterator[Finding]:
    if not facts.recalled:
        return
    by_recall: dict[int, list[WeighingFacts]] = {}
    for weighing in rests_on(facts, evidence):
        by_recall.setdefault(facts.recalled[weighing.id].recall, []).append(weighing)
    for weighings in by_recall.values():
        yield recall_finding(facts.recalled[weighings[0].id], len(weighings))


def _is_now(weighing: WeighingFacts, parts: set[str]) -> bool:
    mine = (weighing.part,) if weighing.part else weighing.members
    return parts.issuperset(part for part in mine if part)


def _replaced(weighing: WeighingFacts, evidence: Evidence) -> bool:
    """Tell whether every part that was on the pan has been weighed again on a good scale."""
    if weighing.part is not None:
        newest = evidence.newest(weighing.part, weighing.what)
        return newest is not None and newest.measured_at > weighing.measured_at
    again = evidence.together(weighing.place or 0)
    if again is not None and again.measured_at > weighing.measured_at:
        return True
    newest_of = [evidence.newest(part, WHOLE) for part in weighing.members]
    return weighing.what == SET and all(
        one is not None and one.measured_at > weighing.measured_at for one in newest_of
    )
