"""What the judgements of sets, big ends and whole rods, and the evidence behind them, raise."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from records.domain.measure.decision import Verdict
from records.domain.practice.capability import what_would_do
from records.domain.practice.evidence import Evidence
from records.domain.practice.facts import BuildFacts, WeighingFacts
from records.domain.practice.finding import Finding, FindingCode, finding
from records.domain.practice.judgement import SETS, KindJudgement, PlaceJudgement

_BAD = (Verdict.CONDITIONALLY_FAILED, Verdict.FAILED)
_TOO_FEW = frozenset({"too_few_readings", "too_few_hangings"})
_COARSE = "step_too_coarse"
REMEDY = "weigh with more readings, rework, or a written concession"


def match_findings(judged: Iterable[KindJudgement], evidence: Evidence) -> tuple[Finding, ...]:
    """Return what stands in the way of each kind's match; one finding per kind where it can be."""
    found: list[Finding] = []
    for kind in judged:
        found += [_missing(kind, text) for text in kind.missing]
        found += _apart(kind)
        found += _no_zone(kind, evidence.facts)
        found += [_failed(kind, place) for place in kind.places if place.verdict in _BAD]
        used = [evidence.weighing(id) for id in _sources(kind)]
        found += _warned(kind, [weighing for weighing in used if weighing], evidence)
    return tuple(found)


def _missing(kind: KindJudgement, text: str) -> Finding:
    return finding(FindingCode.EVIDENCE_MISSING, f"{kind.kind}: {text}", kind.kind, text)


def _apart(kind: KindJudgement) -> Iterator[Finding]:
    """Sets weighed together are required for competition, preferred for street."""
    if kind.together_required and kind.apart:
        places = ", ".join(str(place) for place in kind.apart)
        text = f"sets of place {places} not weighed together, which competition requires; weigh so"
        yield finding(FindingCode.SETS_WEIGHED_APART, text, *kind.apart)


def _no_zone(kind: KindJudgement, facts: BuildFacts) -> Iterator[Finding]:
    """One finding for the kind, not one for each part."""
    if kind.no_zone:
        text = f"{kind.no_zone}; {what_would_do(facts, kind.kind)}"
        yield finding(FindingCode.NO_ACCEPTANCE_ZONE, text, kind.kind, *_sources(kind))


def _failed(kind: KindJudgement, place: PlaceJudgement) -> Finding:
    """A match is a pair's: the place and the lightest, as weighed."""
    lightest = kind.lightest.sources if kind.lightest else ()
    text = (
        f"{kind.kind}, place {place.place} ({', '.join(place.parts)}): {place.verdict}, "
        f"{place.difference_g:.3f} g above the lightest, expected at most {kind.tolerance_g:f} g "
        f"(U {place.U_g:.2g} g, conformance {place.conformance_probability:.1%}); {REMEDY}"
    )
    return finding(
        FindingCode.MATCH_FAILED,
        text,
        kind.kind,
        place.place,
        *place.sources,
        "to",
        *lightest,
        part=None if kind.kind == SETS else place.parts[0],
        place=place.place,
    )


def _warned(
    kind: KindJudgement, used: Sequence[WeighingFacts], evidence: Evidence
) -> Iterator[Finding]:
    """Return what the weighings in use were warned of when they were made, once per kind."""
    warned = {w.id: {code for code, _ in evidence.standing(w.id).warnings} for w in used}
    coarse = [w for w in used if _COARSE in warned[w.id]]
    few = [w for w in used if warned[w.id] & _TOO_FEW]
    if coarse:
        scales = ", ".join(sorted({w.scale or "" for w in coarse}))
        text = (
            f"{kind.kind}: {len(coarse)} weighings in a step too coarse for matching, on {scales}; "
            "weigh in a finer unit or on a finer scale, or a written concession"
        )
        yield finding(FindingCode.STEP_TOO_COARSE, text, kind.kind, *(w.id for w in coarse))
    if few:
        text = (
            f"{kind.kind}: {len(few)} weighings with fewer readings or hangings than promised; "
            "weigh again, or a written concession"
        )
        yield finding(FindingCode.TOO_FEW_READINGS, text, kind.kind, *(w.id for w in few))


def _sources(kind: KindJudgement) -> tuple[int, ...]:
    return tuple(sorted({id for place in kind.places for id in place.sources}))
