"""An in-line four that lacks nothing: Ines weighed and answered, Ruth may release. Invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from records.domain.practice.checklist import QUESTIONS
from records.domain.practice.facts import (
    AnswerFacts,
    BuildFacts,
    DispositionFacts,
    FindingFacts,
    FitmentFacts,
    QuestionFacts,
    WeighingFacts,
)
from records.domain.practice.facts_of_parts import PartFacts, RatingFacts
from records.domain.practice.finding import Finding
from tests.domain.practice.sample import at, build, fitment, part, promise, set_weighing, weighing

TODAY = date(2026, 3, 6)
RATED = RatingFacts("L-77", "demo body", "D-1", date(2027, 1, 1), noted_at=at(1))
KINDS = {"P": ("piston", "450.0"), "N": ("pin", "116.0"), "G": ("ring set", "37.0")}


def answer(
    key: str, said: str = "yes", moment: datetime | None = None, detail: str = "", by: str = "ines"
) -> AnswerFacts:
    return AnswerFacts(len(key), key, key, said, detail, by, moment or at(5))


def finished(**changes: Any) -> BuildFacts:
    """All of four places weighed alike on 2 March, a damper fitted, all answered on 5 March."""
    parts: list[PartFacts] = [part("D-1", "damper", rating=RATED), part("L-0", "pin locks")]
    fitments: list[FitmentFacts] = [fitment(1, "D-1", None), fitment(2, "L-0", None)]
    weighings: list[WeighingFacts] = [weighing(1, "L-0", "1.8", "1.8")]
    for place in (1, 2, 3, 4):
        for letter, (kind, mass) in KINDS.items():
            number = f"{letter}-{place}"
            parts.append(part(number, kind))
            fitments.append(fitment(len(fitments) + 1, number, place))
            weighings.append(weighing(len(weighings) + 1, number, mass, mass))
        rod = f"R-{place}"
        parts.append(part(rod, "rod"))
        fitments.append(fitment(len(fitments) + 1, rod, place))
        for what, mass in (("whole", "620.0"), ("big end", "446.4")):
            weighings.append(weighing(len(weighings) + 1, rod, mass, mass, what=what))
    given: dict[str, Any] = {
        "parts": parts,
        "fitments": tuple(fitments),
        "weighings": tuple(weighings),
        "questions": tuple(QuestionFacts(q.key, q.text) for q in QUESTIONS),
        "answers": tuple(answer(q.key) for q in QUESTIONS),
        "crank_in_job": True,
        "promise": promise("1.0"),
    }
    return build("i4", **given | changes)


def for_competition(**changes: Any) -> BuildFacts:
    """The same for competition, its sets weighed together."""
    facts = finished(use="competition", promise=promise("1.0"))
    sets = [
        set_weighing(
            90 + place, place, [f"P-{place}", f"N-{place}", "L-0", f"G-{place}"], *["604.8"] * 2
        )
        for place in (1, 2, 3, 4)
    ]
    sets = [replace(together, measured_at=at(3), recorded_at=at(3)) for together in sets]
    return replace(facts, **{"weighings": (*facts.weighings, *sets)} | changes)


def without(facts: BuildFacts, number: str) -> BuildFacts:
    """The same build with one part never fitted."""
    return replace(facts, fitments=tuple(f for f in facts.fitments if f.part != number))


def answered(facts: BuildFacts, *given: AnswerFacts) -> BuildFacts:
    """The same build with some questions answered otherwise."""
    answers = {a.key: a for a in facts.answers} | {a.key: a for a in given}
    return replace(facts, answers=tuple(answers.values()))


def with_part(facts: BuildFacts, number: str, **changes: Any) -> BuildFacts:
    """The same build with one part changed."""
    return replace(facts, parts={**facts.parts, number: replace(facts.parts[number], **changes)})


def decided(
    facts: BuildFacts,
    found: Finding,
    decision: str,
    *,
    by: str = "ruth",
    evidence: dict[str, str] | None = None,
    reason: str = "looked at it in good light",
) -> BuildFacts:
    """The same build with an inspector's decision on a finding."""
    disposition = DispositionFacts(decision, reason, evidence or {}, by, at(6))
    row = FindingFacts(1, found.key, found.code, found.part, found.text, at(5), disposition)
    return replace(facts, findings=(*facts.findings, row))
